//! Stills of both bodies: the overview plate and every detail from close by.

use super::PictureFiles;
use super::sides::{self, Shown, SidePlates};
use crate::collate::{BodyGeometry, ObjectGeometry, Placed};
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
/// A detail fills this share of its still's half height.
const DETAIL_FILL: f64 = 0.42;
/// Closest that a still goes: half of its height, millimetres. Closer, the scan itself is coarse.
const CLOSEST_MM: f64 = 9.0;

/// The overview of one body.
#[derive(Debug, Clone)]
pub(crate) struct BodyPlate {
    pub(crate) files: PictureFiles,
    pub(crate) camera: Camera,
    /// Details that this side shows, with their place in the picture (pixels).
    pub(crate) seen: BTreeMap<DetailId, [f64; 2]>,
}

/// One detail from close by.
#[derive(Debug, Clone)]
pub(crate) struct DetailView {
    pub(crate) files: BTreeMap<BodyKind, PictureFiles>,
    /// Direction of sight.
    pub(crate) from: ViewFrom,
    /// Whether anything stands between the eye and the detail, by body.
    pub(crate) hidden: BTreeMap<BodyKind, bool>,
}

/// All stills of an object.
pub(super) struct Made {
    pub(super) plates: BTreeMap<BodyKind, BodyPlate>,
    pub(super) sides: Vec<SidePlates>,
    pub(super) details: BTreeMap<DetailId, DetailView>,
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
    for (side, camera) in sides::choose(object.record.front, points, shows) {
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
    let mut details = BTreeMap::new();
    for detail in &object.details {
        if let Some(places) = geometry.places.get(&detail.id)
            && let Some(view) = close_view(request, object, detail, places, &scenes, assets, next)?
        {
            details.insert(detail.id.clone(), view);
        }
    }
    Ok(Made {
        plates,
        sides,
        details,
    })
}

/// A scene with the digests of what is in it.
struct Stage {
    scene: Scene,
    digests: Vec<[u8; 32]>,
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

    fn still(
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
        let stored = request.store.or_make(&key, || {
            let still = picture::still(&self.scene, camera);
            let sizes = picture::still_files(&still)
                .map_err(|e| SiteError::Picture(format!("{name}: {e}")))?;
            Ok::<_, SiteError>(picture::pack(&sizes))
        })?;
        let sizes = picture::unpack(&stored).ok_or_else(|| {
            SiteError::Picture(format!("{name}: the stored still cannot be read"))
        })?;
        Ok(PictureFiles::add(name, &sizes, assets))
    }
}

fn seen(
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
    use crate::record::Stands;
    let stands = match kind {
        BodyKind::Original => Some(detail.record.bearing.original),
        BodyKind::Replica => detail.record.bearing.replica,
    };
    matches!(stands, Some(Stands::Present | Stands::Altered))
}

fn close_view(
    request: &Request<'_>,
    object: &Object,
    detail: &Detail,
    places: &BTreeMap<BodyKind, Placed>,
    scenes: &BTreeMap<BodyKind, Stage>,
    assets: &mut Assets,
    next: &mut dyn FnMut(&str),
) -> Result<Option<DetailView>, SiteError> {
    let home = detail.record.anchor.body;
    let Some(place) = places.get(&home) else {
        return Ok(None);
    };
    let from = detail.record.view.unwrap_or_else(|| facing(place.normal));
    let half_height_mm = (detail.record.anchor.radius_mm / DETAIL_FILL).max(CLOSEST_MM);
    let camera = Camera::at(
        place.point,
        from.azimuth_deg,
        from.elevation_deg,
        half_height_mm,
        DETAIL_PX,
    );
    let mut view = DetailView {
        files: BTreeMap::new(),
        from,
        hidden: BTreeMap::new(),
    };
    for (kind, stage) in scenes {
        next(&format!("still of {}, {}", detail.id, kind.word()));
        let name = format!("{}-{}-{}", object.id, detail.id, kind.word());
        view.files
            .insert(*kind, stage.still(request, &camera, &name, assets)?);
        if let Some(place) = places.get(kind) {
            view.hidden.insert(
                *kind,
                !stage.scene.visible(place.point, place.normal, &camera),
            );
        }
    }
    Ok(Some(view))
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
