//! The grotesque on each handle: a bearded face with ram's horns.
//!
//! Frame of a face: u to the viewer's right, v up from [`FACE_Y`], w outwards
//! from the wall (mm).

use glam::{DVec3, dvec3};

use crate::noise::{blend_max, blend_min};
use crate::sculpt::{Limb, ellipsoid, skin};
use crate::solid::Solid;

/// Height of the middle of the faces above the table.
pub const FACE_Y: f64 = 59.5;
/// Distance of the frame's origin from the axis of the mortar.
const FRAME_R: f64 = 51.5;
/// The faces look along +X and −X.
pub const FACES_DEG: [f64; 2] = [90.0, 270.0];

/// Radius of the plain wall behind a face at height `y`.
fn wall_radius(y: f64) -> f64 {
    let knots = [
        (28.0, 51.6),
        (36.0, 50.8),
        (44.0, 50.4),
        (52.0, 50.5),
        (63.0, 51.8),
        (74.0, 53.1),
        (84.0, 55.2),
        (95.0, 57.6),
    ];
    for pair in knots.windows(2) {
        let ((y0, r0), (y1, r1)) = (pair[0], pair[1]);
        if y <= y1 {
            return r0 + (r1 - r0) * (y - y0) / (y1 - y0);
        }
    }
    57.6
}

/// The limbs of a face; right half only, the left is its mirror image.
struct Face {
    brow: Limb,
    lids: [Limb; 2],
    nose: Limb,
    lip: Limb,
    /// Moustache, beard and forelock, with the width of their creases.
    hair: Vec<(Limb, f64)>,
    horn: Limb,
    ear: Limb,
}

impl Face {
    fn draw() -> Self {
        Self {
            brow: Limb::new(&[
                [0.6, 4.8, 12.4, 1.3],
                [3.6, 6.7, 12.0, 1.75],
                [7.4, 7.2, 9.6, 1.6],
                [10.2, 4.8, 6.0, 0.9],
            ]),
            lids: [
                Limb::new(&[
                    [1.9, 2.7, 10.3, 0.4],
                    [3.0, 4.9, 10.9, 0.55],
                    [4.9, 5.7, 10.9, 0.6],
                    [6.8, 4.8, 9.9, 0.55],
                    [8.0, 2.9, 8.4, 0.4],
                ]),
                Limb::new(&[
                    [1.9, 2.7, 10.3, 0.35],
                    [3.3, 1.3, 10.7, 0.45],
                    [5.2, 0.9, 10.5, 0.5],
                    [6.9, 1.6, 9.5, 0.45],
                    [8.0, 2.9, 8.4, 0.35],
                ]),
            ],
            nose: Limb::new(&[
                [0.0, 6.0, 11.4, 1.5],
                [0.0, 1.5, 14.2, 1.9],
                [0.0, -1.6, 15.4, 2.7],
            ]),
            lip: Limb::new(&[
                [0.0, -10.2, 12.0, 1.35],
                [2.4, -9.7, 11.4, 1.2],
                [4.2, -8.4, 10.0, 0.8],
            ]),
            hair: hair(),
            horn: Limb::new(&[
                [5.6, 12.4, 8.6, 2.9],
                [8.4, 15.6, 7.6, 2.8],
                [11.6, 15.4, 6.0, 2.5],
                [13.6, 12.2, 5.0, 2.2],
                [13.6, 8.4, 4.8, 1.8],
                [11.6, 6.0, 5.4, 1.4],
                [9.9, 7.4, 6.6, 0.8],
            ]),
            ear: Limb::new(&[
                [10.2, 2.6, 5.0, 1.8],
                [13.0, 2.2, 4.6, 1.4],
                [15.4, 3.4, 3.8, 0.5],
            ]),
        }
    }

    /// Brow, sockets, eyes, nose, cheeks.
    fn features(&self, q: DVec3) -> f64 {
        let mut d = ellipsoid(q, dvec3(0.0, 1.5, 0.0), dvec3(10.8, 15.5, 11.5));
        // Forehead bulging between the horns.
        d = blend_min(
            d,
            ellipsoid(q, dvec3(0.0, 9.5, 6.5), dvec3(7.0, 5.5, 5.5)),
            3.0,
        );
        // Cheeks, lifted as in a grin.
        d = blend_min(
            d,
            ellipsoid(q, dvec3(6.0, -2.4, 7.6), dvec3(4.1, 3.3, 4.2)),
            3.2,
        );
        // Eye sockets under the brow.
        d = blend_max(
            d,
            -ellipsoid(q, dvec3(4.9, 3.4, 13.6), dvec3(3.6, 2.6, 4.2)),
            1.2,
        );
        d = blend_min(d, self.brow.distance(q), 0.8);
        // Eyeball with a drilled pupil, lids round it.
        d = blend_min(d, q.distance(dvec3(4.8, 3.3, 8.9)) - 2.55, 0.2);
        d = blend_max(d, -(q.distance(dvec3(4.4, 3.3, 11.6)) - 0.8), 0.15);
        for lid in &self.lids {
            d = blend_min(d, lid.distance(q), 0.35);
        }
        // Nose: broad, blunt, with wings and nostrils.
        d = blend_min(d, self.nose.distance(q), 1.4);
        d = blend_min(
            d,
            ellipsoid(q, dvec3(2.7, -2.4, 13.2), dvec3(1.8, 1.6, 2.1)),
            0.7,
        );
        blend_max(d, -(q.distance(dvec3(1.6, -4.0, 15.3)) - 0.8), 0.4)
    }

    fn distance(&self, p: DVec3) -> f64 {
        let q = dvec3(p.x.abs(), p.y, p.z);
        // Open mouth under the moustache.
        let mut d = blend_max(
            self.features(q),
            -ellipsoid(q, dvec3(0.0, -8.0, 13.2), dvec3(3.9, 1.7, 4.6)),
            0.5,
        );
        d = blend_min(d, self.lip.distance(q), 0.6);
        for (lock, crease) in &self.hair {
            d = blend_min(d, lock.distance(q), *crease);
        }
        d = blend_min(d, self.ear.distance(q), 0.6);
        // Growth rings of the horn, by the angle about the middle of the curl.
        let angle = libm::atan2(q.y - 11.0, q.x - 10.2);
        blend_min(
            d,
            self.horn.distance(q) - 0.16 * libm::cos(angle * 17.0),
            0.4,
        )
    }
}

fn hair() -> Vec<(Limb, f64)> {
    let mut locks = Vec::new();
    for k in [0.0, 1.0] {
        // Moustache: two strands a side, tips curling up.
        let strand = [
            [0.7, -4.8 - 0.6 * k, 14.4 - 0.6 * k, 1.25],
            [3.4, -6.1 - 1.2 * k, 13.6 - 0.3 * k, 1.4],
            [6.8, -7.0 - 1.6 * k, 11.2, 1.2],
            [9.8 + 0.4 * k, -5.7 - 2.4 * k, 8.4, 0.9],
            [11.0 + 0.7 * k, -3.4 - 2.6 * k, 7.0, 0.45],
        ];
        locks.push((Limb::new(&strand), 0.3));
    }
    for k in 0..4 {
        // Beard: locks fanning from the chin, ends turned outwards.
        let t = f64::from(k);
        let lock = [
            [0.8 + 2.2 * t, -10.6 + 1.1 * t, 11.0 - 1.3 * t, 2.0],
            [1.1 + 2.5 * t, -14.6 + 1.5 * t, 9.8 - 1.5 * t, 2.05],
            [0.9 + 2.2 * t, -18.2 + 2.2 * t, 7.2 - 1.1 * t, 1.5],
            [1.9 + 2.3 * t, -20.9 + 2.9 * t, 5.0 - 0.8 * t, 0.75],
        ];
        locks.push((Limb::new(&lock), 0.4));
    }
    for k in 0..3 {
        // Locks over the forehead.
        let t = f64::from(k);
        let lock = [
            [0.6 + 1.6 * t, 17.2 - 0.5 * t, 6.0, 1.6],
            [1.0 + 2.0 * t, 14.2 - 0.6 * t, 10.4 - 0.5 * t, 1.45],
            [0.8 + 1.9 * t, 11.2 - 0.4 * t, 12.2 - 0.8 * t, 0.7],
        ];
        locks.push((Limb::new(&lock), 0.35));
    }
    locks
}

/// One face as a closed surface in the mortar's frame. Its hidden back lies
/// just inside the wall.
pub fn handle(azimuth_deg: f64, cell: f64) -> Solid {
    let face = Face::draw();
    let mut solid = skin(
        dvec3(-19.0, -25.0, -3.5),
        dvec3(19.0, 22.0, 20.0),
        cell,
        |p| {
            let f = face.distance(p);
            let out = dvec3(p.x, 0.0, p.z + FRAME_R).length();
            let wall = out - wall_radius(p.y + FACE_Y);
            // A fillet of metal where face and wall meet, as a casting has it.
            let joined = blend_min(f, wall + 0.4, 2.2);
            joined.max(f - 2.4).max(-(wall + 1.5))
        },
    );
    let a = azimuth_deg.to_radians();
    for p in &mut solid.points {
        *p = to_mortar(*p, a);
    }
    solid
}

/// From a face's frame to the mortar's.
fn to_mortar(p: DVec3, a: f64) -> DVec3 {
    let (sin, cos) = (libm::sin(a), libm::cos(a));
    let out = p.z + FRAME_R;
    dvec3(out * sin + p.x * cos, p.y + FACE_Y, out * cos - p.x * sin)
}

/// Where the tip of the nose is, in the mortar's frame.
pub fn nose(azimuth_deg: f64) -> DVec3 {
    to_mortar(dvec3(0.0, -1.4, 17.8), azimuth_deg.to_radians())
}
