//! Details in raking light, on every body that has them, under the same lamps.

use super::stills::Stage;
use super::{DetailView, PictureFiles, is_there};
use crate::collate::ObjectGeometry;
use crate::picture::{self, Camera, PictureError, RakedDetail, Side, Sized};
use crate::record::{BodyKind, Detail, DetailId, Object};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::Key;
use std::collections::BTreeMap;

/// Pixels of each picture: as many as a column of the page shows, since there are ten to a body.
const RAKED_PX: [u32; 2] = [640, 512];
/// The detail fills this share of the picture's half height: closer than a still, since lettering is
/// to be read.
const FILL: f64 = 0.6;
/// Closest that a picture goes: half of its height, millimetres. Closer, the scan itself is coarse.
const CLOSEST_MM: f64 = 6.0;

/// One detail in raking light.
#[derive(Debug, Clone)]
pub(crate) struct RakedView {
    /// Height of the lamps above the surface.
    pub(crate) height_deg: f64,
    pub(crate) bodies: BTreeMap<BodyKind, RakedFiles>,
}

/// Its pictures on one body.
#[derive(Debug, Clone)]
pub(crate) struct RakedFiles {
    /// In the order of [`Side::ALL`].
    pub(crate) sides: Vec<(Side, PictureFiles)>,
    pub(crate) combined: PictureFiles,
    pub(crate) even: PictureFiles,
}

pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    geometry: &ObjectGeometry,
    stages: &BTreeMap<BodyKind, Stage>,
    views: &BTreeMap<DetailId, DetailView>,
    assets: &Assets,
    next: &mut dyn FnMut(&str),
) -> Result<BTreeMap<DetailId, RakedView>, SiteError> {
    let mut all = BTreeMap::new();
    for detail in object.details.iter().filter(|d| d.record.raked()) {
        next(&format!("raking light on {}", detail.id));
        let place = geometry
            .places
            .get(&detail.id)
            .and_then(|places| places.get(&detail.record.anchor.body));
        // Without a place or a still there was a finding, or the detail is on no body.
        let (Some(place), Some(view)) = (place, views.get(&detail.id)) else {
            continue;
        };
        // Lamps cannot be carried round a place that only a cut or a lifted part lays bare.
        if view.cut || !view.without.is_empty() {
            continue;
        }
        let radius_mm = detail.record.anchor.radius_mm;
        let camera = Camera::at(
            place.point,
            view.camera.azimuth_deg,
            view.camera.elevation_deg,
            (radius_mm / FILL).max(CLOSEST_MM),
            RAKED_PX,
        );
        let bodies = on_bodies(detail, stages);
        if bodies.is_empty() {
            continue;
        }
        let mut key = Key::of(picture::RAKING_METHOD)
            .and(&camera.digest_bytes())
            .and(&radius_mm.to_le_bytes());
        for digest in bodies.iter().flat_map(|(_, stage)| &stage.digests) {
            key = key.and(digest);
        }
        let stored = request
            .store
            .or_make(&key, || taken(&bodies, &camera, radius_mm))
            .map_err(|e| SiteError::Picture(format!("{} in raking light: {e}", detail.id)))?;
        let view = unpacked(&stored, object, detail, &bodies, assets).ok_or_else(|| {
            SiteError::Picture(format!(
                "{}: the stored pictures in raking light cannot be read",
                detail.id
            ))
        })?;
        all.insert(detail.id.clone(), view);
    }
    Ok(all)
}

/// The bodies that have the detail; that of the anchor first, since it decides how low the lamps go.
fn on_bodies<'a>(
    detail: &Detail,
    stages: &'a BTreeMap<BodyKind, Stage>,
) -> Vec<(BodyKind, &'a Stage)> {
    let mut bodies: Vec<(BodyKind, &Stage)> = stages
        .iter()
        .filter(|(kind, _)| is_there(detail, **kind))
        .map(|(kind, stage)| (*kind, stage))
        .collect();
    bodies.sort_by_key(|(kind, _)| *kind != detail.record.anchor.body);
    bodies
}

/// The height of the lamps, then all pictures of one body after the other.
fn taken(
    bodies: &[(BodyKind, &Stage)],
    camera: &Camera,
    radius_mm: f64,
) -> Result<Vec<u8>, PictureError> {
    let mut height_deg = None;
    let mut files = Vec::new();
    for (_, stage) in bodies {
        let seen = RakedDetail::seen(&stage.scene, camera, radius_mm);
        let height_deg = *height_deg.get_or_insert_with(|| seen.lowest_deg());
        files.extend(seen.pictures(height_deg).files()?);
    }
    let mut out = height_deg.unwrap_or_default().to_le_bytes().to_vec();
    out.extend(picture::pack(&files));
    Ok(out)
}

fn unpacked(
    stored: &[u8],
    object: &Object,
    detail: &Detail,
    bodies: &[(BodyKind, &Stage)],
    assets: &Assets,
) -> Option<RakedView> {
    let (height, files) = stored.split_first_chunk()?;
    let files = picture::unpack(files)?;
    let each = Side::ALL.len() + 2;
    if files.len() != bodies.len() * each {
        return None;
    }
    let mut view = RakedView {
        height_deg: f64::from_le_bytes(*height),
        bodies: BTreeMap::new(),
    };
    for ((kind, _), files) in bodies.iter().zip(files.chunks(each)) {
        let add = |file: &Sized, light: &str| {
            let name = format!("{}-{}-{}-lit-{light}", object.id, detail.id, kind.word());
            PictureFiles::add(&name, std::slice::from_ref(file), assets)
        };
        let (sides, [combined, even]) = files.split_last_chunk()?;
        let sides = Side::ALL
            .into_iter()
            .zip(sides)
            .map(|(side, file)| (side, add(file, side.word())))
            .collect();
        let (combined, even) = (add(combined, "combined"), add(even, "even"));
        view.bodies.insert(
            *kind,
            RakedFiles {
                sides,
                combined,
                even,
            },
        );
    }
    Some(view)
}
