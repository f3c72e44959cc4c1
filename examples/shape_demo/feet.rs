//! Three cast feet in the form of lion's paws; one is worn short.

use glam::{DVec3, dvec3};

use crate::noise::{blend_max, blend_min, fractal};
use crate::sculpt::{Limb, ellipsoid, skin};
use crate::solid::Solid;

/// Azimuths of the feet; the first is the worn one.
pub const FEET_DEG: [f64; 3] = [315.0, 75.0, 195.0];
/// Metal the worn foot has lost, mm.
pub const WORN_MM: f64 = 2.4;
/// Distance of a foot's middle from the axis.
pub const FOOT_R: f64 = 47.0;

/// The paw in its frame: x along the ring, y up, z outwards.
struct Paw {
    leg: Limb,
    toes: [Limb; 2],
}

impl Paw {
    fn draw() -> Self {
        let toe = |x: f64| {
            let z = 8.4 - 0.24 * x;
            Limb::new(&[
                [x * 0.8, 8.6, 2.0, 2.6],
                [x, 6.9, z - 2.2, 2.75],
                [x * 1.04, 4.4, z + 0.7, 2.6],
                [x * 1.05, 1.6, z + 1.9, 2.2],
            ])
        };
        Self {
            leg: Limb::new(&[
                [0.0, 14.0, -1.0, 11.4],
                [0.0, 8.0, -0.5, 9.8],
                [0.0, 5.0, 0.0, 8.8],
            ]),
            toes: [toe(2.6), toe(7.6)],
        }
    }

    fn distance(&self, p: DVec3) -> f64 {
        let q = dvec3(p.x.abs(), p.y, p.z);
        let mut d = blend_min(
            self.leg.distance(p),
            ellipsoid(p, dvec3(0.0, 3.6, 1.0), dvec3(10.6, 5.4, 8.6)),
            2.0,
        );
        for toe in &self.toes {
            d = blend_min(d, toe.distance(q), 0.3);
        }
        d
    }
}

/// One foot, closed; its hidden top lies inside the base.
pub fn foot(number: usize, cell: f64) -> Solid {
    let a = FEET_DEG[number].to_radians();
    let (sin, cos) = (libm::sin(a), libm::cos(a));
    let place = |p: DVec3| {
        let out = p.z + FOOT_R;
        dvec3(out * sin + p.x * cos, p.y, out * cos - p.x * sin)
    };
    let paw = Paw::draw();
    let mut solid = skin(
        dvec3(-15.0, -1.0, -15.0),
        dvec3(15.0, 16.5, 16.0),
        cell,
        |p| {
            let d = paw.distance(p);
            let floor = if number == 0 {
                // Worn flat by dragging, with a few scores.
                WORN_MM - 0.12 * fractal(dvec3(p.x * 0.9, 0.0, p.z * 0.12), 2, 31).abs()
            } else {
                0.0
            };
            // The underside of the base, below which the paw shows.
            let r = dvec3(p.x, 0.0, p.z + FOOT_R).length();
            let ring = (r - 57.0).max(0.0);
            let under = 11.3 + 3.3 * (1.0 - ((r - 41.0) / 6.0).clamp(0.0, 1.0)) + 0.2 * ring * ring;
            let joined = blend_min(d, under + 0.4 - p.y, 2.0).max(d - 2.2);
            let edge = if number == 0 { 0.4 } else { 0.9 };
            blend_max(joined, floor - p.y, edge)
                .max(p.y - under - 1.6)
                .max((p.y - 10.6).min(r - 58.6))
        },
    );
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
