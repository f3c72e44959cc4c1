//! A motion that keeps shapes: a turn, a shift and, where asked for, one scale factor.

use crate::mesh::Bounds;
use glam::{DQuat, DVec3};
use serde::{Deserialize, Serialize};

/// Takes a point p to `scale · turn(p) + shift`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pose {
    /// Factor; 1 for a rigid motion.
    pub scale: f64,
    /// Turn, a unit quaternion.
    pub turn: DQuat,
    /// Shift, millimetres.
    pub shift: DVec3,
}

impl Default for Pose {
    fn default() -> Self {
        Self::STILL
    }
}

impl Pose {
    /// Moves nothing.
    pub const STILL: Self = Self {
        scale: 1.0,
        turn: DQuat::IDENTITY,
        shift: DVec3::ZERO,
    };

    /// A turn about a point, then a shift.
    pub fn about(centre: DVec3, turn: DQuat, shift: DVec3) -> Self {
        Self {
            scale: 1.0,
            turn,
            shift: centre - turn * centre + shift,
        }
    }

    /// Where a point goes.
    pub fn point(&self, p: DVec3) -> DVec3 {
        self.turn * (p * self.scale) + self.shift
    }

    /// Where a direction goes; its length stays.
    pub fn direction(&self, d: DVec3) -> DVec3 {
        self.turn * d
    }

    /// The motion that undoes this one.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let (scale, turn) = (1.0 / self.scale, self.turn.conjugate());
        Self {
            scale,
            turn,
            shift: turn * (self.shift * -scale),
        }
    }

    /// This motion after another.
    #[must_use]
    pub fn after(&self, first: &Self) -> Self {
        Self {
            scale: self.scale * first.scale,
            turn: (self.turn * first.turn).normalize(),
            shift: self.point(first.shift),
        }
    }

    /// Angle of the turn, degrees.
    pub fn angle_deg(&self) -> f64 {
        let sine = self.turn.xyz().length();
        2.0 * sine.atan2(self.turn.w.abs()).to_degrees()
    }

    /// How far two motions put the corners of a box from one another, at most, millimetres.
    pub fn apart_mm(&self, other: &Self, within: &Bounds) -> f64 {
        corners(within)
            .map(|p| self.point(p).distance(other.point(p)))
            .into_iter()
            .fold(0.0, f64::max)
    }
}

/// The corners of a box.
pub(super) fn corners(of: &Bounds) -> [DVec3; 8] {
    let (low, high) = (of.min, of.max);
    std::array::from_fn(|i| {
        let pick = |bit: usize, a: f64, b: f64| if i >> bit & 1 == 0 { a } else { b };
        DVec3::new(
            pick(0, low.x, high.x),
            pick(1, low.y, high.y),
            pick(2, low.z, high.z),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_motion_and_its_inverse_cancel() {
        let pose = Pose {
            scale: 1.25,
            turn: DQuat::from_axis_angle(DVec3::new(1.0, 2.0, -0.5).normalize(), 1.1),
            shift: DVec3::new(3.0, -7.0, 11.0),
        };
        let p = DVec3::new(5.0, 6.0, 7.0);
        assert!(pose.inverse().point(pose.point(p)).distance(p) < 1e-12);
        assert!(pose.inverse().after(&pose).point(p).distance(p) < 1e-12);
        assert!((pose.angle_deg() - 1.1f64.to_degrees()).abs() < 1e-9);
    }
}
