//! The model that a visitor's device loads: fewer triangles, and by how much it strays.

use crate::collate::BodyGeometry;
use crate::mesh::{self, Deviation, NamedMesh};
use crate::record::{Body, BodyKind, Object};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::Key;
use serde::{Deserialize, Serialize};

/// Triangles of a display model, all parts of one body together.
const BUDGET: usize = 80_000;
/// Changes whenever the making of a display model changes.
const METHOD: &str = "display model 2";

/// A display model, as a file of the site.
#[derive(Debug, Clone)]
pub(crate) struct DisplayModel {
    /// Path relative to the root of the site.
    pub(crate) path: String,
    pub(crate) bytes: usize,
    pub(crate) facts: ModelFacts,
}

/// What is known of it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct ModelFacts {
    pub(crate) triangles: usize,
    pub(crate) scan_triangles: usize,
    /// Largest measured distance from the scan, both ways, millimetres, rounding to the file's
    /// grid included.
    pub(crate) max_mm: f64,
    pub(crate) rms_mm: f64,
}

pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    kind: BodyKind,
    geometry: &BodyGeometry,
    assets: &mut Assets,
) -> Result<DisplayModel, SiteError> {
    let body = object
        .record
        .bodies
        .get(kind)
        .ok_or_else(|| SiteError::Picture(format!("‘{}’ has no such body", object.id)))?;
    let copyright = copyright(object, body);
    let mut key = Key::of(METHOD)
        .and(&BUDGET.to_le_bytes())
        .and(copyright.as_bytes())
        .and(object.id.as_str().as_bytes());
    for part in &geometry.parts {
        key = key.and(part.id.as_str().as_bytes()).and(&part.digest);
    }
    let stored = request
        .store
        .or_make(&key, || encode(object, kind, geometry, &copyright))?;
    let unreadable = || {
        SiteError::Picture(format!(
            "the stored model of ‘{}’ cannot be read",
            object.id
        ))
    };
    // The facts stand before the model, their length before them.
    let (length, rest) = stored.split_at_checked(8).ok_or_else(unreadable)?;
    let length = u64::from_le_bytes(length.try_into().map_err(|_| unreadable())?);
    let (facts, glb) = rest
        .split_at_checked(usize::try_from(length).map_err(|_| unreadable())?)
        .ok_or_else(unreadable)?;
    let facts: ModelFacts = serde_json::from_slice(facts).map_err(|_| unreadable())?;
    let name = format!("{}-{}", object.id, kind.word());
    Ok(DisplayModel {
        path: assets.add(&name, "glb", glb.to_vec()),
        bytes: glb.len(),
        facts,
    })
}

/// The credit line that stays inside the file.
fn copyright(object: &Object, body: &Body) -> String {
    let mut lines: Vec<String> = Vec::new();
    for part in &body.parts {
        if let Some(rights) = object.record.rights.iter().find(|r| r.id == part.rights) {
            let line = format!(
                "{}. {} <{}>",
                rights.holder,
                rights.statement.label(),
                rights.statement
            );
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    lines.join("; ")
}

fn encode(
    object: &Object,
    kind: BodyKind,
    geometry: &BodyGeometry,
    copyright: &str,
) -> Result<Vec<u8>, SiteError> {
    let scan_triangles: usize = geometry
        .parts
        .iter()
        .map(|p| p.mesh.triangles().len())
        .sum();
    let mut simplified = Vec::new();
    for part in &geometry.parts {
        let share = part.mesh.triangles().len() * BUDGET / scan_triangles.max(1);
        simplified.push((
            part.id.as_str(),
            mesh::simplify(&part.mesh, share.max(1000)),
        ));
    }
    let parts: Vec<NamedMesh<'_>> = simplified
        .iter()
        .map(|(name, s)| NamedMesh {
            name,
            mesh: &s.mesh,
            normals: Some(&s.normals),
        })
        .collect();
    let deviation = simplified
        .iter()
        .map(|(_, s)| s.deviation)
        .reduce(Deviation::union);
    let extras = serde_json::json!({
        "counterpart": { "object": object.id, "number": object.record.identification.number, "body": kind.word(),
                         "unit": "metre", "frame": "+Y up" }
    });
    let written = mesh::glb_display(
        &parts,
        &mesh::GlbFacts {
            copyright: Some(copyright.to_owned()),
            extras,
        },
    )
    .map_err(|e| {
        SiteError::Picture(format!(
            "the model of ‘{}’ cannot be written: {}",
            object.id, e.what
        ))
    })?;
    let deviation =
        deviation.ok_or_else(|| SiteError::Picture(format!("‘{}’ has no parts", object.id)))?;
    let facts = ModelFacts {
        triangles: simplified
            .iter()
            .map(|(_, s)| s.mesh.triangles().len())
            .sum(),
        scan_triangles,
        max_mm: deviation.max_mm + written.quantisation_mm,
        rms_mm: deviation.rms_mm.hypot(written.quantisation_mm),
    };
    let facts = serde_json::to_vec(&facts).map_err(|e| SiteError::Picture(e.to_string()))?;
    let mut out = (facts.len() as u64).to_le_bytes().to_vec();
    out.extend_from_slice(&facts);
    out.extend_from_slice(&written.bytes);
    Ok(out)
}
