//! The three cast feet and what was done beneath them.

use crate::Body;
use crate::maths::{TURN, outward, pow, rough, smoothstep};
use crate::turning::Nature;
use glam::DVec3;

/// Azimuths of the feet in degrees; the first is the worn one.
pub(crate) const FEET_DEG: [f64; 3] = [315.0, 75.0, 195.0];
/// Distance of the feet from the axis, their radius and their height, millimetres.
pub(crate) const FOOT_FROM_AXIS: f64 = 46.9;
const FOOT_RADIUS: f64 = 9.0;
const FOOT_HEIGHT: f64 = 8.5;
/// What wear took from the short foot, millimetres; the pad below it makes this good.
pub(crate) const WORN_BY: f64 = 2.4;
const PAD_RADIUS: f64 = 7.0;
const PAD_CHAMFER: f64 = 0.7;
/// Radius of the rough dots where supports were broken off, millimetres.
const SCAR_RADIUS: f64 = 1.2;

/// Where a foot meets the ground.
pub(crate) fn foot(i: usize) -> DVec3 {
    outward(FEET_DEG[i].to_radians()) * FOOT_FROM_AXIS
}

/// The scars lie on two rings of the underside.
pub(crate) fn scars() -> Vec<DVec3> {
    let inner = (0..9).map(|i| (i, 9.0, 24.0, 0.3));
    let outer = (0..12).map(|i| (i, 12.0, 43.0, 0.5));
    inner
        .chain(outer)
        .map(|(i, of, r, shift)| outward((f64::from(i) + shift) / of * TURN) * r)
        .filter(|p| (0..3).all(|i| p.distance(foot(i)) > FOOT_RADIUS + 2.5))
        .collect()
}

/// Draws feet, pad and scars down from the underside.
pub(crate) fn shape(body: Body, point: &mut DVec3, nature: &mut Nature) {
    let flat = DVec3::new(point.x, 0.0, point.z);
    let ground = point.y;
    for i in 0..3 {
        let d = flat.distance(foot(i));
        if d >= FOOT_RADIUS {
            continue;
        }
        let q = d / FOOT_RADIUS;
        let mut down = FOOT_HEIGHT * pow(1.0 - pow(q, 5.0), 0.36);
        if i == 0 {
            let rubbed = 0.08 * rough(flat * 0.5, 2, 61);
            down = down.min(FOOT_HEIGHT - WORN_BY + rubbed.min(0.0));
            if body == Body::Replica {
                down = down.max(pad(d));
            } else {
                nature.rubbed = 0.8 * smoothstep(5.0, 6.0, down);
            }
        }
        nature.bare = nature.bare.max(0.5 * smoothstep(8.0, 8.5, down));
        // Where the foot is shallow the grain of the wall stays.
        let bottom = FOOT_HEIGHT - down;
        point.y = ground.min(bottom + (ground - FOOT_HEIGHT) * (1.0 - down / FOOT_HEIGHT));
    }
    if body == Body::Replica {
        for scar in scars() {
            let d = flat.distance(scar) / SCAR_RADIUS;
            if d < 1.0 {
                let stump = 0.28 + 0.22 * rough(flat * 2.4, 2, 63);
                point.y -= stump * smoothstep(1.0, 0.7, d);
                nature.bare = nature.bare.max(smoothstep(1.0, 0.6, d));
            }
        }
    }
}

/// How far the pad reaches below the wall at a distance from its middle.
fn pad(d: f64) -> f64 {
    if d > PAD_RADIUS {
        return 0.0;
    }
    FOOT_HEIGHT - (d - (PAD_RADIUS - PAD_CHAMFER)).max(0.0)
}
