//! The model that a visitor's device loads: fewer triangles, and by how much it strays.

use crate::collate::{BodyGeometry, ObjectGeometry, PartGeometry};
use crate::mesh::{self, NamedMesh};
use crate::record::{Body, BodyKind, Object};
use crate::reduce::{Focus, Measured, Reduced, deviation, simplify};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::Key;
use serde::{Deserialize, Serialize};

/// Levels, the lightest first: where each is for, and its triangles, all parts of a body together.
const LEVELS: [(&str, usize); 3] = [("phone", 40_000), ("desk", 80_000), ("kiosk", 200_000)];
/// Changes whenever the making of a display model changes.
const METHOD: &str = "display model 5";

/// A display model, as a file of the site.
#[derive(Debug, Clone)]
pub(crate) struct DisplayModel {
    /// One of [`LEVELS`].
    pub(crate) level: &'static str,
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
    /// Nowhere does it stray further from the scan, either way, millimetres; rounding to the
    /// file's grid included.
    pub(crate) max_mm: f64,
    /// The same inside the details.
    pub(crate) inside_max_mm: Option<f64>,
    /// Root mean square over the area, millimetres.
    pub(crate) rms_mm: f64,
    /// 95 per cent of the area strays less, millimetres.
    pub(crate) p95_mm: f64,
}

pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    kind: BodyKind,
    geometry: &ObjectGeometry,
    assets: &mut Assets,
) -> Result<Vec<DisplayModel>, SiteError> {
    let body = object
        .record
        .bodies
        .get(kind)
        .ok_or_else(|| SiteError::Picture(format!("‘{}’ has no such body", object.id)))?;
    let shape = geometry
        .bodies
        .get(&kind)
        .ok_or_else(|| SiteError::Picture(format!("‘{}’ has no such body", object.id)))?;
    let copyright = copyright(object, body);
    let mut key = Key::of(METHOD)
        .and(copyright.as_bytes())
        .and(object.id.as_str().as_bytes());
    for part in &shape.parts {
        key = key.and(part.id.as_str().as_bytes()).and(&part.digest);
        for focus in focuses(object, kind, geometry, part) {
            let numbers = [focus.centre.to_array().as_slice(), &[focus.radius_mm]].concat();
            key = numbers.iter().fold(key, |key, n| key.and(&n.to_le_bytes()));
        }
    }
    let mut levels: Vec<DisplayModel> = Vec::new();
    for (level, budget) in LEVELS {
        // Once a level has all there is, a finer one would be the same.
        let whole = |m: &DisplayModel| m.facts.triangles >= m.facts.scan_triangles;
        if levels.last().is_some_and(whole) {
            break;
        }
        let stored = request
            .store
            .or_make(&key.clone().and(&budget.to_le_bytes()), || {
                encode(object, kind, geometry, shape, &copyright, budget)
            })?;
        let (facts, glb) = unpack(&stored).ok_or_else(|| {
            SiteError::Picture(format!(
                "the stored model of ‘{}’ cannot be read",
                object.id
            ))
        })?;
        let name = format!("{}-{}-{level}", object.id, kind.word());
        levels.push(DisplayModel {
            level,
            path: assets.add(&name, "glb", glb.to_vec()),
            bytes: glb.len(),
            facts,
        });
    }
    Ok(levels)
}

/// The facts stand before the model, their length before them.
fn unpack(stored: &[u8]) -> Option<(ModelFacts, &[u8])> {
    let (length, rest) = stored.split_first_chunk::<8>()?;
    let length = usize::try_from(u64::from_le_bytes(*length)).ok()?;
    let (facts, glb) = rest.split_at_checked(length)?;
    Some((serde_json::from_slice(facts).ok()?, glb))
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

/// Where the visitors look on this part: its details, wherever they were found on it.
fn focuses(
    object: &Object,
    kind: BodyKind,
    geometry: &ObjectGeometry,
    part: &PartGeometry,
) -> Vec<Focus> {
    object
        .details
        .iter()
        .filter(|detail| detail.record.part == part.id)
        .filter_map(|detail| {
            let placed = geometry.places.get(&detail.id)?.get(&kind)?;
            Some(Focus {
                centre: placed.point,
                radius_mm: detail.record.anchor.radius_mm,
            })
        })
        .collect()
}

fn encode(
    object: &Object,
    kind: BodyKind,
    geometry: &ObjectGeometry,
    shape: &BodyGeometry,
    copyright: &str,
    budget: usize,
) -> Result<Vec<u8>, SiteError> {
    let triangles = |part: &PartGeometry| part.mesh.triangles().len();
    let scan_triangles: usize = shape.parts.iter().map(triangles).sum();
    let reduced: Vec<(&str, Reduced, Measured)> = shape
        .parts
        .iter()
        .map(|part| {
            let share = (triangles(part) * budget / scan_triangles.max(1)).max(1000);
            let focuses = focuses(object, kind, geometry, part);
            let made = simplify(&part.mesh, share, &focuses);
            let strays = deviation(&part.mesh, &part.tree, &made.mesh, &focuses);
            (part.id.as_str(), made, strays)
        })
        .collect();
    let parts: Vec<NamedMesh<'_>> = reduced
        .iter()
        .map(|(name, r, _)| NamedMesh {
            name,
            mesh: &r.mesh,
            normals: Some(&r.normals),
        })
        .collect();
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
    let facts = facts(&reduced, scan_triangles, written.quantisation_mm)
        .ok_or_else(|| SiteError::Picture(format!("‘{}’ has no parts", object.id)))?;
    let facts = serde_json::to_vec(&facts).map_err(|e| SiteError::Picture(e.to_string()))?;
    let mut out = (facts.len() as u64).to_le_bytes().to_vec();
    out.extend_from_slice(&facts);
    out.extend_from_slice(&written.bytes);
    Ok(out)
}

/// The parts taken together: the largest maximum and percentile (for the percentile an upper
/// bound), the mean square weighted by the samples.
fn facts(
    reduced: &[(&str, Reduced, Measured)],
    scan_triangles: usize,
    grid_mm: f64,
) -> Option<ModelFacts> {
    let measured: Vec<_> = reduced.iter().map(|(_, _, m)| *m).collect();
    let largest = |values: &mut dyn Iterator<Item = f64>| values.reduce(f64::max);
    #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
    let (squares, samples) = measured.iter().fold((0.0, 0.0), |(s, n), m| {
        let count = m.whole.samples as f64;
        (s + m.whole.rms_mm.powi(2) * count, n + count)
    });
    Some(ModelFacts {
        triangles: reduced
            .iter()
            .map(|(_, r, _)| r.mesh.triangles().len())
            .sum(),
        scan_triangles,
        max_mm: largest(&mut measured.iter().map(|m| m.whole.max_mm))? + grid_mm,
        inside_max_mm: largest(&mut measured.iter().filter_map(|m| Some(m.inside?.max_mm)))
            .map(|max| max + grid_mm),
        rms_mm: (squares / f64::max(samples, 1.0)).sqrt().hypot(grid_mm),
        p95_mm: largest(&mut measured.iter().map(|m| m.whole.p95_mm))? + grid_mm,
    })
}
