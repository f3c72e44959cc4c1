//! Stills of what was measured to differ: each body from its plate's camera, and each region from
//! close by.

use super::PictureFiles;
use super::models::{MeasuredBody, field_bytes};
use super::pending::{Pending, take_all};
use super::stills::{BodyPlate, DETAIL_PX, Stage, facing};
use crate::collate::{BodyGeometry, Collation, ObjectGeometry, shown_on};
use crate::differ::{Band, Comparison, Field, Region, Scale};
use crate::mesh::Mesh;
use crate::picture::{
    self, Camera, Compared, DIFFERENCE_METHOD, DifferenceScene, PictureError, Scene,
};
use crate::record::{BodyKind, Object, PartId, ViewFrom};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::Key;
use crate::view::{ENOUGH, LeftOut, Patch, Scenery, choose};
use glam::DVec3;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A region's ball fills this share of its still: half the height over the ball's radius.
const REGION_FRAME: f64 = 1.6;
/// Pixels of a whole body; it has the frame of its plate, and no letters.
const BODY_PX: [u32; 2] = [1200, 960];
/// Closest that a region's still goes: half of its height, millimetres. Closer, the scan itself is
/// coarse.
const CLOSEST_MM: f64 = 6.0;

/// Everything that is drawn of a comparison.
#[derive(Debug)]
pub(crate) struct Differences {
    /// Each body from its plate's camera.
    pub(crate) bodies: BTreeMap<BodyKind, PictureFiles>,
    /// The largest difference of every group from close by, in the order of the groups.
    pub(crate) groups: Vec<DrawnGroup>,
    /// How the replica's distances are told: of parts with several tolerances, the widest.
    pub(crate) scale: Scale,
}

/// One difference from close by.
#[derive(Debug)]
pub(crate) struct DrawnGroup {
    /// The body that is seen.
    pub(crate) body: BodyKind,
    /// The direction of sight.
    pub(crate) from: ViewFrom,
    pub(crate) files: PictureFiles,
}

/// Draws what differs; nothing without a replica or a part to compare. `stages` are those of the
/// plates.
pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    geometry: &ObjectGeometry,
    plates: &BTreeMap<BodyKind, BodyPlate>,
    stages: &BTreeMap<BodyKind, Stage>,
    assets: &Assets,
    next: &mut dyn FnMut(&str),
) -> Result<Option<Differences>, SiteError> {
    let Some(collation) = &geometry.collation else {
        return Ok(None);
    };
    let Some(band) = band(collation) else {
        return Ok(None);
    };
    let inked: BTreeMap<BodyKind, DifferenceStage<'_>> = (geometry.bodies.iter())
        .map(|(kind, body)| {
            (
                *kind,
                stage(collation, body, *kind, &band, stages.get(kind)),
            )
        })
        .collect();
    let (mut kinds, mut pending) = (Vec::new(), Vec::new());
    for (kind, stage) in &inked {
        if let Some(plate) = plates.get(kind) {
            let camera = Camera {
                size_px: BODY_PX,
                ..plate.camera
            };
            kinds.push(*kind);
            pending.push(stage.pending(
                camera,
                format!("{}-{}-differences", object.id, kind.word()),
                format!("differences of {}, {}", object.id, kind.word()),
            ));
        }
    }
    let mut from = Vec::new();
    for group in collation.groups() {
        let Some(found) = collation.shown(&group) else {
            continue;
        };
        let Some(region) = collation.region(found) else {
            continue;
        };
        let kind = shown_on(region.kind);
        let Some(stage) = inked.get(&kind) else {
            continue;
        };
        let name = format!("{}-difference-{}", object.id, found.number);
        let near = Near::of(region);
        let sight = near.from(&geometry.bodies[&kind], &found.part);
        from.push((kind, sight));
        pending.push(stage.pending(near.camera(sight), name.clone(), name));
    }
    let mut files = take_all(request, &pending, assets, next)?.into_iter();
    let bodies = kinds.into_iter().zip(files.by_ref()).collect();
    let groups = from.into_iter().zip(files);
    Ok(Some(Differences {
        bodies,
        groups: groups
            .map(|((body, from), files)| DrawnGroup { body, from, files })
            .collect(),
        scale: Scale::of_replica(&band),
    }))
}

/// A body with what was measured on it; `plain` is what its plate shows.
fn stage<'a>(
    collation: &'a Collation,
    body: &'a BodyGeometry,
    kind: BodyKind,
    band: &Band,
    plain: Option<&'a Stage>,
) -> DifferenceStage<'a> {
    let shown: Vec<Shown<'_>> = (body.parts.iter())
        .filter_map(|part| {
            let compared = &collation.part(&part.id)?.comparison;
            Some(Shown {
                mesh: &part.mesh,
                digest: part.digest,
                field: of_body(compared, kind),
            })
        })
        .collect();
    // Where every part is compared, the plate shows the same parts.
    let plain = plain.filter(|_| shown.len() == body.parts.len());
    DifferenceStage::set(shown, plain.map(|stage| &stage.scene), scale(band, kind))
}

/// One band for all parts: of several tolerances the widest.
fn band(collation: &Collation) -> Option<Band> {
    let bands = collation.parts.iter().map(|p| p.band);
    bands.max_by(|a, b| a.tolerance_mm.total_cmp(&b.tolerance_mm))
}

fn scale(band: &Band, kind: BodyKind) -> Scale {
    match kind {
        BodyKind::Original => Scale::of_original(band),
        BodyKind::Replica => Scale::of_replica(band),
    }
}

fn of_body(compared: &Comparison, kind: BodyKind) -> &Field {
    match kind {
        BodyKind::Original => &compared.original,
        BodyKind::Replica => &compared.replica,
    }
}

/// What was measured on a body, for the sheets of its models; nothing without a comparison.
pub(super) fn measured(geometry: &ObjectGeometry, kind: BodyKind) -> Option<MeasuredBody<'_>> {
    let collation = geometry.collation.as_ref()?;
    let parts = collation.parts.iter();
    Some(MeasuredBody {
        scale: scale(&band(collation)?, kind),
        fields: parts
            .map(|p| (p.part.clone(), of_body(&p.comparison, kind)))
            .collect(),
    })
}

/// A part of a body with what was measured on it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shown<'a> {
    pub(crate) mesh: &'a Mesh,
    /// Of the model's file.
    pub(crate) digest: [u8; 32],
    pub(crate) field: &'a Field,
}

/// Where a region lies, in the frame of the body that is shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Near {
    pub(crate) centre: DVec3,
    /// A point of it.
    at: DVec3,
    pub(crate) normal: DVec3,
    pub(crate) radius_mm: f64,
}

impl Near {
    /// A region on the body in whose frame it was measured.
    pub(crate) fn of(region: &Region) -> Self {
        Self {
            centre: region.spot.centre,
            at: region.centre,
            normal: region.normal,
            radius_mm: region.spot.radius_mm,
        }
    }

    /// Straight onto the region, or where that is hidden by other surface, from where it is seen
    /// best.
    fn from(&self, body: &BodyGeometry, part: &PartId) -> ViewFrom {
        let straight = facing(self.normal);
        let parts = body.parts.iter().map(|p| p.to_be_seen()).collect();
        let own = body.parts.iter().position(|p| &p.id == part);
        let seen = own.and_then(|own| {
            let scenery = Scenery::of(parts, own)?;
            let own = body.parts[own].to_be_seen();
            let patch = Patch::of(own, self.at, self.normal, self.radius_mm)?;
            let share = scenery.seen(&patch, straight, &LeftOut::default());
            (share < ENOUGH).then(|| (share, choose(&scenery, &patch, None).whole))
        });
        match seen {
            Some((share, (from, better))) if better > share => from,
            _ => straight,
        }
    }

    /// Looks at the region.
    pub(crate) fn camera(&self, from: ViewFrom) -> Camera {
        Camera::at(
            self.centre,
            from.azimuth_deg,
            from.elevation_deg,
            (self.radius_mm * REGION_FRAME).max(CLOSEST_MM),
            DETAIL_PX,
        )
    }
}

/// A body that is made ready when the first of its stills is not in the store.
pub(crate) struct DifferenceStage<'a> {
    parts: Vec<Shown<'a>>,
    /// That shows just these parts.
    plain: Option<&'a Scene>,
    scale: Scale,
    key: Key,
    scene: OnceLock<DifferenceScene>,
}

impl<'a> DifferenceStage<'a> {
    /// Of these parts; `plain` is a scene that shows just them, if there is one already.
    fn set(parts: Vec<Shown<'a>>, plain: Option<&'a Scene>, scale: Scale) -> Self {
        let mut key = Key::of(DIFFERENCE_METHOD)
            .and(picture::STILL_METHOD.as_bytes())
            .and(&scale.digest_bytes());
        for part in &parts {
            key = key.and(&part.digest).and(&field_bytes(part.field));
        }
        Self {
            parts,
            plain,
            scale,
            key,
            scene: OnceLock::new(),
        }
    }

    /// The still of this camera; `name` begins the names of its files, `told` is what is said of it.
    fn pending(&self, camera: Camera, name: String, told: String) -> Pending<'_> {
        Pending {
            told,
            name,
            key: self.key.clone().and(&camera.digest_bytes()),
            take: Box::new(move || self.scene()?.seen(&camera).files()),
        }
    }

    fn scene(&self) -> Result<&DifferenceScene, PictureError> {
        if let Some(scene) = self.scene.get() {
            return Ok(scene);
        }
        let parts: Vec<Compared<'_>> = self
            .parts
            .iter()
            .map(|part| Compared {
                mesh: part.mesh,
                field: part.field,
            })
            .collect();
        let scene = match self.plain {
            Some(plain) => DifferenceScene::of(plain, &parts, self.scale)?,
            None => DifferenceScene::new(&parts, self.scale)?,
        };
        // Two stills may be the first; both have made the same.
        Ok(self.scene.get_or_init(|| scene))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::align::{Pose, Surface};
    use crate::differ::{Kind, Sureness, compare};
    use crate::space::{Sides, Tree};
    use crate::store::Store;
    use glam::Vec3;

    /// A square tile of 40 mm, facing up, with a square of so many millimetres higher in the middle.
    fn tile(up: f32) -> Mesh {
        let n = 40u16;
        let positions = (0..=n)
            .flat_map(|z| (0..=n).map(move |x| (f32::from(x), f32::from(z))))
            .map(|(x, z)| {
                let raised = (x - 20.0).abs().max((z - 20.0).abs()) < 5.5;
                Vec3::new(x, if raised { up } else { 0.0 }, z)
            })
            .collect();
        let at = |x: u16, z: u16| u32::from(z * (n + 1) + x);
        let triangles = (0..n)
            .flat_map(|z| (0..n).map(move |x| (x, z)))
            .flat_map(|(x, z)| {
                let [a, b] = [at(x, z), at(x + 1, z)];
                let [c, d] = [at(x + 1, z + 1), at(x, z + 1)];
                [[a, c, b], [a, d, c]]
            })
            .collect();
        Mesh::new(positions, triangles).unwrap()
    }

    #[test]
    fn a_region_fills_its_still_and_the_store_gives_it_again() {
        let (original, replica) = (tile(0.0), tile(0.6));
        let (ta, tb) = (Tree::build(&original), Tree::build(&replica));
        let (sa, sb) = (Sides::of(&original), Sides::of(&replica));
        let band = Band {
            tolerance_mm: 0.2,
            coating_mm: [0.0; 2],
        };
        let found = compare(
            &Surface::of(&original, &ta, &sa).unwrap(),
            &Surface::of(&replica, &tb, &sb).unwrap(),
            &Pose::STILL,
            &band,
            &Sureness {
                noise_mm: 0.01,
                shared_mm: 0.01,
            },
        );
        let [region] = &found.regions[..] else {
            panic!("one region, not {}", found.regions.len());
        };
        assert_eq!(region.kind, Kind::Gained);
        let near = Near::of(region);
        let camera = near.camera(facing(near.normal));
        assert!(camera.elevation_deg > 70.0, "from above");
        // The ball is within the still, and takes up more than half of its height.
        assert!((camera.half_height_mm / near.radius_mm - REGION_FRAME).abs() < 1e-9);

        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).unwrap();
        let part = |digest| Shown {
            mesh: &replica,
            digest: [digest; 32],
            field: &found.replica,
        };
        let made = |digest, scale| {
            let stage = DifferenceStage::set(vec![part(digest)], None, scale);
            let still = stage.pending(camera, "tile-region-1".to_owned(), String::new());
            let sizes = still.sizes(&store).unwrap();
            (sizes, stage.scene.get().is_some())
        };
        let scale = Scale::of_replica(&band);
        let (first, drawn) = made(1, scale);
        assert!(drawn && first.len() > 1);
        assert_eq!(made(1, scale), (first.clone(), false), "from the store");
        assert!(made(2, scale).1, "another model");
        let other = Scale::of_original(&band);
        let (turned, drawn) = made(1, other);
        assert!(drawn && turned != first, "another scale is another picture");
    }
}
