//! Tables and surfaces for other programs.

use super::super::collation::{Collation, Explained, PartCollation};
use crate::differ::Field;
use crate::record::BodyKind;

/// One line per difference, as CSV (RFC 4180): numbers with a point, millimetres.
pub fn csv(collation: &Collation) -> String {
    let mut out = String::from(
        "number,part,kind,area_mm2,area_expanded_mm2,volume_mm3,volume_expanded_mm3,max_mm,mean_mm,x_mm,y_mm,z_mm,radius_mm,explained_by\r\n",
    );
    for found in &collation.found {
        let Some(part) = collation.part(&found.part) else {
            continue;
        };
        let r = &part.comparison.regions[found.index];
        let why = match &found.explained {
            Explained::By(ids) => ids
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join(" "),
            Explained::Accepted(index) => format!("accepted {}", index + 1),
            Explained::Not => String::new(),
        };
        let [x, y, z] = r.centre.to_array();
        // Ids are letters, digits and hyphens: nothing in them has to be quoted.
        out += &format!(
            "{},{},{},{:.3},{:.3},{:.3},{:.3},{:.4},{:.4},{x:.3},{y:.3},{z:.3},{:.3},{why}\r\n",
            found.number,
            found.part,
            r.kind.word(),
            r.area_mm2,
            r.area_expanded_mm2,
            r.volume_mm3,
            r.volume_expanded_mm3,
            r.max_mm,
            r.mean_mm,
            r.spot.radius_mm
        );
    }
    out
}

/// One body of a part as binary PLY with the signed distance of every vertex from the other body in
/// `quality` (millimetres, positive: stands outside; not a number: not captured on the other).
pub fn ply(part: &PartCollation, body: BodyKind) -> Vec<u8> {
    let field: &Field = match body {
        BodyKind::Original => &part.comparison.original,
        BodyKind::Replica => &part.comparison.replica,
    };
    let other = match body {
        BodyKind::Original => "replica",
        BodyKind::Replica => "original",
    };
    let mut out = format!(
        "ply\nformat binary_little_endian 1.0\ncomment {} of the {}, millimetres; quality is the signed distance from the {other}\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\nproperty float quality\nelement face {}\nproperty list uchar uint vertex_indices\nend_header\n",
        part.part, body.word(), field.places.len(), field.triangles.len()
    )
    .into_bytes();
    for (i, place) in field.places.iter().enumerate() {
        for c in place.as_vec3().to_array() {
            out.extend(c.to_le_bytes());
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "single precision, as the file has it"
        )]
        let distance = if field.captured[i] {
            field.signed_mm[i] as f32
        } else {
            f32::NAN
        };
        out.extend(distance.to_le_bytes());
    }
    for t in &field.triangles {
        out.push(3);
        for i in t {
            out.extend(i.to_le_bytes());
        }
    }
    out
}
