//! A surface made ready for alignment: tree, sides, and what its own points say of their noise.

use crate::mesh::{Bounds, Mesh};
use crate::space::{Sides, Tree};
use glam::DVec3;
use rayon::prelude::*;

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
}

/// Points spread evenly over a surface.
#[derive(Debug, Clone, Default)]
pub struct Samples {
    /// Points, millimetres.
    pub points: Vec<DVec3>,
    /// Outward unit normals there.
    pub normals: Vec<DVec3>,
}

/// What a surface's own points say of their quality.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Grain {
    /// Standard deviation of the points about the surface between them, millimetres. Grain of the
    /// material counts as noise of the scan: nothing in the points tells the two apart.
    pub noise_mm: f64,
    /// How far the flat triangles stray from the round surface between their corners: one edge in
    /// twenty strays by more, millimetres.
    pub sagitta_mm: f64,
    /// The same of a usual edge, the median, millimetres.
    pub usual_sagitta_mm: f64,
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

    /// Noise and roundness, from every corner and edge.
    pub fn grain(&self) -> Grain {
        let welded = self.sides.welded();
        let at = |i: u32| welded.places[i as usize].as_dvec3();
        let normals: Vec<DVec3> = (0u32..)
            .take(welded.places.len())
            .map(|i| self.sides.normal(i))
            .collect();
        let (mut sums, mut counts) = (vec![DVec3::ZERO; normals.len()], vec![0.0; normals.len()]);
        for t in &welded.triangles {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                sums[a as usize] += at(b);
                sums[b as usize] += at(a);
                counts[a as usize] += 1.0;
                counts[b as usize] += 1.0;
            }
        }
        // How far a corner stands out of the ring around it; the mean of the ring's own takes away
        // what is curvature and not noise.
        let stands: Vec<f64> = (0..normals.len())
            .map(|i| {
                let ring = sums[i] / f64::max(counts[i], 1.0);
                #[expect(clippy::cast_possible_truncation, reason = "places are counted in u32")]
                let here = at(i as u32);
                (here - ring).dot(normals[i])
            })
            .collect();
        let (mut around, mut weight) = (vec![0.0; normals.len()], vec![0.0; normals.len()]);
        for t in &welded.triangles {
            for k in 0..3 {
                let (a, b) = (t[k] as usize, t[(k + 1) % 3] as usize);
                around[a] += stands[b];
                around[b] += stands[a];
                weight[a] += 1.0;
                weight[b] += 1.0;
            }
        }
        // A corner of a box stands out by its shape.
        let mut sharp = vec![false; normals.len()];
        for t in &welded.triangles {
            let [a, b, c] = t.map(at);
            let flat = (b - a).cross(c - a).normalize_or_zero();
            for i in t {
                sharp[*i as usize] |= normals[*i as usize].dot(flat) < CREASE.cos();
            }
        }
        let mut left: Vec<f64> = (0..normals.len())
            .filter(|&i| weight[i] > 0.0 && !sharp[i])
            .map(|i| (stands[i] - around[i] / weight[i]).abs())
            .collect();
        let (usual_sagitta_mm, sagitta_mm) = self.sagittas_mm();
        Grain {
            noise_mm: NORMAL * median(&mut left) / RINGS,
            sagitta_mm,
            usual_sagitta_mm,
        }
    }

    /// An arc of curvature κ rises over a chord of length L by κL²/8; the curvature is the angle
    /// between neighbouring triangles over the distance of their middles. Creases are not round.
    fn sagittas_mm(&self) -> (f64, f64) {
        let faces = 0..u32::try_from(self.mesh.triangles().len()).unwrap_or(u32::MAX);
        let flat = |face: u32| {
            let [a, b, c] = self.mesh.corners(face);
            ((a + b + c) / 3.0, (b - a).cross(c - a).normalize_or_zero())
        };
        let mut bows: Vec<f64> = faces
            .flat_map(|face| {
                let corners = self.mesh.corners(face);
                let (middle, normal) = flat(face);
                let across = self.sides.across(face);
                (0..3).filter_map(move |k| {
                    let (other, turned) = flat(across[k]?);
                    let angle = normal.cross(turned).length().atan2(normal.dot(turned));
                    let chord = corners[(k + 1) % 3].distance_squared(corners[(k + 2) % 3]);
                    let apart = middle.distance(other);
                    (angle < CREASE && apart > 0.0).then(|| chord * angle / (8.0 * apart))
                })
            })
            .collect();
        let Some(last) = bows.len().checked_sub(1) else {
            return (0.0, 0.0);
        };
        // Unlike noise, this has the same sign all over a bend: what counts is the roundest part.
        let high = last - last / 20;
        let high = *bows.select_nth_unstable_by(high, f64::total_cmp).1;
        (median(&mut bows), high)
    }
}

/// Triangles that meet at a sharper angle form an edge, not a curve: 40 degrees.
const CREASE: f64 = 0.7;
/// Median deviation to standard deviation of a normal law.
pub(super) const NORMAL: f64 = 1.482_602_218_505_602;
/// Independent noise of 1 mm in every corner of a net of equilateral triangles makes this much of
/// the twice-differenced height: the root of the sum of the squared weights 7/6, six of −5/18, six
/// of 1/18 and six of 1/36.
const RINGS: f64 = 1.359_126;

/// The median; 0 of nothing.
pub(super) fn median(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}
