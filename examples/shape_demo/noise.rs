//! Repeatable noise and the small curves every relief is built from.
//!
//! All of it is plain arithmetic on `f64` with `libm` for the rest, so that the
//! same machine kind always writes the same bytes.

use glam::DVec3;

/// A whole-number hash of a lattice point, spread over 0 to 1.
fn lattice(x: i64, y: i64, z: i64, seed: u64) -> f64 {
    let mut h = seed
        ^ (x as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15)
        ^ (y as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F)
        ^ (z as u64).wrapping_mul(0x1656_67B1_9E37_79F9);
    h ^= h >> 33;
    h = h.wrapping_mul(0xFF51_AFD7_ED55_8CCD);
    h ^= h >> 33;
    h = h.wrapping_mul(0xC4CE_B9FE_1A85_EC53);
    h ^= h >> 33;
    (h >> 11) as f64 / (1u64 << 53) as f64
}

/// Smooth lattice noise in −1 to 1; one wave per unit.
pub fn noise(p: DVec3, seed: u64) -> f64 {
    let f = p.floor();
    let t = p - f;
    let u = t * t * (DVec3::splat(3.0) - t * 2.0);
    let (x, y, z) = (f.x as i64, f.y as i64, f.z as i64);
    let mut sum = 0.0;
    for (dx, wx) in [(0, 1.0 - u.x), (1, u.x)] {
        for (dy, wy) in [(0, 1.0 - u.y), (1, u.y)] {
            for (dz, wz) in [(0, 1.0 - u.z), (1, u.z)] {
                sum += wx * wy * wz * lattice(x + dx, y + dy, z + dz, seed);
            }
        }
    }
    sum * 2.0 - 1.0
}

/// Noise of several octaves, each half as strong and twice as fine as the last.
pub fn fractal(p: DVec3, octaves: u32, seed: u64) -> f64 {
    let (mut sum, mut weight, mut scale, mut total) = (0.0, 1.0, 1.0, 0.0);
    for octave in 0..octaves {
        sum += weight * noise(p * scale, seed + u64::from(octave) * 101);
        total += weight;
        weight *= 0.5;
        scale *= 2.03;
    }
    sum / total
}

/// 0 below `a`, 1 above `b`, a soft S between.
pub fn smooth(a: f64, b: f64, x: f64) -> f64 {
    let t = ((x - a) / (b - a)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// A bell of the given half width: 1 at 0, about 0.37 at `width`.
pub fn bell(x: f64, width: f64) -> f64 {
    libm::exp(-(x / width) * (x / width))
}

/// Smallest of two distances with a fillet of size `k`.
pub fn blend_min(a: f64, b: f64, k: f64) -> f64 {
    let h = (k - (a - b).abs()).max(0.0) / k;
    a.min(b) - h * h * k * 0.25
}

/// Largest of two distances with a fillet of size `k`.
pub fn blend_max(a: f64, b: f64, k: f64) -> f64 {
    -blend_min(-a, -b, k)
}

/// Straight blend from `a` to `b`.
pub fn mix(a: f64, b: f64, t: f64) -> f64 {
    a + (b - a) * t
}
