//! Numbers that look thrown, and are the same each time.

use glam::Vec3;

/// Pixels of a square, either way, whose light rays are spread evenly among themselves.
const SQUARE: u32 = 16;

/// Numbers that depend on the pixel and sample only: spread evenly over any few pixels that lie
/// together, so that smoothing leaves little grain (additive recurrences of the plastic numbers,
/// Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018, in the order of a
/// space-filling curve).
pub(super) struct Draw {
    /// Of the pixel in its square.
    number: f32,
    square: [u32; 2],
    sample: u32,
}

impl Draw {
    pub(super) fn of(x: u32, y: u32, sample: u32) -> Self {
        let number = (0..4).fold(0, |code, bit| {
            code | ((x % SQUARE) >> bit & 1) << (2 * bit)
                | ((y % SQUARE) >> bit & 1) << (2 * bit + 1)
        });
        #[expect(clippy::cast_precision_loss, reason = "below 256")]
        Self {
            number: number as f32,
            square: [x / SQUARE, y / SQUARE],
            sample,
        }
    }

    /// Uniform in 0..1; `ray` tells apart the rays of a sample.
    fn next<const N: usize>(&self, ray: u32, rates: [f32; N]) -> [f32; N] {
        let [x, y] = self.square.map(u64::from);
        let mut dice = Dice(x << 40 ^ y << 16 ^ u64::from(self.sample * 4 + ray));
        dice.next();
        rates.map(|rate| (dice.next() + rate * self.number).fract())
    }

    /// On the unit sphere.
    pub(super) fn sphere(&self, ray: u32) -> Vec3 {
        on_sphere(self.next(ray, [0.754_877_7, 0.569_840_3]))
    }

    /// In the unit ball.
    pub(super) fn ball(&self, ray: u32) -> Vec3 {
        let [u, v, w] = self.next(ray, [0.819_172_5, 0.671_043_6, 0.549_700_5]);
        on_sphere([u, v]) * w.cbrt()
    }
}

fn on_sphere([u, v]: [f32; 2]) -> Vec3 {
    let z = 1.0 - 2.0 * u;
    let (sin, cos) = (v * std::f32::consts::TAU).sin_cos();
    let r = (1.0 - z * z).max(0.0).sqrt();
    Vec3::new(r * cos, r * sin, z)
}

/// Uniform in 0..1 (SplitMix64: Steele, Lea and Flood, OOPSLA 2014).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f32 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ z >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ z >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
        #[expect(clippy::cast_precision_loss, reason = "24 bits fit")]
        let unit = ((z ^ z >> 31) >> 40) as f32 / (1u64 << 24) as f32;
        unit
    }
}
