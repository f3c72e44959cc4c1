//! Area, and what a closed surface encloses: volume, centroid, inertia.

use super::edges::EdgeFlaws;
use super::loops::Opening;
use crate::mesh::Mesh;
use glam::{DMat3, DVec3};
use std::f64::consts::PI;

/// Mass properties of the enclosed space at a density of one gram per cubic millimetre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solid {
    /// Signed volume, cubic millimetres: positive when triangles are counter-clockwise from
    /// outside.
    pub volume_mm3: f64,
    /// Centre of volume, millimetres.
    pub centroid: DVec3,
    /// Inertia about the centroid, g·mm² at unit density (mm⁵).
    pub inertia: DMat3,
}

/// A volume, with what can be said for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Volume {
    /// The surface is closed. Negative when it is inside out.
    Closed {
        /// Cubic millimetres.
        mm3: f64,
    },
    /// The surface has openings; they were closed by flat fans. The bound holds if the missing
    /// surface stays within a half ball over each opening.
    Bounded {
        /// Cubic millimetres with the openings closed flat.
        mm3: f64,
        /// Plus or minus, cubic millimetres.
        within_mm3: f64,
    },
    /// No volume can be stated.
    Unknown {
        /// Why, a clause that can follow a colon.
        why: &'static str,
    },
}

impl Volume {
    /// Lowest and highest magnitude, cubic millimetres.
    pub fn span_mm3(&self) -> Option<(f64, f64)> {
        match *self {
            Self::Closed { mm3 } => Some((mm3.abs(), mm3.abs())),
            Self::Bounded { mm3, within_mm3 } => {
                Some((mm3.abs() - within_mm3, mm3.abs() + within_mm3))
            }
            Self::Unknown { .. } => None,
        }
    }
}

/// A bound wider than this share of the volume says too little to be stated.
const WIDEST: f64 = 0.05;

/// What may be said of a volume, given the flaws of the surface.
pub(super) fn volume(
    signed_mm3: f64,
    closed: bool,
    edges: &EdgeFlaws,
    openings: &[Opening],
) -> Volume {
    if closed {
        return Volume::Closed { mm3: signed_mm3 };
    }
    if !edges.non_manifold.is_empty() {
        return Volume::Unknown {
            why: "three or more triangles meet at an edge",
        };
    }
    if !edges.ill_wound.is_empty() {
        return Volume::Unknown {
            why: "neighbouring triangles face opposite ways",
        };
    }
    if openings.iter().any(|o| !o.simple) {
        return Volume::Unknown {
            why: "openings touch one another",
        };
    }
    // The fan over each opening, seen from the same origin as the sum over the triangles.
    let mm3 = signed_mm3 + openings.iter().map(|o| o.fan_volume_mm3).sum::<f64>();
    // Half of a ball 4/3 πr³, over either side of the fan.
    let within_mm3 = openings
        .iter()
        .map(|o| 2.0 / 3.0 * PI * o.spot.radius_mm.powi(3))
        .sum();
    if within_mm3 > mm3.abs() * WIDEST {
        return Volume::Unknown {
            why: "the openings are too wide",
        };
    }
    Volume::Bounded { mm3, within_mm3 }
}

/// Area of all triangles, square millimetres.
pub fn area_mm2(mesh: &Mesh) -> f64 {
    (0u32..)
        .take(mesh.triangles().len())
        .map(|face| {
            let [a, b, c] = mesh.corners(face);
            (b - a).cross(c - a).length() / 2.0
        })
        .sum()
}

/// Signed volume, cubic millimetres; it has a meaning only for a closed mesh.
pub fn signed_volume_mm3(mesh: &Mesh) -> f64 {
    solid(mesh).volume_mm3
}

/// Where the sums are taken from: near the surface the products stay small, and so do their
/// rounding errors.
pub(super) fn origin(mesh: &Mesh) -> DVec3 {
    mesh.bounds().map(|b| b.centre()).unwrap_or_default()
}

/// Volume, centroid and inertia as sums over the tetrahedra between the triangles and one point
/// (divergence theorem; Tonon, "Explicit exact formulas for the 3-D tetrahedron inertia tensor in
/// terms of its vertex coordinates", Journal of Mathematics and Statistics 1, 2005).
pub fn solid(mesh: &Mesh) -> Solid {
    let origin = origin(mesh);
    let (mut volume, mut first) = (0.0, DVec3::ZERO);
    // Second moments ∫ x xᵀ dV, of a tetrahedron with one corner in the origin:
    // V/20 (Σ pᵢ pᵢᵀ + s sᵀ), s the sum of its other corners.
    let mut second = DMat3::ZERO;
    for face in (0u32..).take(mesh.triangles().len()) {
        let [a, b, c] = mesh.corners(face).map(|p| p - origin);
        let v = a.dot(b.cross(c)) / 6.0;
        let s = a + b + c;
        volume += v;
        first += s * (v / 4.0);
        let outer = |p: DVec3| DMat3::from_cols(p * p.x, p * p.y, p * p.z);
        second += (outer(a) + outer(b) + outer(c) + outer(s)) * (v / 20.0);
    }
    let from_origin = if volume == 0.0 {
        DVec3::ZERO
    } else {
        first / volume
    };
    let m = from_origin;
    let about = second - DMat3::from_cols(m * m.x, m * m.y, m * m.z) * volume;
    let trace = about.x_axis.x + about.y_axis.y + about.z_axis.z;
    Solid {
        volume_mm3: volume,
        centroid: origin + from_origin,
        inertia: DMat3::from_diagonal(DVec3::splat(trace)) - about,
    }
}
