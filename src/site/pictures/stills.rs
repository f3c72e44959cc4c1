//! Stills of both bodies: the overview plate, and what every other still is taken of.

use super::PictureFiles;
use super::close::{self, DetailView};
use super::pending::{Pending, take_all};
use super::raking::{self, RakedView};
use super::sides::{self, Shown, SidePlates};
use crate::collate::{BodyGeometry, ObjectGeometry};
use crate::picture::{self, Camera, Finish, Scene};
use crate::record::{BodyKind, Detail, DetailId, Object, ViewFrom};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::Key;
use glam::DVec3;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Pixels of the overview: five to four leaves room for letters on either side.
pub(crate) const PLATE_PX: [u32; 2] = [1600, 1280];
/// Pixels of a detail's still.
pub(super) const DETAIL_PX: [u32; 2] = [800, 640];
/// Share of the overview's width (for the letters) and height left free on either side.
pub(super) const PLATE_FREE: [f64; 2] = [0.12, 0.06];

/// The overview of one body.
#[derive(Debug, Clone, Serialize, Deserialize)]
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
    /// What the plates show.
    pub(super) stages: BTreeMap<BodyKind, Stage>,
}

pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    geometry: &ObjectGeometry,
    assets: &Assets,
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
    let mut shown = Vec::new();
    let mut pending = Vec::new();
    for (side, camera) in sides::choose(geometry.front, points, shows) {
        // One camera for both bodies, so that their plates can be laid over one another.
        for (kind, stage) in &scenes {
            let (kind_word, side_word) = (kind.word(), side.word());
            pending.push(stage.pending(
                &camera,
                format!("{}-{kind_word}-{side_word}", object.id),
                format!("plate of {}, {kind_word}, {side_word}", object.id),
            ));
            let seen = seen(object, geometry, *kind, &stage.scene, &camera);
            shown.push((side, *kind, camera, seen));
        }
    }
    let files = take_all(request, &pending, assets, next)?;
    drop(pending);
    let mut sides: Vec<SidePlates> = Vec::new();
    for ((side, kind, camera, seen), files) in shown.into_iter().zip(files) {
        if sides.last().is_none_or(|last| last.side != side) {
            let plates = BTreeMap::new();
            sides.push(SidePlates { side, plates });
        }
        let plate = BodyPlate {
            files,
            camera,
            seen,
        };
        if let Some(last) = sides.last_mut() {
            last.plates.insert(kind, plate);
        }
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
        stages: scenes,
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

    /// A still to be taken of it; `name` begins the names of its files, `told` is what is said of it.
    pub(super) fn pending(&self, camera: &Camera, name: String, told: String) -> Pending<'_> {
        let mut key = Key::of(picture::STILL_METHOD).and(&camera.digest_bytes());
        for digest in &self.digests {
            key = key.and(digest);
        }
        let camera = *camera;
        Pending {
            told,
            name,
            key,
            take: Box::new(move || picture::still_files(&picture::still(&self.scene, &camera))),
        }
    }
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
