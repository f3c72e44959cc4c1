//! A difference between two bodies: where it is, and how large.

use super::moved::moved;
use super::patches::{Patch, widened};
use super::volume::between_mm3;
use super::{Band, Field};
use crate::mesh::{FacesAround, Spot};
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// In which way the replica differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Kind {
    /// It has more.
    Gained,
    /// It has less.
    Lost,
    /// It has more on one side and as much less beside it.
    Moved,
}

impl Kind {
    /// A stable name, for records, interface words and data.
    pub fn word(self) -> &'static str {
        match self {
            Self::Gained => "gained",
            Self::Lost => "lost",
            Self::Moved => "moved",
        }
    }
}

/// One connected difference.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Region {
    /// In which way.
    pub kind: Kind,
    /// Area of the surface beyond the tolerance, on the body where it stands out, mm².
    pub area_mm2: f64,
    /// Expanded uncertainty of the area (k = 2), mm²: half of what it would change if the tolerance were
    /// less, and more, by the expanded uncertainty of a distance.
    pub area_expanded_mm2: f64,
    /// Volume between the surfaces, mm³, followed out to where the difference ends in the noise.
    pub volume_mm3: f64,
    /// Expanded uncertainty of the volume (k = 2), mm³.
    pub volume_expanded_mm3: f64,
    /// Of a moved region: the volume of the side that is less, mm³.
    pub moved_mm3: Option<f64>,
    /// Greatest distance between the surfaces, millimetres.
    pub max_mm: f64,
    /// Mean distance over the area, millimetres.
    pub mean_mm: f64,
    /// A corner of the region near its middle, on the body where it stands out.
    pub centre: DVec3,
    /// Outward unit normal of the surface there, averaged over the region.
    pub normal: DVec3,
    /// Ball around all of it.
    pub spot: Spot,
    /// Lengths of the upright box around it, millimetres.
    pub extent_mm: DVec3,
    /// Its corners on the original and on the replica.
    pub corners: [Vec<u32>; 2],
}

/// Patches that are too small to be told from chance.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Specks {
    /// How many.
    pub count: usize,
    /// Their area, mm².
    pub area_mm2: f64,
    /// The greatest distance in any, millimetres.
    pub max_mm: f64,
}

/// A patch with fewer corners, on both surfaces together, is a speck,
pub const SPECK: usize = 12;
/// … unless it stands out by more than so many standard deviations.
const FAR: f64 = 6.0;
/// A distance is the mean of a corner and some six around it.
const AVERAGED: f64 = 7.0;

/// How sure one distance is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sureness {
    /// Standard deviation from corner to corner, millimetres.
    pub noise_mm: f64,
    /// Standard uncertainty that all distances share, millimetres.
    pub shared_mm: f64,
}

/// Distance of the original's surface and of the replica's that is the middle of what is no difference.
fn usual_mm(band: &Band) -> [f64; 2] {
    let coating = band.coating_mm.iter().sum::<f64>() / 2.0;
    [-coating, coating]
}

/// Makes regions of patches, the largest volume first.
pub(super) fn measure(
    fields: [&Field; 2],
    patches: Vec<Patch>,
    band: &Band,
    sure: &Sureness,
) -> (Vec<Region>, Specks) {
    let usual = usual_mm(band);
    let [first, second] = fields;
    let faces_around = |f: &Field| FacesAround::of(f.places.len(), &f.triangles);
    let (first, second) = rayon::join(|| faces_around(first), || faces_around(second));
    let faces = [first, second];
    let mut taken = fields.map(|f| vec![0u32; f.places.len()]);
    let mut specks = Specks::default();
    let mut kept: Vec<Patch> = Vec::new();
    for patch in patches {
        if patch.corners.iter().map(Vec::len).sum::<usize>() < SPECK
            && !stands_out(fields, &patch, band, sure)
        {
            specks.count += 1;
            for body in [0, 1] {
                for i in patch.corners[body].iter().map(|i| *i as usize) {
                    specks.area_mm2 += fields[body].shares_mm2[i];
                    specks.max_mm = specks.max_mm.max(fields[body].signed_mm[i].abs());
                }
            }
        } else {
            kept.push(patch);
        }
    }
    // Nothing may be followed into a neighbour: all are marked before any is widened.
    for (mark, patch) in (1u32..).zip(&kept) {
        for body in [0, 1] {
            for i in &patch.corners[body] {
                taken[body][*i as usize] = mark;
            }
        }
    }
    let mut regions: Vec<Region> = Vec::with_capacity(kept.len());
    for (mark, patch) in (1u32..).zip(kept) {
        let mut volumes = [0.0f64; 2];
        let mut wide_mm2 = 0.0f64;
        let mut count = 1.0f64;
        let mut areas = [0.0f64; 2];
        for body in [0, 1] {
            let (field, own) = (fields[body], &patch.corners[body]);
            let offset = usual[body];
            let wide = widened(field, own, &mut taken[body], mark, sure, offset);
            let around = faces[body].touching(&wide);
            volumes[body] = between_mm3(
                field,
                |i| [0, mark].contains(&taken[body][i as usize]),
                &around,
            );
            areas[body] = doubtful_mm2(field, &wide, offset, band.half_mm(), sure);
            let area: f64 = wide.iter().map(|i| field.shares_mm2[*i as usize]).sum();
            if area > wide_mm2 {
                (wide_mm2, count) = (area, wide.len().max(1) as f64);
            }
        }
        if let Some(region) = region(
            fields,
            &patch,
            volumes,
            (wide_mm2, count),
            areas,
            sure,
            &faces,
        ) {
            regions.push(region);
        }
    }
    let regions = moved(fields, regions);
    (regions, specks)
}

/// Whether a few corners lie so far beyond the tolerance that chance does not put them there: the mean
/// of one and those around it, by more than `FAR` of its own standard deviations.
fn stands_out(fields: [&Field; 2], patch: &Patch, band: &Band, sure: &Sureness) -> bool {
    let limit_mm = band.half_mm() + FAR * sure.noise_mm / AVERAGED.sqrt();
    let usual = usual_mm(band);
    [0, 1].into_iter().any(|body| {
        patch.corners[body].iter().any(|i| {
            let off_mm = fields[body].smooth_mm[*i as usize] - usual[body];
            off_mm.abs() > limit_mm
        })
    })
}

/// Half of the area whose distance beyond the usual lies within twice its standard uncertainty of the
/// limit, `half_mm`.
fn doubtful_mm2(
    field: &Field,
    corners: &[u32],
    usual_mm: f64,
    half_mm: f64,
    sure: &Sureness,
) -> f64 {
    let near_mm = 2.0 * (sure.noise_mm / AVERAGED.sqrt()).hypot(sure.shared_mm);
    let doubtful = corners.iter().map(|i| *i as usize).filter(|i| {
        let off_mm = (field.smooth_mm[*i] - usual_mm).abs();
        (off_mm - half_mm).abs() < near_mm
    });
    // A sum of nothing is minus zero.
    doubtful.map(|i| field.shares_mm2[i]).sum::<f64>() / 2.0 + 0.0
}

fn region(
    fields: [&Field; 2],
    patch: &Patch,
    volumes: [f64; 2],
    (wide_mm2, count): (f64, f64),
    areas: [f64; 2],
    sure: &Sureness,
    faces: &[FacesAround; 2],
) -> Option<Region> {
    let kind = patch.kind?;
    // What is gained stands out on the replica, what is lost on the original; a hole that was
    // filled or bored is seen from its inside only.
    let outside = usize::from(kind == Kind::Gained);
    let body = if patch.corners[outside].is_empty() {
        1 - outside
    } else {
        outside
    };
    let field = fields[body];
    let corners = &patch.corners[body];
    let area_mm2: f64 = corners.iter().map(|i| field.shares_mm2[*i as usize]).sum();
    let mut max_mm = 0.0f64;
    for side in [0, 1] {
        for i in &patch.corners[side] {
            max_mm = max_mm.max(fields[side].signed_mm[*i as usize].abs());
        }
    }
    let weighed = |value: &dyn Fn(usize) -> DVec3| {
        let sum: DVec3 = corners
            .iter()
            .map(|i| value(*i as usize) * field.shares_mm2[*i as usize])
            .sum();
        sum / area_mm2.max(f64::MIN_POSITIVE)
    };
    let middle = weighed(&|i| field.places[i]);
    let mean_mm = weighed(&|i| DVec3::X * field.signed_mm[i].abs()).x;
    let centre = corners
        .iter()
        .map(|i| field.places[*i as usize])
        .min_by(|a, b| {
            a.distance_squared(middle)
                .total_cmp(&b.distance_squared(middle))
        })?;
    let points = corners.iter().map(|i| field.places[*i as usize]);
    let (low, high) = points
        .clone()
        .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(l, h), p| {
            (l.min(p), h.max(p))
        });
    // Seen from both sides the volume is the same, unless the nearest points leap over a part of
    // it: then the side that sees more is right.
    let [a, b] = volumes.map(f64::abs);
    let volume_mm3 = if (a - b).abs() < 0.01 * a.max(b) {
        (a + b) / 2.0
    } else {
        a.max(b)
    };
    let by_noise = sure.noise_mm * wide_mm2 / count.sqrt();
    let by_shared = sure.shared_mm * wide_mm2;
    Some(Region {
        kind,
        area_mm2,
        area_expanded_mm2: areas[body],
        volume_mm3,
        volume_expanded_mm3: 2.0 * by_noise.hypot(by_shared),
        moved_mm3: None,
        max_mm,
        mean_mm,
        centre,
        normal: normal(field, &faces[body].touching(corners)),
        spot: Spot::around(points),
        extent_mm: high - low,
        corners: patch.corners.clone(),
    })
}

/// Mean outward normal over these triangles.
fn normal(field: &Field, faces: &[u32]) -> DVec3 {
    let sum: DVec3 = faces
        .iter()
        .map(|face| {
            let [a, b, c] = field.triangles[*face as usize].map(|i| field.places[i as usize]);
            (b - a).cross(c - a)
        })
        .sum();
    sum.normalize_or(DVec3::Y)
}
