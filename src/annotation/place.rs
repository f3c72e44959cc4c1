//! Millimetres become metres.

use glam::DVec3;
use serde::Serialize;

/// A point, metres, in the frame of the models.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Metres {
    /// To the right as seen from the front.
    pub x: f64,
    /// Upward.
    pub y: f64,
    /// Toward the eye that sees the front.
    pub z: f64,
}

/// Metres, to a tenth of a micrometre: finer than any scan, and short to write.
pub fn metres(mm: f64) -> f64 {
    // Adding zero makes a negative zero plain.
    (mm * 1e4).round() / 1e7 + 0.0
}

impl Metres {
    /// A point in millimetres.
    pub fn of_mm(point: DVec3) -> Self {
        let [x, y, z] = point.to_array().map(metres);
        Self { x, y, z }
    }
}
