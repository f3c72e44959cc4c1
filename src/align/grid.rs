//! Distances to a surface on a grid, for trying thousands of poses quickly.

use super::Surface;
use glam::{DVec3, UVec3};

/// Cells along the longest side.
const CELLS: u32 = 32;
/// The grid reaches beyond the surface's box by this share of the diagonal.
const MARGIN: f64 = 0.15;

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
        let points: Vec<DVec3> = (0..counts.z)
            .flat_map(|z| (0..counts.y).flat_map(move |y| (0..counts.x).map(move |x| [x, y, z])))
            .map(|at| origin + DVec3::from_array(at.map(f64::from)) * cell_mm)
            .collect();
        #[expect(clippy::cast_possible_truncation, reason = "a coarse look")]
        let cap = cap_mm as f32;
        #[expect(clippy::cast_possible_truncation, reason = "a coarse look")]
        let distances = surface
            .tree
            .closest_of_many(&points)
            .into_iter()
            .map(|c| c.map_or(cap, |c| (c.distance_mm as f32).min(cap)))
            .collect();
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
