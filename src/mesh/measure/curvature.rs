//! The integral mean curvature of a surface, and with it the volume of a wall along its inside.

use super::edges::examine;
use crate::mesh::{Mesh, weld};
use glam::DVec3;
use std::f64::consts::PI;

/// Edges that turn by more than this are counted as sharp, radians (30°): a scan of a smooth
/// surface turns by less from one triangle to the next, noise and all.
const SHARP: f64 = PI / 6.0;
/// Sharper edges than this are reckoned as no sharper, radians (160°), since the tangent of a
/// knife's edge has no bound.
const SHARPEST: f64 = PI * 8.0 / 9.0;

/// What the edges of a surface say about its bending.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curvature {
    /// Integral of the mean curvature over the surface, millimetres: ½ Σ length × signed angle
    /// between the normals of the two triangles, positive where the edge is convex.
    pub mean_integral_mm: f64,
    /// Euler characteristic with every opening closed by a disc: 2 for a ball, 0 for a ring.
    pub euler: i64,
    /// Σ length × (tan ½θ − ½θ) over sharp convex edges, millimetres: how far they are from
    /// being round.
    pub sharp_mm: f64,
}

/// A wall of even thickness along the inside of a closed surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    /// Its volume, cubic millimetres.
    pub volume_mm3: f64,
    /// Sharp edges may take away so much or add it, cubic millimetres.
    pub within_mm3: f64,
    /// Area of its inner side, square millimetres. Not above zero when the wall is too thick to
    /// have one.
    pub inner_area_mm2: f64,
}

impl Curvature {
    /// The wall of thickness t inside a surface of area A, by the formula of Steiner (1840; for
    /// example Santaló, *Integral Geometry and Geometric Probability*, chapter 13) taken inward:
    /// V = A t − M t² + (4π/3) t³ χ/2. It holds where the surface is nowhere bent more sharply
    /// than t allows. At a sharp convex edge of angle θ the inner sides meet earlier, and the
    /// term is tan ½θ in place of ½θ; the difference is the bound that is handed on.
    pub fn wall(&self, area_mm2: f64, wall_mm: f64) -> Wall {
        #[expect(clippy::cast_precision_loss, reason = "a small whole number")]
        let half_euler = self.euler as f64 / 2.0;
        let (t, m) = (wall_mm, self.mean_integral_mm);
        Wall {
            volume_mm3: area_mm2 * t - m * t * t + 4.0 / 3.0 * PI * t.powi(3) * half_euler,
            within_mm3: self.sharp_mm * t * t,
            inner_area_mm2: area_mm2 - 2.0 * m * t + 4.0 * PI * t * t * half_euler,
        }
    }
}

/// Measures the bending of a surface. `None` where triangles do not fit together at their edges.
/// Triangles without area have no normal: the angles at them are taken as zero.
pub fn curvature(mesh: &Mesh) -> Option<Curvature> {
    let welded = weld(mesh);
    let (flaws, table) = examine(&welded);
    if !flaws.non_manifold.is_empty() || !flaws.ill_wound.is_empty() {
        return None;
    }
    let at = |i: u32| welded.places[i as usize].as_dvec3();
    let normal = |face: u32| {
        let [a, b, c] = welded.triangles[face as usize].map(at);
        (b - a).cross(c - a).normalize_or_zero()
    };
    let (mut sum, mut sharp_mm, mut edges) = (0.0, 0.0, 0i64);
    for edge in table.edges() {
        edges += 1;
        let [one, other] = edge else { continue };
        let along: DVec3 = if one.upward {
            at(one.high) - at(one.low)
        } else {
            at(one.low) - at(one.high)
        };
        let (a, b) = (normal(one.face), normal(other.face));
        let angle = a.cross(b).dot(along.normalize_or_zero()).atan2(a.dot(b));
        let length_mm = along.length();
        sum += 0.5 * length_mm * angle;
        if angle > SHARP {
            let half = angle.min(SHARPEST) / 2.0;
            sharp_mm += length_mm * (half.tan() - half);
        }
    }
    let mut corners: Vec<u32> = Vec::with_capacity(welded.triangles.len() * 3);
    let mut faces = 0i64;
    for triangle in &welded.triangles {
        let [a, b, c] = *triangle;
        if a != b && b != c && c != a {
            faces += 1;
            corners.extend(triangle);
        }
    }
    corners.sort_unstable();
    corners.dedup();
    let openings = super::loops::trace(&welded, &table, DVec3::ZERO).len();
    let count = |n: usize| i64::try_from(n).ok();
    Some(Curvature {
        mean_integral_mm: sum,
        euler: count(corners.len())? - edges + faces + count(openings)?,
        sharp_mm,
    })
}
