//! A surface made ready for alignment: tree, sides, and points spread over it.

use super::Grain;
use crate::mesh::{Bounds, Mesh};
use crate::space::{Sides, Tree};
use glam::DVec3;
use rayon::prelude::*;
use std::sync::OnceLock;

/// A mesh with everything that alignment and comparison ask of it.
#[derive(Debug)]
pub struct Surface<'a> {
    /// The surface, millimetres.
    pub mesh: &'a Mesh,
    /// Its tree.
    pub tree: &'a Tree,
    /// Its outward directions and rims.
    pub sides: &'a Sides,
    /// Box around it.
    pub bounds: Bounds,
    /// Middle of the surface, weighted by area.
    pub centre: DVec3,
    /// Root mean square distance of the surface from its middle, millimetres.
    pub radius_mm: f64,
    /// Running sum of the triangles' areas, mm².
    areas: Vec<f64>,
    /// Worked out when it is first asked for.
    pub(super) grain: OnceLock<Grain>,
}

/// Points spread evenly over a surface.
#[derive(Debug, Clone, Default)]
pub struct Samples {
    /// Points, millimetres.
    pub points: Vec<DVec3>,
    /// Outward unit normals there.
    pub normals: Vec<DVec3>,
}

impl<'a> Surface<'a> {
    /// Prepares a surface. `None` never occurs for a mesh with a triangle.
    pub fn of(mesh: &'a Mesh, tree: &'a Tree, sides: &'a Sides) -> Option<Self> {
        let bounds = mesh.bounds()?;
        let mut areas = Vec::with_capacity(mesh.triangles().len());
        let (mut area, mut first, mut second) = (0.0, DVec3::ZERO, 0.0);
        let origin = bounds.centre();
        for face in (0u32..).take(mesh.triangles().len()) {
            let [a, b, c] = mesh.corners(face).map(|p| p - origin);
            let own = (b - a).cross(c - a).length() / 2.0;
            let middle = (a + b + c) / 3.0;
            area += own;
            first += middle * own;
            // ∫ |x|² over a triangle: area/12 · (Σ |p|² + 9 |middle|²).
            let squares = a.length_squared() + b.length_squared() + c.length_squared();
            second += own / 12.0 * (squares + 9.0 * middle.length_squared());
            areas.push(area);
        }
        let whole = area.max(f64::MIN_POSITIVE);
        let middle = first / whole;
        Some(Self {
            mesh,
            tree,
            sides,
            bounds,
            centre: origin + middle,
            radius_mm: (second / whole - middle.length_squared()).max(0.0).sqrt(),
            areas,
            grain: OnceLock::new(),
        })
    }

    /// Length of the box's diagonal, millimetres.
    pub fn diagonal_mm(&self) -> f64 {
        self.bounds.size().length()
    }

    /// Area of the surface, mm².
    pub fn area_mm2(&self) -> f64 {
        self.areas.last().copied().unwrap_or(0.0)
    }

    /// `count` points at equal steps of area, one to each step, so that every patch has its share.
    /// Another `turn` (0 to 1) gives other points.
    pub fn samples(&self, count: usize, turn: f64) -> Samples {
        let step = self.area_mm2() / count.max(1) as f64;
        let drawn: Vec<(DVec3, DVec3)> = (0..count)
            .into_par_iter()
            .map(|i| {
                // Additive recurrences of the plastic number spread evenly in the square (Roberts,
                // "The unreasonable effectiveness of quasirandom sequences", 2018).
                let fraction = |rate: f64| (turn + rate * (i as f64 + 1.0)).fract();
                let (u, v) = (
                    fraction(0.754_877_666_246_692_7),
                    fraction(0.569_840_290_998_053_2),
                );
                let wanted = (i as f64 + fraction(0.618_033_988_749_894_8)) * step;
                let face = self.areas.partition_point(|a| *a < wanted);
                self.at(face.min(self.areas.len() - 1), u, v)
            })
            .collect();
        let (points, normals) = drawn.into_iter().unzip();
        Samples { points, normals }
    }

    /// A point of a triangle, and the normal there, smooth between the corners.
    fn at(&self, face: usize, u: f64, v: f64) -> (DVec3, DVec3) {
        // Uniform on a triangle (Turk, Graphics Gems, 1990).
        let root = u.sqrt();
        let weights = [1.0 - root, root * (1.0 - v), root * v];
        #[expect(
            clippy::cast_possible_truncation,
            reason = "triangles are counted in u32"
        )]
        let corners = self.mesh.corners(face as u32);
        let point = (0..3).map(|k| corners[k] * weights[k]).sum();
        (point, self.smooth_normal(face, weights))
    }

    /// The normal between the corners' own; the flat one where those cancel.
    pub(super) fn smooth_normal(&self, face: usize, weights: [f64; 3]) -> DVec3 {
        let places = self.sides.welded().triangles[face];
        let mixed: DVec3 = (0..3)
            .map(|k| self.sides.normal(places[k]) * weights[k])
            .sum();
        #[expect(
            clippy::cast_possible_truncation,
            reason = "triangles are counted in u32"
        )]
        let [a, b, c] = self.mesh.corners(face as u32);
        let flat = (b - a).cross(c - a).normalize_or_zero();
        if mixed.dot(flat) > 0.0 {
            mixed.normalize_or(flat)
        } else {
            flat
        }
    }
}
