//! Three cast feet in the form of lion's paws; one is worn short.

use glam::{DVec3, dvec3};

use crate::noise::{blend_max, blend_min, fractal};
use crate::sculpt::{ellipsoid, limb, skin};
use crate::solid::Solid;

/// Azimuths of the feet; the first is the worn one.
pub const FEET_DEG: [f64; 3] = [315.0, 75.0, 195.0];
/// Metal the worn foot has lost, mm.
pub const WORN_MM: f64 = 2.4;
/// Distance of a foot's middle from the axis.
pub const FOOT_R: f64 = 48.5;

/// The paw in its frame: x along the ring, y up, z outwards.
fn paw(p: DVec3) -> f64 {
    let q = dvec3(p.x.abs(), p.y, p.z);
    let mut d = limb(p, &[[0.0, 13.0, -1.0, 8.6], [0.0, 8.0, -0.5, 7.4], [0.0, 5.0, 0.5, 6.6]]);
    d = blend_min(d, ellipsoid(p, dvec3(0.0, 3.6, 2.0), dvec3(8.8, 4.6, 7.2)), 2.0);
    for x in [2.15, 6.3] {
        let z = 7.6 - 0.16 * x * 1.2;
        let toe = [[x * 0.8, 7.2, 3.0, 2.0], [x, 5.4, z, 2.35], [x * 1.03, 2.4, z + 2.2, 2.3]];
        d = blend_min(d, limb(q, &toe), 0.35);
        // Claw.
        d = blend_min(d, limb(q, &[[x * 1.03, 2.6, z + 3.6, 0.9], [x * 1.05, 0.8, z + 5.2, 0.4]]), 0.2);
    }
    d
}

/// One foot, closed; its hidden top lies inside the base.
pub fn foot(number: usize, cell: f64) -> Solid {
    let a = FEET_DEG[number].to_radians();
    let (sin, cos) = (libm::sin(a), libm::cos(a));
    let place = |p: DVec3| {
        let out = p.z + FOOT_R;
        dvec3(out * sin + p.x * cos, p.y, out * cos - p.x * sin)
    };
    let mut solid = skin(dvec3(-13.0, -1.0, -13.0), dvec3(13.0, 16.0, 16.0), cell, |p| {
        let d = paw(p);
        let floor = if number == 0 {
            // Worn flat by dragging, with a few scores.
            WORN_MM - 0.12 * fractal(dvec3(p.x * 0.9, 0.0, p.z * 0.12), 2, 31).abs()
        } else {
            0.0
        };
        // The underside of the base, below which the paw shows.
        let r = dvec3(p.x, 0.0, p.z + FOOT_R).length();
        let under = if r < 47.0 { 14.6 - 3.3 * ((r - 41.0) / 6.0).clamp(0.0, 1.0) } else { 11.3 };
        let joined = blend_min(d, under + 0.4 - p.y, 2.0).max(d - 2.2);
        let edge = if number == 0 { 0.4 } else { 0.9 };
        blend_max(joined, floor - p.y, edge).max(p.y - under - 1.6)
    });
    for p in &mut solid.points {
        *p = place(*p);
    }
    solid
}

/// Middle of the sole of a foot.
pub fn sole(number: usize) -> DVec3 {
    let a = FEET_DEG[number].to_radians();
    let r = FOOT_R + 2.5;
    let y = if number == 0 { WORN_MM } else { 0.0 };
    dvec3(r * libm::sin(a), y, r * libm::cos(a))
}
