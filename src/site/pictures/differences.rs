//! Stills of what was measured to differ: each body from its plate's camera, and each region from
//! close by.

use super::PictureFiles;
use super::models::{MeasuredBody, field_bytes};
use super::stills::{BodyPlate, DETAIL_PX, facing};
use crate::collate::{BodyGeometry, Collation, ObjectGeometry, PartGeometry, shown_on};
use crate::differ::{Band, Comparison, Field, Region, Scale};
use crate::mesh::Mesh;
use crate::picture::{self, Camera, Compared, DIFFERENCE_METHOD, DifferenceScene};
use crate::record::{BodyKind, Object, PartId, ViewFrom};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::{Key, Store};
use crate::view::{ENOUGH, LeftOut, Patch, Scenery, choose};
use glam::DVec3;
use std::collections::BTreeMap;

/// A region's ball fills this share of its still: half the height over the ball's radius.
const REGION_FRAME: f64 = 1.6;
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

/// Draws what differs; nothing without a replica or a part to compare.
pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    geometry: &ObjectGeometry,
    plates: &BTreeMap<BodyKind, BodyPlate>,
    assets: &mut Assets,
    next: &mut dyn FnMut(&str),
) -> Result<Option<Differences>, SiteError> {
    let Some(collation) = &geometry.collation else {
        return Ok(None);
    };
    let Some(band) = band(collation) else {
        return Ok(None);
    };
    let mut stages = BTreeMap::new();
    let mut bodies = BTreeMap::new();
    for (kind, body) in &geometry.bodies {
        let shown = body.parts.iter().filter_map(|part| {
            let compared = &collation.part(&part.id)?.comparison;
            Some(Shown {
                mesh: &part.mesh,
                digest: part.digest,
                field: of_body(compared, *kind),
            })
        });
        let mut stage = DifferenceStage::set(shown.collect(), scale(&band, *kind));
        if let Some(plate) = plates.get(kind) {
            next(&format!("differences of {}, {}", object.id, kind.word()));
            let name = format!("{}-{}-differences", object.id, kind.word());
            let files = stage.still(request.store, &plate.camera, &name, assets)?;
            bodies.insert(*kind, files);
        }
        stages.insert(*kind, stage);
    }
    let mut groups = Vec::new();
    for group in collation.groups() {
        let Some(found) = collation.shown(&group) else {
            continue;
        };
        let Some(region) = collation.region(found) else {
            continue;
        };
        let kind = shown_on(region.kind);
        let Some(stage) = stages.get_mut(&kind) else {
            continue;
        };
        let name = format!("{}-difference-{}", object.id, found.number);
        next(&name);
        let near = Near::of(region);
        let from = near.from(&geometry.bodies[&kind], &found.part);
        let files = stage.still(request.store, &near.camera(from), &name, assets)?;
        groups.push(DrawnGroup {
            body: kind,
            from,
            files,
        });
    }
    Ok(Some(Differences {
        bodies,
        groups,
        scale: Scale::of_replica(&band),
    }))
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
        let parts = body.parts.iter().map(PartGeometry::to_be_seen).collect();
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
    scale: Scale,
    key: Key,
    scene: Option<DifferenceScene>,
}

impl<'a> DifferenceStage<'a> {
    pub(crate) fn set(parts: Vec<Shown<'a>>, scale: Scale) -> Self {
        let mut key = Key::of(DIFFERENCE_METHOD)
            .and(picture::STILL_METHOD.as_bytes())
            .and(&scale.digest_bytes());
        for part in &parts {
            key = key.and(&part.digest).and(&field_bytes(part.field));
        }
        Self {
            parts,
            scale,
            key,
            scene: None,
        }
    }

    /// The still of this camera; `name` begins the names of its files.
    pub(crate) fn still(
        &mut self,
        store: &Store,
        camera: &Camera,
        name: &str,
        assets: &mut Assets,
    ) -> Result<PictureFiles, SiteError> {
        let key = self.key.clone().and(&camera.digest_bytes());
        let refused = |e: &dyn std::fmt::Display| SiteError::Picture(format!("{name}: {e}"));
        let stored = store.or_make(&key, || {
            let files = self
                .scene()
                .and_then(|scene| scene.seen(camera).files())
                .map_err(|e| refused(&e))?;
            Ok::<_, SiteError>(picture::pack(&files))
        })?;
        let sizes =
            picture::unpack(&stored).ok_or_else(|| refused(&"the stored still cannot be read"))?;
        Ok(PictureFiles::add(name, &sizes, assets))
    }

    fn scene(&mut self) -> Result<&DifferenceScene, picture::PictureError> {
        let scene = match self.scene.take() {
            Some(scene) => scene,
            None => {
                let parts: Vec<Compared<'_>> = self
                    .parts
                    .iter()
                    .map(|part| Compared {
                        mesh: part.mesh,
                        field: part.field,
                    })
                    .collect();
                DifferenceScene::new(&parts, self.scale)?
            }
        };
        Ok(self.scene.insert(scene))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::align::{Pose, Surface};
    use crate::differ::{Kind, Sureness, compare};
    use crate::space::{Sides, Tree};
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
            let mut assets = Assets::default();
            let mut stage = DifferenceStage::set(vec![part(digest)], scale);
            let files = stage.still(&store, &camera, "tile-region-1", &mut assets);
            (format!("{:?}", files.unwrap()), stage.scene.is_some())
        };
        let scale = Scale::of_replica(&band);
        let (first, drawn) = made(1, scale);
        assert!(drawn && first.contains("tile-region-1"), "{first}");
        assert_eq!(made(1, scale), (first.clone(), false), "from the store");
        assert!(made(2, scale).1, "another model");
        let other = Scale::of_original(&band);
        let (turned, drawn) = made(1, other);
        assert!(drawn && turned != first, "another scale is another picture");
    }
}
