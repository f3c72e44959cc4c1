//! Distances to a surface on a grid, for trying thousands of poses quickly.

use super::Surface;
use glam::{DVec3, UVec3};
use rayon::prelude::*;

/// Cells along the longest side.
const CELLS: u32 = 32;
/// The grid reaches beyond the surface's box by this share of the diagonal.
const MARGIN: f64 = 0.15;

/// A distance may be too large by this share.
const SPARE: f64 = 0.05;

/// Distances at the corners of cubic cells.
pub(super) struct Grid {
    origin: DVec3,
    cell_mm: f64,
    counts: UVec3,
    distances: Vec<f32>,
    /// Farther than this all is alike, millimetres.
    cap_mm: f32,
}

impl Grid {
    /// Distances to a surface, no more than `cap_mm`.
    pub(super) fn of(surface: &Surface<'_>, cap_mm: f64) -> Self {
        let margin = surface.diagonal_mm() * MARGIN;
        let origin = surface.bounds.min - margin;
        let size = surface.bounds.size() + 2.0 * margin;
        let cell_mm = size.max_element() / f64::from(CELLS);
        let counts = (size / cell_mm).ceil().as_uvec3() + 1;
        #[expect(clippy::cast_possible_truncation, reason = "a coarse look")]
        let cap = cap_mm as f32;
        let rows: Vec<Vec<f32>> = (0..counts.z * counts.y)
            .into_par_iter()
            .map(|row| {
                let mut hint = None;
                let corner = |x: u32| UVec3::new(x, row % counts.y, row / counts.y).as_dvec3();
                let row = (0..counts.x).map(|x| {
                    let point = origin + corner(x) * cell_mm;
                    let Some(met) = surface.tree.closest_after(point, hint, SPARE) else {
                        return cap;
                    };
                    hint = Some(met.slot);
                    #[expect(clippy::cast_possible_truncation, reason = "a coarse look")]
                    let distance = met.distance_mm as f32;
                    distance.min(cap)
                });
                row.collect()
            })
            .collect();
        let distances = rows.into_iter().flatten().collect();
        Self {
            origin,
            cell_mm,
            counts,
            distances,
            cap_mm: cap,
        }
    }

    /// Distance at a point, between the corners of its cell.
    pub(super) fn distance_mm(&self, point: DVec3) -> f32 {
        let at = ((point - self.origin) / self.cell_mm).as_vec3();
        let low = at.floor();
        let highest = (self.counts - 2).as_vec3();
        if low.cmplt(glam::Vec3::ZERO).any() || low.cmpgt(highest).any() {
            return self.cap_mm;
        }
        let part = at - low;
        let base = low.as_uvec3();
        let row = self.counts.x as usize;
        let layer = row * self.counts.y as usize;
        let first = base.x as usize + base.y as usize * row + base.z as usize * layer;
        let d =
            |dx: usize, dy: usize, dz: usize| self.distances[first + dx + dy * row + dz * layer];
        let mix = |a: f32, b: f32, t: f32| a + (b - a) * t;
        let along = |dy, dz| mix(d(0, dy, dz), d(1, dy, dz), part.x);
        let across = |dz| mix(along(0, dz), along(1, dz), part.y);
        mix(across(0), across(1), part.z)
    }
}
