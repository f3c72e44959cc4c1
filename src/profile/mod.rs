//! The profile drawing of an object: what a saw would show, and what an eye sees from the side.
//!
//! Takes surfaces and a plane; hands on outlines in the plane, millimetres. A cut is exact: every
//! triangle that the plane meets gives one straight piece, and pieces are joined where triangles
//! share an edge, so that a closed surface gives closed outlines, and a hole in a scan leaves an
//! outline open where the hole is.

mod cut;
mod elevation;
mod line;

pub use cut::{Cut, cut};
pub use elevation::elevation;
pub(crate) use elevation::{breaks_off, smoothed, walked};
pub use line::{Line, area_mm2, simplified};

use glam::{DVec2, DVec3};

/// A plane with directions in it, seen from where `right` × `up` points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// A point of it, millimetres: the middle of the drawing.
    pub origin: DVec3,
    /// To the right on the drawing, a unit vector.
    pub right: DVec3,
    /// Upward on the drawing, a unit vector square to `right`.
    pub up: DVec3,
}

impl Plane {
    /// The upright plane through a point that an eye at this azimuth looks straight at: 0 looks
    /// from +Z, 90 from +X.
    pub fn upright(origin: DVec3, azimuth_deg: f64) -> Self {
        let azimuth = azimuth_deg.to_radians();
        Self {
            origin,
            right: DVec3::new(azimuth.cos(), 0.0, -azimuth.sin()),
            up: DVec3::Y,
        }
    }

    /// Toward the eye, a unit vector.
    pub fn toward_eye(&self) -> DVec3 {
        self.right.cross(self.up)
    }

    /// Where a point falls on the drawing, millimetres.
    pub fn place(&self, point: DVec3) -> DVec2 {
        let from = point - self.origin;
        DVec2::new(from.dot(self.right), from.dot(self.up))
    }
}
