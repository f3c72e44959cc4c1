//! The model that a visitor's device loads: fewer triangles, and by how much it strays.

use super::levels::{self, LEVELS, Subject};
use crate::collate::{ObjectGeometry, PartGeometry};
use crate::record::{Body, BodyKind, Object};
use crate::reduce::Focus;
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::Key;
use serde::{Deserialize, Serialize};

/// Changes whenever the making of a display model changes.
const METHOD: &str = "display model 14";

/// A display model, as a file of the site.
#[derive(Debug, Clone)]
pub(crate) struct DisplayModel {
    /// Name of one of [`LEVELS`].
    pub(crate) level: &'static str,
    /// Path relative to the root of the site.
    pub(crate) path: String,
    pub(crate) bytes: usize,
    pub(crate) facts: ModelFacts,
}

/// What is known of it.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
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
    /// Width on the surface of one point of the pictures that carry its finer relief, millimetres;
    /// `None` when the surface falls into too many pieces to have them.
    pub(crate) texel_mm: Option<f64>,
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
    let subject = Subject {
        object,
        kind,
        parts: shape
            .parts
            .iter()
            .map(|part| (part, focuses(object, kind, geometry, part)))
            .collect(),
        copyright: &copyright,
    };
    let stored = request
        .store
        .or_make(&key, || pack(&levels::all(&subject)?))?;
    let made = unpack(&stored).ok_or_else(|| {
        SiteError::Picture(format!(
            "the stored models of ‘{}’ cannot be read",
            object.id
        ))
    })?;
    Ok(LEVELS
        .iter()
        .zip(made)
        .map(|(level, (facts, glb))| DisplayModel {
            level: level.name,
            path: assets.add(
                &format!("{}-{}-{}", object.id, kind.word(), level.name),
                "glb",
                glb.to_vec(),
            ),
            bytes: glb.len(),
            facts,
        })
        .collect())
}

/// The facts of all levels and the lengths of their files, the length of that, then the files.
fn pack(levels: &[(ModelFacts, Vec<u8>)]) -> Result<Vec<u8>, SiteError> {
    let index: Vec<(&ModelFacts, usize)> = levels.iter().map(|(f, glb)| (f, glb.len())).collect();
    let index = serde_json::to_vec(&index).map_err(|e| SiteError::Picture(e.to_string()))?;
    let mut out = (index.len() as u64).to_le_bytes().to_vec();
    out.extend_from_slice(&index);
    for (_, glb) in levels {
        out.extend_from_slice(glb);
    }
    Ok(out)
}

fn unpack(stored: &[u8]) -> Option<Vec<(ModelFacts, &[u8])>> {
    let (length, rest) = stored.split_first_chunk::<8>()?;
    let length = usize::try_from(u64::from_le_bytes(*length)).ok()?;
    let (index, mut files) = rest.split_at_checked(length)?;
    let index: Vec<(ModelFacts, usize)> = serde_json::from_slice(index).ok()?;
    index
        .into_iter()
        .map(|(facts, length)| {
            let (glb, after) = files.split_at_checked(length)?;
            files = after;
            Some((facts, glb))
        })
        .collect()
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
