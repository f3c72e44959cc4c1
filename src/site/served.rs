//! What a site serves of an object, told to the open formats.

use super::pictures::{DetailView, ObjectPictures, is_there};
use crate::annotation::Still;
use crate::collate::ObjectGeometry;
use crate::formats::{LevelFile, PictureFile, Served};
use crate::record::{BodyKind, Detail, Object};

pub(super) fn served(object: &Object, geometry: &ObjectGeometry, made: &ObjectPictures) -> Served {
    let models = made.models.iter().map(|(kind, levels)| {
        let of = levels.iter().map(|level| LevelFile {
            level: level.level,
            path: level.path.clone(),
            bytes: level.bytes,
            triangles: level.facts.triangles,
            strays_mm: level.facts.max_mm,
        });
        (*kind, of.collect())
    });
    let plates = made.plates.iter();
    let stills = geometry.bodies.keys().map(|kind| {
        let of = object.details.iter().filter(|d| is_there(d, *kind));
        let still = |detail: &Detail| {
            let view = made.details.get(&detail.id)?;
            let still = still(detail, *kind, geometry, view)?;
            Some((detail.id.clone(), still))
        };
        (*kind, of.filter_map(still).collect())
    });
    Served {
        models: models.collect(),
        plates: plates
            .filter_map(|(kind, plate)| Some((*kind, plate.files.largest()?)))
            .collect(),
        stills: stills.collect(),
    }
}

/// The place of a detail on its still: the square around its patch, as far as it is in the picture.
fn still(
    detail: &Detail,
    kind: BodyKind,
    geometry: &ObjectGeometry,
    view: &DetailView,
) -> Option<Still> {
    let place = geometry.places.get(&detail.id)?.get(&kind)?;
    let PictureFile {
        path,
        media_type,
        size_px,
    } = view.files.get(&kind)?.largest()?;
    let camera = &view.camera;
    let scale = f64::from(size_px[1]) / f64::from(camera.size_px[1].max(1));
    let centre = camera.project(place.point).map(|c| c * scale);
    let radius = detail.record.anchor.radius_mm / camera.pixel_mm() * scale;
    let [left, top] = [0, 1].map(|k| within(centre[k] - radius, size_px[k]));
    let [right, bottom] = [0, 1].map(|k| within(centre[k] + radius, size_px[k]));
    if right <= left || bottom <= top {
        return None;
    }
    Some(Still {
        path,
        format: media_type,
        region_px: [left, top, right - left, bottom - top],
    })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "kept within the picture first"
)]
fn within(place: f64, length: u32) -> u32 {
    place.round().clamp(0.0, f64::from(length)) as u32
}
