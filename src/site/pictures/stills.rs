//! Stills of both bodies: the overview plate, and what every other still is taken of.

use super::PictureFiles;
use super::close::{self, DetailView};
use super::raking::{self, RakedView};
use super::sides::{self, Shown, SidePlates};
use crate::collate::{BodyGeometry, ObjectGeometry};
use crate::picture::{self, Camera, Finish, Scene};
use crate::record::{BodyKind, Detail, DetailId, Object, ViewFrom};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::Key;
use glam::DVec3;
use std::collections::{BTreeMap, BTreeSet};

/// Pixels of the overview: five to four leaves room for letters on either side.
pub(crate) const PLATE_PX: [u32; 2] = [1600, 1280];
/// Pixels of a detail's still.
pub(super) const DETAIL_PX: [u32; 2] = [960, 768];
/// Share of the overview's width (for the letters) and height left free on either side.
pub(super) const PLATE_FREE: [f64; 2] = [0.12, 0.06];

/// The overview of one body.
#[derive(Debug, Clone)]
pub(crate) struct BodyPlate {
    pub(crate) files: PictureFiles,
    pub(crate) camera: Camera,
    /// Details that this side shows, with their place in the picture (pixels).
    pub(crate) seen: BTreeMap<DetailId, [f64; 2]>,
}

/// All stills of an object.
pub(super) struct Made {
    pub(super) plates: BTreeMap<BodyKind, BodyPlate>,
    pub(super) sides: Vec<SidePlates>,
    pub(super) details: BTreeMap<DetailId, DetailView>,
    pub(super) raked: BTreeMap<DetailId, RakedView>,
}

pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    geometry: &ObjectGeometry,
    assets: &mut Assets,
    next: &mut dyn FnMut(&str),
) -> Result<Made, SiteError> {
    let mut scenes = BTreeMap::new();
    for (kind, body) in &geometry.bodies {
        let stage = Stage::set(body);
        scenes.insert(
            *kind,
            stage
                .ok_or_else(|| SiteError::Picture(format!("‘{}’ has an empty body", object.id)))?,
        );
    }
    let points = geometry
        .bodies
        .values()
        .flat_map(|body| &body.parts)
        .flat_map(|part| part.mesh.positions())
        .map(|p| p.as_dvec3());
    let shows = |camera: &Camera| -> BTreeSet<Shown> {
        let on = |(kind, stage): (&BodyKind, &Stage)| {
            let seen = seen(object, geometry, *kind, &stage.scene, camera);
            let kind = *kind;
            seen.into_keys().map(move |id| (kind, id))
        };
        scenes.iter().flat_map(on).collect()
    };
    let mut sides = Vec::new();
    for (side, camera) in sides::choose(geometry.front, points, shows) {
        // One camera for both bodies, so that their plates can be laid over one another.
        let mut plates = BTreeMap::new();
        for (kind, stage) in &scenes {
            let (kind_word, side) = (kind.word(), side.word());
            next(&format!("plate of {}, {kind_word}, {side}", object.id));
            let name = format!("{}-{kind_word}-{side}", object.id);
            let plate = BodyPlate {
                files: stage.still(request, &camera, &name, assets)?,
                camera,
                seen: seen(object, geometry, *kind, &stage.scene, &camera),
            };
            plates.insert(*kind, plate);
        }
        sides.push(SidePlates { side, plates });
    }
    // The first side is the front.
    let plates = sides.remove(0).plates;
    let details = close::make(request, object, geometry, &scenes, assets, next)?;
    let raked = raking::make(request, object, geometry, &scenes, &details, assets, next)?;
    Ok(Made {
        plates,
        sides,
        details,
        raked,
    })
}

/// A scene with the digests of what is in it.
pub(super) struct Stage {
    pub(super) scene: Scene,
    pub(super) digests: Vec<[u8; 32]>,
}

impl Stage {
    fn set(body: &BodyGeometry) -> Option<Self> {
        let parts = body
            .parts
            .iter()
            .map(|p| (p.mesh.clone(), Finish::default()))
            .collect();
        Some(Self {
            scene: Scene::new(parts)?,
            digests: body.parts.iter().map(|p| p.digest).collect(),
        })
    }

    pub(super) fn still(
        &self,
        request: &Request<'_>,
        camera: &Camera,
        name: &str,
        assets: &mut Assets,
    ) -> Result<PictureFiles, SiteError> {
        let mut key = Key::of(picture::STILL_METHOD).and(&camera.digest_bytes());
        for digest in &self.digests {
            key = key.and(digest);
        }
        kept(request, &key, name, assets, || {
            Ok(picture::still(&self.scene, camera))
        })
    }
}

/// A still from the store, or made now and kept there.
pub(super) fn kept(
    request: &Request<'_>,
    key: &Key,
    name: &str,
    assets: &mut Assets,
    still: impl FnOnce() -> Result<image::RgbaImage, SiteError>,
) -> Result<PictureFiles, SiteError> {
    let stored = request.store.or_make(key, || {
        let sizes = picture::still_files(&still()?)
            .map_err(|e| SiteError::Picture(format!("{name}: {e}")))?;
        Ok::<_, SiteError>(picture::pack(&sizes))
    })?;
    let sizes = picture::unpack(&stored)
        .ok_or_else(|| SiteError::Picture(format!("{name}: the stored still cannot be read")))?;
    Ok(PictureFiles::add(name, &sizes, assets))
}

/// Details that a camera sees of a body, with their places in the picture (pixels).
pub(super) fn seen(
    object: &Object,
    geometry: &ObjectGeometry,
    kind: BodyKind,
    scene: &Scene,
    camera: &Camera,
) -> BTreeMap<DetailId, [f64; 2]> {
    let mut seen = BTreeMap::new();
    for detail in &object.details {
        let place = geometry.places.get(&detail.id).and_then(|p| p.get(&kind));
        if let Some(place) = place
            && is_there(detail, kind)
            && scene.visible(place.point, place.normal, camera)
        {
            seen.insert(detail.id.clone(), camera.project(place.point));
        }
    }
    seen
}

/// Whether the detail can be pointed at on this body.
pub(crate) fn is_there(detail: &Detail, kind: BodyKind) -> bool {
    detail.record.bearing.is_on(kind)
}

/// Straight onto the surface, but never quite from above or below, where "up" has no meaning.
pub(super) fn facing(normal: DVec3) -> ViewFrom {
    ViewFrom {
        azimuth_deg: normal.x.atan2(normal.z).to_degrees(),
        elevation_deg: normal
            .y
            .clamp(-1.0, 1.0)
            .asin()
            .to_degrees()
            .clamp(-75.0, 75.0),
    }
}
