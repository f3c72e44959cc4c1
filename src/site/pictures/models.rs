//! The model that a visitor's device loads: fewer triangles, and by how much it strays.

use super::levels::{self, Blanks, LEVELS, Made, Subject};
use crate::collate::{ObjectGeometry, PartGeometry};
use crate::differ::{Field, Scale};
use crate::mesh::glb_filled;
use crate::record::{Body, BodyKind, Object, PartId};
use crate::reduce::Focus;
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::Key;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Changes whenever the making of a display model changes.
const METHOD: &str = "display model 19";

/// A display model, as a file of the site.
#[derive(Debug, Clone)]
pub(crate) struct DisplayModel {
    /// Name of one of [`LEVELS`].
    pub(crate) level: &'static str,
    /// Path relative to the root of the site.
    pub(crate) path: String,
    /// The same, of what the viewer reads.
    pub(crate) read_from: String,
    pub(crate) bytes: usize,
    pub(crate) facts: ModelFacts,
    /// What was measured, to be laid on the model's sheet.
    pub(crate) difference: Option<DifferenceSheet>,
}

/// A PNG file beside a model: see [`Scale::code`].
#[derive(Debug, Clone)]
pub(crate) struct DifferenceSheet {
    /// Path of what the viewer reads, relative to the root of the site.
    pub(crate) read_from: String,
    pub(crate) bytes: usize,
    pub(crate) scale: Scale,
}

/// What was measured on a body.
#[derive(Debug, Clone)]
pub(crate) struct MeasuredBody<'a> {
    pub(crate) scale: Scale,
    /// By part; one that is missing here was not compared.
    pub(crate) fields: BTreeMap<PartId, &'a Field>,
}

impl MeasuredBody<'_> {
    /// Adds all that pictures of it depend on.
    fn and(&self, key: Key) -> Key {
        let key = key.and(&self.scale.digest_bytes());
        self.fields.iter().fold(key, |key, (part, field)| {
            key.and(part.as_str().as_bytes()).and(&field_bytes(field))
        })
    }
}

/// What a picture shows of a field, for a store's key.
pub(super) fn field_bytes(field: &Field) -> Vec<u8> {
    let distances = field.smooth_mm.iter().flat_map(|d| d.to_le_bytes());
    distances
        .chain(field.captured.iter().map(|c| u8::from(*c)))
        .collect()
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
    /// It was made so coarse that [`Self::rms_mm`] is no less than this, millimetres, since an
    /// agreement asks for it.
    #[serde(default)]
    pub(crate) finest_mm: Option<f64>,
}

pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    kind: BodyKind,
    geometry: &ObjectGeometry,
    measured: Option<&MeasuredBody<'_>>,
    assets: &Assets,
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
    let mut key = Key::of(METHOD).and(kind.word().as_bytes());
    for part in &shape.parts {
        key = key.and(part.id.as_str().as_bytes()).and(&part.digest);
        let finest_mm = object.finest_mm(kind, &part.id).unwrap_or(0.0);
        key = key.and(&finest_mm.to_le_bytes());
        for focus in focuses(object, kind, geometry, part) {
            let numbers = [focus.centre.to_array().as_slice(), &[focus.radius_mm]].concat();
            key = numbers.iter().fold(key, |key, n| key.and(&n.to_le_bytes()));
        }
    }
    if let Some(measured) = measured {
        key = measured.and(key);
    }
    let subject = Subject {
        object,
        kind,
        parts: shape
            .parts
            .iter()
            .map(|part| (part.as_ref(), focuses(object, kind, geometry, part)))
            .collect(),
        finest_mm: shape
            .parts
            .iter()
            .map(|part| object.finest_mm(kind, &part.id))
            .collect(),
        measured,
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
    let copyright = copyright(object, body);
    let words = [
        (Blanks::COPYRIGHT, copyright.as_str()),
        (Blanks::OBJECT, object.id.as_str()),
        (Blanks::NUMBER, &object.record.identification.number),
    ];
    LEVELS
        .iter()
        .zip(made)
        .map(|(level, (facts, glb, difference))| {
            let glb = glb_filled(glb, &words).map_err(|e| SiteError::Picture(e.to_string()))?;
            let name = format!("{}-{}-{}", object.id, kind.word(), level.name);
            Ok(DisplayModel {
                level: level.name,
                read_from: assets.add_read(&name, "glb", &glb),
                path: assets.add(&name, "glb", glb.clone()),
                bytes: glb.len(),
                facts,
                difference: difference
                    .zip(measured)
                    .map(|(png, measured)| DifferenceSheet {
                        read_from: assets.add_read(&format!("{name}-difference"), "png", png),
                        bytes: png.len(),
                        scale: measured.scale,
                    }),
            })
        })
        .collect()
}

/// The facts of all levels and the lengths of their files, the length of that, then the files.
fn pack(levels: &[Made]) -> Result<Vec<u8>, SiteError> {
    let length = |made: &Made| made.difference.as_ref().map(Vec::len);
    let index: Vec<(&ModelFacts, usize, Option<usize>)> = levels
        .iter()
        .map(|made| (&made.facts, made.glb.len(), length(made)))
        .collect();
    let index = serde_json::to_vec(&index).map_err(|e| SiteError::Picture(e.to_string()))?;
    let mut out = (index.len() as u64).to_le_bytes().to_vec();
    out.extend_from_slice(&index);
    for made in levels {
        out.extend_from_slice(&made.glb);
        out.extend_from_slice(made.difference.as_deref().unwrap_or_default());
    }
    Ok(out)
}

/// Facts, model, and the sheet of differences.
type Unpacked<'a> = (ModelFacts, &'a [u8], Option<&'a [u8]>);

fn unpack(stored: &[u8]) -> Option<Vec<Unpacked<'_>>> {
    let (length, rest) = stored.split_first_chunk::<8>()?;
    let length = usize::try_from(u64::from_le_bytes(*length)).ok()?;
    let (index, mut files) = rest.split_at_checked(length)?;
    let index: Vec<(ModelFacts, usize, Option<usize>)> = serde_json::from_slice(index).ok()?;
    index
        .into_iter()
        .map(|(facts, length, more)| {
            let (glb, after) = files.split_at_checked(length)?;
            let (difference, after) = after.split_at_checked(more.unwrap_or(0))?;
            files = after;
            Some((facts, glb, more.map(|_| difference)))
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
