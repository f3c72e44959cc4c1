//! Nearest points: one at a time, or many at once.

use super::tree::Tree;
use super::triangle::{Nearest, closest_on_triangle};
use super::wide::{Stack, Within, around};
use glam::{DVec3, Vec3A, Vec4};
use rayon::prelude::*;

/// The point of a surface nearest to another point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closest {
    /// The point of the surface, millimetres.
    pub point: DVec3,
    /// Its triangle.
    pub face: u32,
    /// Weights of the triangle's corners.
    pub barycentric: [f64; 3],
    /// Distance, millimetres, never negative.
    pub distance_mm: f64,
    /// Unit normal of the triangle; zero for a triangle without area.
    pub normal: DVec3,
    /// Where the tree keeps the triangle: a hint for a point nearby.
    pub(crate) slot: u32,
}

/// Points that are asked one after another by the same processor.
const RUN: usize = 512;
/// Twice the rounding error of single precision, for each of four operations.
const ROUNDING: f32 = 8.0 * f32::EPSILON;

impl Tree {
    /// The nearest point of the surface. `None` when `point` is not finite.
    pub fn closest(&self, point: DVec3) -> Option<Closest> {
        Some(self.found(self.search(point, None, 0.0)?, point))
    }

    /// The nearest point of the surface, sooner when it is near the `hint` that an earlier answer of
    /// this tree gave.
    /// `spare` lets the answer be further off than the nearest by that share, which is found much
    /// sooner from afar.
    pub(crate) fn closest_after(
        &self,
        point: DVec3,
        hint: Option<u32>,
        spare: f64,
    ) -> Option<Closest> {
        Some(self.found(self.search(point, hint, spare)?, point))
    }

    /// The nearest points of many, in their order, on all processors.
    pub fn closest_of_many(&self, points: &[DVec3]) -> Vec<Option<Closest>> {
        let mut out = vec![None; points.len()];
        for (i, answer) in self.each_closest(points, |_, closest| closest) {
            out[i as usize] = Some(answer);
        }
        out
    }

    /// What `make` makes of each point and the nearest to it, with the point's number; nothing for a
    /// point that is not finite. Neighbours are asked one after another, so that each begins where
    /// the last one ended; in that order the answers come.
    pub(crate) fn each_closest<T: Send>(
        &self,
        points: &[DVec3],
        make: impl Fn(DVec3, Closest) -> T + Sync,
    ) -> Vec<(u32, T)> {
        let (low, high) = around(&self.eights);
        let per_mm = 1.0 / (high - low).max_element().max(f64::MIN_POSITIVE);
        let mut order: Vec<u64> = (0u32..)
            .take(points.len())
            .collect::<Vec<u32>>()
            .into_par_iter()
            .map(|i| {
                u64::from(along_curve((points[i as usize] - low) * per_mm)) << 32 | u64::from(i)
            })
            .collect();
        order.par_sort_unstable();
        let make = &make;
        let runs: Vec<Vec<(u32, T)>> = order
            .par_chunks(RUN)
            .map(|run| {
                let mut last = None;
                let answers = run.iter().filter_map(|key| {
                    #[expect(clippy::cast_possible_truncation, reason = "the lower half")]
                    let i = *key as u32;
                    let point = points[i as usize];
                    let met = self.search(point, last, 0.0)?;
                    last = Some(met.0);
                    Some((i, make(point, self.found(met, point))))
                });
                answers.collect()
            })
            .collect();
        runs.into_iter().flatten().collect()
    }

    /// Slot of the nearest triangle and the point on it. `hint` is a slot that may be near; the
    /// answer may be further off than the nearest by the share `spare`.
    fn search(&self, point: DVec3, hint: Option<u32>, spare: f64) -> Option<(u32, Nearest)> {
        if !point.is_finite() {
            return None;
        }
        // Boxes are weighed in single precision. Whatever rounding does to a point or a box stays
        // below the slack, so no box that could hold the nearest point is passed over.
        let near = Vec3A::from(point.as_vec3());
        let slack = ROUNDING * (near.abs().max_element() + self.reach);
        let reaching = |squared: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "rounded up by the slack")]
            let distance = (squared.sqrt() / (1.0 + spare)) as f32 + slack;
            distance * distance
        };
        let (mut best, mut limit, mut found) = (f64::INFINITY, f32::INFINITY, None);
        if let Some(slot) = hint {
            let nearest = closest_on_triangle(point, self.exact(slot as usize));
            best = nearest.point.distance_squared(point);
            limit = reaching(best);
            found = Some((slot, nearest));
        }
        let mut open = Stack::new();
        let mut next = Some(Within::ROOT);
        let four_times = near.to_array().map(Vec4::splat);
        while let Some(within) = next.take().or_else(|| open.pop()) {
            if within.bound > limit {
                continue;
            }
            if within.count == 0 {
                let eight = &self.eights[within.first as usize];
                let bounds = eight.from(&four_times);
                next = eight.sorted((bounds, eight.no_further(bounds, limit)), &mut open);
                continue;
            }
            let bounds = self.packs[within.pack()].from(&four_times);
            for (lane, slot) in (within.first..within.first + within.count).enumerate() {
                if hint == Some(slot) || bounds[lane] > limit {
                    continue;
                }
                let nearest = closest_on_triangle(point, self.exact(slot as usize));
                let squared = nearest.point.distance_squared(point);
                if squared < best {
                    best = squared;
                    found = Some((slot, nearest));
                    limit = reaching(best);
                }
            }
        }
        found
    }

    fn found(&self, (slot, nearest): (u32, Nearest), point: DVec3) -> Closest {
        let [a, b, c] = self.exact(slot as usize);
        Closest {
            point: nearest.point,
            face: self.faces[slot as usize],
            barycentric: nearest.barycentric,
            distance_mm: nearest.point.distance(point),
            normal: (b - a).cross(c - a).normalize_or_zero(),
            slot,
        }
    }
}

/// Place along a space-filling curve (Morton, *A computer oriented geodetic data base*, IBM, 1966) of
/// a place within the unit cube: the bits of the three coordinates in turn.
fn along_curve(share: DVec3) -> u32 {
    const BITS: u32 = 10;
    let cells = share.clamp(DVec3::ZERO, DVec3::ONE).to_array().map(|s| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and 1; what is no number becomes 0"
        )]
        let cell = (s * f64::from((1u32 << BITS) - 1)) as u32;
        // Two free bits after each.
        let cell = (cell | cell << 16) & 0x0300_00ff;
        let cell = (cell | cell << 8) & 0x0300_f00f;
        let cell = (cell | cell << 4) & 0x030c_30c3;
        (cell | cell << 2) & 0x0924_9249
    });
    cells[0] << 2 | cells[1] << 1 | cells[2]
}
