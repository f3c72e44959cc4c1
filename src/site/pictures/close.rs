//! Stills of the details from close by, on every body from one camera. Where a part stands before a
//! detail it is taken away for the picture, or its own part is cut open.

use super::PictureFiles;
use super::pending::{Pending, take_all};
use super::stills::{DETAIL_PX, Stage, seen};
use crate::collate::{BodyGeometry, ObjectGeometry, PartGeometry, Sight};
use crate::picture::{self, CUTAWAY_METHOD, Camera, Finish, PictureError, STILL_METHOD, Scene};
use crate::profile::Plane;
use crate::record::{BodyKind, Detail, DetailId, Object, PartId, ViewFrom};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::Key;
use std::collections::BTreeMap;

/// A detail fills this share of its still's half height.
const DETAIL_FILL: f64 = 0.42;
/// Closest that a still goes: half of its height, millimetres. Closer, the scan itself is coarse.
const CLOSEST_MM: f64 = 9.0;
/// A still of something cut open goes no closer than this share of the part's height, so that it is
/// seen what was cut.
const CUT_SHOWN: f64 = 0.4;
/// The cut face throws nothing back like metal.
const CUT_FINISH: Finish = Finish {
    roughness: 1.0,
    metallic: 0.0,
};

/// One detail from close by.
#[derive(Debug, Clone)]
pub(crate) struct DetailView {
    pub(crate) files: BTreeMap<BodyKind, PictureFiles>,
    pub(crate) camera: Camera,
    /// Direction of sight for the model that is turned.
    pub(crate) on_model: ViewFrom,
    /// Parts that are taken away.
    pub(crate) without: Vec<PartId>,
    /// Whether its own part is cut open.
    pub(crate) cut: bool,
    /// Share of the detail that is seen, on the bodies on which it is.
    pub(crate) seen: BTreeMap<BodyKind, f64>,
    /// Details that the stills show, with their places (pixels); none where something is left out.
    pub(crate) beside: BTreeMap<BodyKind, BTreeMap<DetailId, [f64; 2]>>,
}

/// Takes the stills of every detail that has a place.
pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    geometry: &ObjectGeometry,
    stages: &BTreeMap<BodyKind, Stage>,
    assets: &Assets,
    next: &mut dyn FnMut(&str),
) -> Result<BTreeMap<DetailId, DetailView>, SiteError> {
    let mut views = BTreeMap::new();
    let (mut whose, mut pending) = (Vec::new(), Vec::new());
    for detail in &object.details {
        let place = geometry.places.get(&detail.id);
        let place = place.and_then(|p| p.get(&detail.record.anchor.body));
        let (Some(place), Some(sight)) = (place, geometry.sights.get(&detail.id)) else {
            continue;
        };
        let camera = Camera::at(
            place.point,
            sight.from.azimuth_deg,
            sight.from.elevation_deg,
            half_height_mm(detail, sight, geometry),
            DETAIL_PX,
        );
        let mut view = DetailView {
            files: BTreeMap::new(),
            camera,
            on_model: sight.on_model,
            without: sight.without.clone(),
            cut: sight.cut.is_some(),
            seen: sight.seen.clone(),
            beside: BTreeMap::new(),
        };
        for (kind, stage) in stages {
            let name = format!("{}-{}-{}", object.id, detail.id, kind.word());
            let told = format!("still of {}, {}", detail.id, kind.word());
            let still = match geometry.bodies.get(kind) {
                Some(body) if !view.without.is_empty() || view.cut => {
                    opened(detail, body, sight, camera, name, told)
                }
                _ => {
                    let mut there = seen(object, geometry, *kind, &stage.scene, &camera);
                    there.retain(|_, at| within(*at));
                    view.beside.insert(*kind, there);
                    Some(stage.pending(&camera, name, told))
                }
            };
            if let Some(still) = still {
                whose.push((detail.id.clone(), *kind));
                pending.push(still);
            }
        }
        views.insert(detail.id.clone(), view);
    }
    let files = take_all(request, &pending, assets, next)?;
    for ((id, kind), files) in whose.into_iter().zip(files) {
        if let Some(view) = views.get_mut(&id) {
            view.files.insert(kind, files);
        }
    }
    Ok(views)
}

/// Whether a place lies in a detail's still, clear of its edge.
fn within(at: [f64; 2]) -> bool {
    (0..2).all(|k| {
        let size = f64::from(DETAIL_PX[k]);
        (0.04 * size..0.96 * size).contains(&at[k])
    })
}

fn half_height_mm(detail: &Detail, sight: &Sight, geometry: &ObjectGeometry) -> f64 {
    let near = (detail.record.anchor.radius_mm / DETAIL_FILL).max(CLOSEST_MM);
    let body = geometry.bodies.get(&detail.record.anchor.body);
    let part = body.and_then(|b| b.part(&detail.record.part));
    match part.and_then(|p| p.mesh.bounds()) {
        Some(bounds) if sight.cut.is_some() => near.max(bounds.size().y * CUT_SHOWN),
        _ => near,
    }
}

/// A still with something left out; nothing when nothing of the body is left.
fn opened<'a>(
    detail: &'a Detail,
    body: &'a BodyGeometry,
    sight: &'a Sight,
    camera: Camera,
    name: String,
    told: String,
) -> Option<Pending<'a>> {
    let cut_of = |part: &PartGeometry| sight.cut.filter(|_| part.id == detail.record.part);
    let left: Vec<_> = body
        .parts
        .iter()
        .filter(|p| !sight.without.contains(&p.id))
        .filter(|p| cut_of(p).is_none_or(|plane| reaches_behind(p, &plane)))
        .collect();
    if left.is_empty() {
        return None;
    }
    let mut key = Key::of(STILL_METHOD).and(&camera.digest_bytes());
    for part in &left {
        key = key.and(&part.digest);
        if let Some(plane) = cut_of(part) {
            key = key.and(CUTAWAY_METHOD.as_bytes());
            for number in [plane.origin, plane.right, plane.up]
                .map(|d| d.to_array())
                .as_flattened()
            {
                key = key.and(&number.to_le_bytes());
            }
        }
    }
    let take = move || {
        let mut parts = Vec::new();
        for part in &left {
            match cut_of(part) {
                None => parts.push((part.mesh.clone(), Finish::default())),
                Some(plane) => {
                    let open = picture::cut_open(&part.mesh, part.sides.welded(), &plane);
                    parts.extend(open.rest.map(|mesh| (mesh, Finish::default())));
                    parts.extend(open.face.map(|mesh| (mesh, CUT_FINISH)));
                }
            }
        }
        let scene = Scene::new(parts).ok_or_else(PictureError::nothing_to_show)?;
        picture::still_files(&picture::still(&scene, &camera))
    };
    Some(Pending {
        told,
        name,
        key,
        take: Box::new(take),
    })
}

/// Whether anything of a part is left when it is cut.
fn reaches_behind(part: &PartGeometry, plane: &Plane) -> bool {
    let toward = plane.toward_eye();
    let mut points = part.mesh.positions().iter();
    points.any(|p| (p.as_dvec3() - plane.origin).dot(toward) < 0.0)
}
