//! How open each place is to the sky around it: what is dark in grooves and under rims.

use super::unwrap::smooth_normals;
use crate::mesh::{Mesh, weld};
use crate::space::Tree;
use glam::DVec3;
use rayon::prelude::*;

/// Rays from one vertex.
const RAYS: u32 = 96;
/// Rays end after so many diagonals: none is longer.
const REACH: f64 = 1.0;
/// Rays start so far above the surface, as a share of the diagonal.
const LIFT: f64 = 4e-4;

/// Openness at every vertex of one mesh, to be asked anywhere near it.
#[derive(Debug)]
pub struct Shade {
    mesh: Mesh,
    tree: Tree,
    open: Vec<f32>,
}

impl Shade {
    /// Shoots rays from the vertices of `fine`, a close likeness of the scan whose tree is given:
    /// the share of them, weighted by the cosine, that meet nothing.
    pub fn of(fine: &Mesh, scan: &Tree) -> Self {
        let diagonal = fine.bounds().map_or(0.0, |b| b.size().length());
        let normals = smooth_normals(fine);
        let rough: Vec<f32> = fine
            .positions()
            .par_iter()
            .zip(&normals)
            .map(|(p, normal)| open(p.as_dvec3(), *normal, diagonal, scan))
            .collect();
        Self {
            open: evened(fine, &rough),
            tree: Tree::build(fine),
            mesh: fine.clone(),
        }
    }

    /// Openness at the nearest place, 0 (shut in) to 1.
    pub fn at(&self, point: DVec3) -> f32 {
        self.tree.closest(point).map_or(1.0, |near| {
            let corners = self.mesh.triangles()[near.face as usize];
            corners
                .iter()
                .zip(near.barycentric)
                .map(|(corner, weight)| {
                    #[expect(clippy::cast_possible_truncation, reason = "a share")]
                    let weight = weight as f32;
                    self.open[*corner as usize] * weight
                })
                .sum()
        })
    }
}

/// Directions spread evenly over the cosine (Hammersley points on Malley's disc; Pharr, Jakob and
/// Humphreys, *Physically Based Rendering*, 3rd edition, sections 7.4.1 and 13.6.3), turned about
/// the normal by an angle of the place's own, so that no pattern runs over the surface.
fn open(point: DVec3, normal: DVec3, diagonal: f64, scan: &Tree) -> f32 {
    let (a, b) = normal.any_orthonormal_pair();
    let start = point + normal * (LIFT * diagonal);
    let bits = point.to_array().iter().fold(0u64, |h, c| {
        (h ^ c.to_bits())
            .wrapping_mul(0x9E37_79B9_7F4A_7C15)
            .rotate_left(29)
    });
    #[expect(clippy::cast_precision_loss, reason = "any angle will do")]
    let turn = (bits >> 40) as f64 / (1u64 << 24) as f64;
    let met = (0..RAYS)
        .filter(|i| {
            let share = (f64::from(*i) + 0.5) / f64::from(RAYS);
            let angle =
                (f64::from(i.reverse_bits()) / 2f64.powi(32) + turn) * std::f64::consts::TAU;
            let away = share.sqrt();
            let direction =
                a * (away * angle.cos()) + b * (away * angle.sin()) + normal * (1.0 - share).sqrt();
            scan.blocked(start, direction, REACH * diagonal)
        })
        .count();
    #[expect(clippy::cast_precision_loss, reason = "at most 96")]
    let open = 1.0 - met as f32 / RAYS as f32;
    open
}

/// Half of each vertex's value, half of its neighbours' mean: the grain of so few rays goes.
fn evened(mesh: &Mesh, rough: &[f32]) -> Vec<f32> {
    let welded = weld(mesh);
    let mut sums = vec![(0.0f32, 0.0f32); welded.places.len()];
    for (triangle, corners) in welded.triangles.iter().zip(mesh.triangles()) {
        for k in 0..3 {
            for other in [(k + 1) % 3, (k + 2) % 3] {
                let sum = &mut sums[triangle[k] as usize];
                sum.0 += rough[corners[other] as usize];
                sum.1 += 1.0;
            }
        }
    }
    rough
        .iter()
        .zip(&welded.place_of)
        .map(|(own, place)| {
            let (sum, count) = sums[*place as usize];
            if count > 0.0 {
                (own + sum / count) / 2.0
            } else {
                *own
            }
        })
        .collect()
}
