//! Corners beyond the tolerance, gathered into patches across both surfaces.

use super::Field;
use super::region::{Kind, Sureness};
use crate::mesh::Sets;
use serde::{Deserialize, Serialize};

/// What counts as within tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// Tolerance, millimetres.
    pub tolerance_mm: f64,
    /// Thickness of a declared coating on the replica, least and greatest, millimetres.
    pub coating_mm: [f64; 2],
}

impl Band {
    /// Lowest and highest distance of the replica's surface from the original that is no
    /// difference.
    pub fn replica(&self) -> [f64; 2] {
        let [low, high] = self.coating_mm;
        [low - self.tolerance_mm, high + self.tolerance_mm]
    }

    /// How far from the middle of what is no difference its ends lie, millimetres.
    pub(super) fn half_mm(&self) -> f64 {
        let [low, high] = self.replica();
        (high - low) / 2.0
    }

    /// The same, of the original's surface from the replica.
    pub fn original(&self) -> [f64; 2] {
        let [low, high] = self.replica();
        [-high, -low]
    }
}

/// Corners of both surfaces that belong to one difference.
#[derive(Debug, Clone, Default)]
pub(super) struct Patch {
    pub(super) kind: Option<Kind>,
    /// On the original and on the replica.
    pub(super) corners: [Vec<u32>; 2],
}

/// Gathers the patches of two fields, first the original's, in the order of their first corner.
pub(super) fn gather(fields: [&Field; 2], band: &Band) -> Vec<Patch> {
    let offset = fields[0].places.len();
    let kinds: [Vec<Option<Kind>>; 2] = [
        classes(fields[0], band.original(), Kind::Gained, Kind::Lost),
        classes(fields[1], band.replica(), Kind::Lost, Kind::Gained),
    ];
    let mut sets = Sets::new(offset + fields[1].places.len());
    let number = |body: usize, i: u32| {
        #[expect(clippy::cast_possible_truncation, reason = "places are counted in u32")]
        let base = if body == 0 { 0 } else { offset as u32 };
        base + i
    };
    for body in [0, 1] {
        let (field, own, other) = (fields[body], &kinds[body], &kinds[1 - body]);
        for (i, kind) in (0u32..).zip(own) {
            if kind.is_none() {
                continue;
            }
            for j in field.around.corner(i as usize) {
                if own[*j as usize] == *kind {
                    sets.join(number(body, i), number(body, *j));
                }
            }
            let foot = field.foot_places[i as usize];
            if other[foot as usize] == *kind {
                sets.join(number(body, i), number(1 - body, foot));
            }
        }
    }
    let mut keyed: Vec<(u32, usize, u32)> = Vec::new();
    for (body, own) in kinds.iter().enumerate() {
        for (i, _) in (0u32..).zip(own).filter(|(_, k)| k.is_some()) {
            keyed.push((sets.find(number(body, i)), body, i));
        }
    }
    keyed.sort_unstable();
    keyed
        .chunk_by(|a, b| a.0 == b.0)
        .map(|group| {
            let mut patch = Patch::default();
            for &(_, body, i) in group {
                patch.kind = kinds[body][i as usize];
                patch.corners[body].push(i);
            }
            patch
        })
        .collect()
}

fn classes(field: &Field, [low, high]: [f64; 2], below: Kind, above: Kind) -> Vec<Option<Kind>> {
    (0..field.places.len())
        .map(|i| match field.smooth_mm[i] {
            _ if !field.captured[i] => None,
            d if d < low => Some(below),
            d if d > high => Some(above),
            _ => None,
        })
        .collect()
}

/// Corners that belong to a patch, and those around it as far as the difference can be followed:
/// ring by ring until the mean of a ring is no longer told from its noise and from what all
/// distances may be off together. The choice is made for whole rings, so that chance does not favour
/// one sign.
pub(super) fn widened(
    field: &Field,
    corners: &[u32],
    taken: &mut [u32],
    mark: u32,
    sure: &Sureness,
    usual_mm: f64,
) -> Vec<u32> {
    for i in corners {
        taken[*i as usize] = mark;
    }
    let mut all = corners.to_vec();
    let mut ring = corners.to_vec();
    let first = Ring::of(field, corners, usual_mm);
    let room_mm2 = FOOT * first.area_mm2;
    let (mut area_mm2, mut last_mm) = (first.area_mm2, f64::INFINITY);
    loop {
        let mut next: Vec<u32> = Vec::new();
        for i in &ring {
            for j in field.around.corner(*i as usize) {
                if taken[*j as usize] == 0 && field.captured[*j as usize] {
                    taken[*j as usize] = mark;
                    next.push(*j);
                }
            }
        }
        let found = Ring::of(field, &next, usual_mm);
        let height_mm = found.mean_mm * first.mean_mm.signum();
        let chance_mm = sure.noise_mm * found.spread;
        area_mm2 += found.area_mm2;
        let ends = height_mm < chance_mm.hypot(sure.shared_mm);
        // A ring that rises again belongs to something else.
        let rises = height_mm > last_mm + 3.0 * chance_mm;
        if next.is_empty() || ends || rises || area_mm2 > room_mm2 {
            for j in next {
                taken[j as usize] = 0;
            }
            return all;
        }
        last_mm = height_mm;
        all.extend(&next);
        ring = next;
    }
}

/// Corners that lie as far from a patch.
struct Ring {
    area_mm2: f64,
    /// Mean distance beyond the usual, weighted by area.
    mean_mm: f64,
    /// Standard deviation of that mean over that of one corner.
    spread: f64,
}

impl Ring {
    fn of(field: &Field, corners: &[u32], usual_mm: f64) -> Self {
        let shares = || {
            let own = |i: &u32| (*i as usize, field.shares_mm2[*i as usize]);
            corners.iter().map(own)
        };
        let area_mm2: f64 = shares().map(|s| s.1).sum();
        let sum: f64 = shares()
            .map(|(i, share)| share * (field.signed_mm[i] - usual_mm))
            .sum();
        let squares: f64 = shares().map(|s| s.1 * s.1).sum();
        let whole = area_mm2.max(f64::MIN_POSITIVE);
        Self {
            area_mm2,
            mean_mm: sum / whole,
            spread: squares.sqrt() / whole,
        }
    }
}

/// With all around it, a difference takes no more than so many times the area that is beyond the
/// tolerance: the foot of a bell is two and a half times as wide as its upper half.
const FOOT: f64 = 8.0;
