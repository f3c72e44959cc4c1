//! Fewer triangles for a visitor's device, and by how much they stray from the scan.
//!
//! Takes a full mesh and where the visitors look; hands on a reduced mesh, and the deviation that
//! is measured both ways, over all of it and inside the details. The measuring shares nothing
//! with the reducing.

mod blocks;
mod deviation;
mod simplify;
mod tips;

pub use deviation::{Deviation, Measured, deviation};
pub use simplify::{simplify, simplify_within};

use glam::DVec3;

/// A place where the visitors look: a detail's point and the radius that it fills.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Focus {
    /// Middle, millimetres.
    pub centre: DVec3,
    /// Radius, millimetres.
    pub radius_mm: f64,
}

impl Focus {
    fn holds(&self, point: DVec3) -> bool {
        point.distance_squared(self.centre) <= self.radius_mm * self.radius_mm
    }
}

/// A share of a count.
fn share(count: usize, of: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a share of a count"
    )]
    let share = (count as f64 * of) as usize;
    share
}
