//! Numbers by chance that are the same every time.

#![allow(dead_code, reason = "each test throws what it needs")]

use counterpart::align::Pose;
use glam::{DQuat, DVec3, DVec4};

/// Numbers in −1..1 from a fixed sequence (Knuth's 64-bit linear congruential constants).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    pub(crate) fn point(&mut self) -> DVec3 {
        DVec3::new(self.next(), self.next(), self.next())
    }

    /// Twelve uniform numbers make a nearly normal one of standard deviation 1.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.next()).sum::<f64>() / 2.0
    }

    /// A turn, all equally likely.
    pub(crate) fn turn(&mut self) -> DQuat {
        loop {
            let q = DVec4::new(self.next(), self.next(), self.next(), self.next());
            if q.length() < 1.0 && q.length() > 0.1 {
                return DQuat::from_vec4(q.normalize());
            }
        }
    }

    /// A turn, and a shift of up to `reach_mm` either way.
    pub(crate) fn pose(&mut self, reach_mm: f64) -> Pose {
        Pose {
            scale: 1.0,
            turn: self.turn(),
            shift: self.point() * reach_mm,
        }
    }
}
