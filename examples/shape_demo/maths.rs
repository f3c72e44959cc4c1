//! Numbers whose last digit is the same on every system: the transcendental functions come from
//! `libm`, never from the system's own library.

use glam::{DVec2, DVec3};

pub(crate) use libm::{atan2, cos, exp, hypot, pow, sin};

pub(crate) const TURN: f64 = std::f64::consts::TAU;

/// 0 below `a`, 1 above `b`, smooth between.
pub(crate) fn smoothstep(a: f64, b: f64, x: f64) -> f64 {
    let t = ((x - a) / (b - a)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

pub(crate) fn mix(a: f64, b: f64, t: f64) -> f64 {
    a + (b - a) * t
}

/// The greater of two with the crease between them rounded over a width `k`.
pub(crate) fn smooth_max(a: f64, b: f64, k: f64) -> f64 {
    let h = (k - (a - b).abs()).max(0.0) / k;
    a.max(b) + h * h * k * 0.25
}

/// A bell of height 1 at 0 that falls to 1/e at `width`.
pub(crate) fn bell(x: f64, width: f64) -> f64 {
    let t = x / width;
    exp(-t * t)
}

/// The angle brought into -half a turn to half a turn.
pub(crate) fn wrap(angle: f64) -> f64 {
    angle - TURN * libm::round(angle / TURN)
}

/// Half round: 1 in the middle, 0 at the edge `q = 1`, upright there.
pub(crate) fn half_round(q: f64) -> f64 {
    (1.0 - q * q).max(0.0).sqrt()
}

/// The unit vector from the axis towards an azimuth (0 is +Z, a quarter turn is +X).
pub(crate) fn outward(azimuth: f64) -> DVec3 {
    DVec3::new(sin(azimuth), 0.0, cos(azimuth))
}

/// Signed distance to a box with rounded corners about the origin.
pub(crate) fn rounded_box(p: DVec2, half: DVec2, corner: f64) -> f64 {
    let q = p.abs() - half + DVec2::splat(corner);
    q.max(DVec2::ZERO).length() + q.x.max(q.y).min(0.0) - corner
}

/// A fixed scatter of 0 to 1 over the whole numbers.
pub(crate) fn scatter(x: i64, y: i64, z: i64, seed: u64) -> f64 {
    let mut h = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15)
        ^ (x as u64).wrapping_mul(0xbf58_476d_1ce4_e5b9)
        ^ (y as u64).wrapping_mul(0x94d0_49bb_1331_11eb)
        ^ (z as u64).wrapping_mul(0xd6e8_feb8_6659_fd93);
    for _ in 0..2 {
        h ^= h >> 32;
        h = h.wrapping_mul(0xd6e8_feb8_6659_fd93);
    }
    (h >> 11) as f64 / (1u64 << 53) as f64
}

/// Smooth noise of about -1 to 1 whose lumps are one unit wide.
pub(crate) fn noise(p: DVec3, seed: u64) -> f64 {
    let base = p.floor();
    let f = p - base;
    let w = f * f * (DVec3::splat(3.0) - f * 2.0);
    let (x, y, z) = (base.x as i64, base.y as i64, base.z as i64);
    let at = |i: i64, j: i64, k: i64| scatter(x + i, y + j, z + k, seed);
    let line = |j, k| mix(at(0, j, k), at(1, j, k), w.x);
    let sheet = |k| mix(line(0, k), line(1, k), w.y);
    mix(sheet(0), sheet(1), w.z) * 2.0 - 1.0
}

/// Noise with finer noise upon it.
pub(crate) fn rough(p: DVec3, octaves: u32, seed: u64) -> f64 {
    let (mut sum, mut size, mut scale) = (0.0, 0.5, 1.0);
    for octave in 0..octaves {
        sum += size * noise(p * scale, seed + u64::from(octave));
        size *= 0.5;
        scale *= 2.03;
    }
    sum
}
