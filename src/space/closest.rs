//! Nearest points: one at a time, or many at once.

use super::tree::Tree;
use super::triangle::{Nearest, closest_on_triangle};
use glam::{DVec3, Vec3A};
use obvhs::aabb::Aabb;
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
        Some(self.found(self.search(point, None)?, point))
    }

    /// The nearest point of the surface, sooner when it is near the `hint` that an earlier answer of
    /// this tree gave.
    pub(crate) fn closest_after(&self, point: DVec3, hint: Option<u32>) -> Option<Closest> {
        Some(self.found(self.search(point, hint)?, point))
    }

    /// The nearest points of many, in their order, on all processors. Neighbours are asked one
    /// after another, so that each begins where the last one ended.
    pub fn closest_of_many(&self, points: &[DVec3]) -> Vec<Option<Closest>> {
        let mut order: Vec<(u64, u32)> = (0u32..)
            .zip(points)
            .map(|(i, p)| (self.along_curve(*p), i))
            .collect();
        order.par_sort_unstable();
        let mut answers: Vec<(u32, Option<Closest>)> = Vec::with_capacity(points.len());
        answers.par_extend(order.par_chunks(RUN).flat_map_iter(|run| {
            let mut last = None;
            run.iter().map(move |&(_, i)| {
                let point = points[i as usize];
                let met = self.search(point, last);
                last = met.map(|(slot, _)| slot).or(last);
                (i, met.map(|m| self.found(m, point)))
            })
        }));
        let mut out = vec![None; points.len()];
        for (i, answer) in answers {
            out[i as usize] = answer;
        }
        out
    }

    /// Place along a space-filling curve (Morton, *A computer oriented geodetic data base*, IBM,
    /// 1966): the bits of the three coordinates in turn.
    fn along_curve(&self, point: DVec3) -> u64 {
        const BITS: u32 = 16;
        let bounds = self.bounds(0);
        let (low, high) = (bounds.min.as_dvec3(), bounds.max.as_dvec3());
        let share = ((point - low) / (high - low).max_element().max(f64::MIN_POSITIVE))
            .clamp(DVec3::ZERO, DVec3::ONE);
        let cells = share.to_array().map(|s| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "between 0 and 1; what is no number becomes 0"
            )]
            let cell = (s * f64::from((1u32 << BITS) - 1)) as u64;
            cell
        });
        (0..BITS).rev().fold(0, |code, bit| {
            cells
                .iter()
                .fold(code, |c, cell| (c << 1) | (cell >> bit & 1))
        })
    }

    /// Slot of the nearest triangle and the point on it. `hint` is a slot that may be near.
    fn search(&self, point: DVec3, hint: Option<u32>) -> Option<(u32, Nearest)> {
        if !point.is_finite() {
            return None;
        }
        // Boxes are weighed in single precision. Whatever rounding does to a point or a box stays
        // below the slack, so no box that could hold the nearest point is passed over.
        let near = Vec3A::from(point.as_vec3());
        let slack = ROUNDING * (near.abs().max_element() + self.reach);
        let within = |squared: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "rounded up by the slack")]
            let distance = squared.sqrt() as f32 + slack;
            distance * distance
        };
        let (mut best, mut limit, mut found) = (f64::INFINITY, f32::INFINITY, None);
        if let Some(slot) = hint {
            let nearest = closest_on_triangle(point, self.exact(slot as usize));
            best = nearest.point.distance_squared(point);
            limit = within(best);
            found = Some((slot, nearest));
        }
        let mut open = Stack::new();
        let mut next = Some((0u32, 0.0));
        while let Some((index, bound)) = next.take().or_else(|| open.pop()) {
            if bound > limit {
                continue;
            }
            let node = &self.bvh.nodes[index as usize];
            if node.prim_count == 0 {
                let [left, right] = [node.first_index, node.first_index + 1];
                let [a, b] = [left, right].map(|c| (c, from_box(near, self.bounds(c))));
                let (first, second) = if a.1 <= b.1 { (a, b) } else { (b, a) };
                if second.1 <= limit {
                    open.push(second);
                }
                next = Some(first);
                continue;
            }
            for slot in node.first_index..node.first_index + node.prim_count {
                if from_box(near, self.corners[slot as usize].aabb()) > limit {
                    continue;
                }
                let nearest = closest_on_triangle(point, self.exact(slot as usize));
                let squared = nearest.point.distance_squared(point);
                if squared < best {
                    best = squared;
                    found = Some((slot, nearest));
                    limit = within(best);
                }
            }
        }
        found
    }

    fn found(&self, (slot, nearest): (u32, Nearest), point: DVec3) -> Closest {
        let [a, b, c] = self.exact(slot as usize);
        Closest {
            point: nearest.point,
            face: self.bvh.primitive_indices[slot as usize],
            barycentric: nearest.barycentric,
            distance_mm: nearest.point.distance(point),
            normal: (b - a).cross(c - a).normalize_or_zero(),
            slot,
        }
    }
}

/// Squared distance to a box.
fn from_box(point: Vec3A, bounds: Aabb) -> f32 {
    let inside = point.max(bounds.min).min(bounds.max);
    (point - inside).length_squared()
}

/// Boxes still to be looked into. The first sixty-four need no memory of their own.
struct Stack {
    near: [(u32, f32); 64],
    count: usize,
    far: Vec<(u32, f32)>,
}

impl Stack {
    fn new() -> Self {
        Self {
            near: [(0, 0.0); 64],
            count: 0,
            far: Vec::new(),
        }
    }

    fn push(&mut self, item: (u32, f32)) {
        match self.near.get_mut(self.count) {
            Some(slot) => {
                *slot = item;
                self.count += 1;
            }
            None => self.far.push(item),
        }
    }

    fn pop(&mut self) -> Option<(u32, f32)> {
        self.far.pop().or_else(|| {
            self.count = self.count.checked_sub(1)?;
            Some(self.near[self.count])
        })
    }
}
