//! The levels of one body, from the scans of its parts.

use super::models::ModelFacts;
use crate::collate::PartGeometry;
use crate::mesh::{self, GlbFacts, Mesh, NamedMesh, OnSheet, area_mm2};
use crate::picture::{PictureError, jpeg};
use crate::record::{BodyKind, Object};
use crate::reduce::{Focus, Measured, deviation, simplify};
use crate::relief::{Grain, Scan, Shade, Sheets, Unwrapped, bake, unwrap};
use crate::site::SiteError;

/// One level of a display model.
#[derive(Debug)]
pub(super) struct Level {
    /// Where it is for.
    pub(super) name: &'static str,
    /// Triangles, all parts of a body together.
    triangles: usize,
    /// How finely its pictures are drawn: at least as finely as the scans are.
    grain: Grain,
}

/// The lightest first.
pub(super) const LEVELS: [Level; 3] = [
    Level {
        name: "phone",
        triangles: 20_000,
        grain: Grain {
            texels: 1024,
            finer: 2,
            colour_texels: 512,
        },
    },
    Level {
        name: "desk",
        triangles: 80_000,
        grain: Grain {
            texels: 2048,
            finer: 1,
            colour_texels: 1024,
        },
    },
    Level {
        name: "kiosk",
        triangles: 200_000,
        grain: Grain {
            texels: 2048,
            finer: 1,
            colour_texels: 2048,
        },
    },
];
/// Triangles of the likeness on which shade is found.
const SHADED: usize = 200_000;
/// A part gets so many triangles at least.
const LEAST: usize = 1000;
/// Qualities of JPEG, of 100. Slopes show their faults in every glint.
const SLOPES: u8 = 72;
const SHADE: u8 = 60;
const COLOUR: u8 = 70;
/// The scan is looked for this many times as far from the reduced surface as that strays.
const MARGIN: f64 = 1.2;

/// What is to be made.
pub(super) struct Subject<'a> {
    pub(super) object: &'a Object,
    pub(super) kind: BodyKind,
    /// Parts, and where the visitors look on them.
    pub(super) parts: Vec<(&'a PartGeometry, Vec<Focus>)>,
    pub(super) copyright: &'a str,
}

impl Subject<'_> {
    fn scan_triangles(&self) -> usize {
        self.parts
            .iter()
            .map(|(p, _)| p.mesh.triangles().len())
            .sum()
    }

    /// A part's share of a budget.
    fn share(&self, part: &PartGeometry, budget: usize) -> usize {
        (part.mesh.triangles().len() * budget / self.scan_triangles().max(1)).max(LEAST)
    }

    fn refused(&self, why: impl std::fmt::Display) -> SiteError {
        let id = &self.object.id;
        SiteError::Picture(format!("the model of ‘{id}’ cannot be written: {why}"))
    }
}

/// All levels, up to the first that has every triangle of the scans: a finer one would be the same.
pub(super) fn all(subject: &Subject<'_>) -> Result<Vec<(ModelFacts, Vec<u8>)>, SiteError> {
    let shades: Vec<Shade> = subject
        .parts
        .iter()
        .map(|(part, focuses)| {
            let likeness = simplify(&part.mesh, subject.share(part, SHADED), focuses);
            Shade::of(&likeness, &part.tree)
        })
        .collect();
    let mut out: Vec<(ModelFacts, Vec<u8>)> = Vec::new();
    for level in &LEVELS {
        if out
            .last()
            .is_some_and(|(f, _)| f.triangles >= f.scan_triangles)
        {
            break;
        }
        out.push(one(subject, &shades, level)?);
    }
    Ok(out)
}

fn one(
    subject: &Subject<'_>,
    shades: &[Shade],
    level: &Level,
) -> Result<(ModelFacts, Vec<u8>), SiteError> {
    let reduced: Vec<(Mesh, Measured)> = subject
        .parts
        .iter()
        .map(|(part, focuses)| {
            let made = simplify(&part.mesh, subject.share(part, level.triangles), focuses);
            let strays = deviation(&part.mesh, &part.tree, &made, focuses);
            (made, strays)
        })
        .collect();
    let meshes: Vec<_> = reduced.iter().map(|(mesh, _)| mesh).collect();
    let flats = unwrap(&meshes, level.grain.texels);
    let scans: Vec<Scan<'_>> = flats
        .iter()
        .zip(&subject.parts)
        .zip(shades)
        .zip(&reduced)
        .map(|(((flat, (part, _)), shade), (_, strays))| Scan {
            flat,
            mesh: &part.mesh,
            tree: &part.tree,
            shade,
            reach_mm: (strays.whole.max_mm * MARGIN).max(f64::MIN_POSITIVE),
        })
        .collect();
    let sheets = bake(&scans, level.grain);
    let (bytes, grid_mm) = write(subject, &flats, &sheets)?;
    let measured: Vec<(usize, Measured)> = reduced
        .iter()
        .map(|(mesh, m)| (mesh.triangles().len(), *m))
        .collect();
    let facts = facts(&measured, subject.scan_triangles(), grid_mm)
        .ok_or_else(|| subject.refused("it has no parts"))?;
    let area: f64 = meshes.iter().map(|m| area_mm2(m)).sum();
    #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
    let texels = sheets.samples as f64 / f64::from(level.grain.finer.pow(2));
    let texel_mm = (area / texels.max(1.0)).sqrt();
    Ok((ModelFacts { texel_mm, ..facts }, bytes))
}

/// The file, and what its grid costs, millimetres.
fn write(
    subject: &Subject<'_>,
    flats: &[Unwrapped],
    sheets: &Sheets,
) -> Result<(Vec<u8>, f64), SiteError> {
    let refused = |e: PictureError| subject.refused(e);
    let slopes = jpeg(&sheets.slopes, SLOPES).map_err(refused)?;
    let shade = jpeg(&sheets.shade, SHADE).map_err(refused)?;
    let colour = sheets.colour.as_ref().map(|c| jpeg(c, COLOUR));
    let colour = colour.transpose().map_err(refused)?;
    let parts: Vec<NamedMesh<'_>> = flats
        .iter()
        .zip(&subject.parts)
        .map(|(flat, (part, _))| NamedMesh {
            name: part.id.as_str(),
            mesh: &flat.mesh,
            normals: Some(&flat.normals),
            sheet: Some(OnSheet {
                places: &flat.places,
                tangents: &flat.tangents,
            }),
        })
        .collect();
    let object = subject.object;
    let extras = serde_json::json!({
        "counterpart": { "object": object.id, "number": object.record.identification.number,
                         "body": subject.kind.word(), "unit": "metre", "frame": "+Y up" }
    });
    let pictures = mesh::Pictures {
        slopes: &slopes,
        shade: &shade,
        colour: colour.as_deref(),
    };
    let written = mesh::glb_display(
        &parts,
        Some(&pictures),
        &GlbFacts {
            copyright: Some(subject.copyright.to_owned()),
            extras,
        },
    )
    .map_err(|e| subject.refused(e.what))?;
    Ok((written.bytes, written.quantisation_mm))
}

/// The parts taken together, each with its triangles: the largest maximum and percentile (for the
/// percentile an upper bound), the mean square weighted by the samples.
fn facts(
    measured: &[(usize, Measured)],
    scan_triangles: usize,
    grid_mm: f64,
) -> Option<ModelFacts> {
    let largest = |values: &mut dyn Iterator<Item = f64>| values.reduce(f64::max);
    let mut all = measured.iter().map(|(_, m)| m);
    #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
    let (squares, samples) = all.clone().fold((0.0, 0.0), |(s, n), m| {
        let count = m.whole.samples as f64;
        (s + m.whole.rms_mm.powi(2) * count, n + count)
    });
    Some(ModelFacts {
        triangles: measured.iter().map(|(triangles, _)| triangles).sum(),
        scan_triangles,
        max_mm: largest(&mut all.clone().map(|m| m.whole.max_mm))? + grid_mm,
        inside_max_mm: largest(&mut all.clone().filter_map(|m| Some(m.inside?.max_mm)))
            .map(|max| max + grid_mm),
        rms_mm: (squares / f64::max(samples, 1.0)).sqrt().hypot(grid_mm),
        p95_mm: largest(&mut all.by_ref().map(|m| m.whole.p95_mm))? + grid_mm,
        texel_mm: 0.0,
    })
}
