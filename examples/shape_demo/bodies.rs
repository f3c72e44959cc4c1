//! Puts the parts of each body together: surface, handles, feet, colour, scan.

use glam::{DVec3, dvec3};

use crate::face::{self, FACES_DEG};
use crate::feet::{self, WORN_MM};
use crate::mortar::{Body, Mortar, Skin};
use crate::noise::{noise, smooth};
use crate::patina::{paint, relax};
use crate::pestle::Pestle;
use crate::profile::Pen;
use crate::solid::Solid;
use crate::turned::{even_rows, turned};

/// Triangles after thinning.
const WALL: usize = 125_000;
const FACE: usize = 19_000;
const FOOT: usize = 4_000;
const PESTLE: usize = 25_000;
/// Lacquer thickness on the replica.
const LACQUER_MM: f64 = 0.05;
/// Depth of the noise of the scan.
const SCAN_MM: f64 = 0.02;

/// Rubbed-down layer lines and lacquer: the replica is a touch softer and thicker.
fn finish(solid: &mut Solid, rounds: usize, body: Body) {
    if body == Body::Replica {
        solid.points = relax(solid, rounds, 0.5);
        let normals = solid.normals();
        for (p, n) in solid.points.iter_mut().zip(normals) {
            *p += n * LACQUER_MM;
        }
    }
}

/// What a scanner adds: a fine unrest of every point along its normal.
fn scanned(mut solid: Solid) -> Solid {
    let normals = solid.normals();
    for (p, n) in solid.points.iter_mut().zip(normals) {
        *p += n * (SCAN_MM * noise(*p * 7.3, 400));
    }
    solid
}

/// The mortar of a body: wall, two handles, three feet; each a closed surface.
pub fn mortar(mortar: &Mortar, body: Body) -> Solid {
    let (mut wall, skins) = mortar.surface(body);
    finish(&mut wall, 3, body);
    paint(&mut wall, &skins, body);
    let mut whole = scanned(wall.thin(WALL));
    if body == Body::Original {
        let gaps = gaps(mortar);
        whole = whole.without(|p| {
            gaps.iter()
                .any(|(at, size)| p.distance(*at) < size * (1.0 + 0.45 * noise(p * 1.1, 55)))
        });
    }
    for deg in FACES_DEG {
        let mut handle = face::handle(deg, 0.32);
        finish(&mut handle, 1, body);
        let nose = face::nose(deg);
        let skins: Vec<Skin> = handle
            .points
            .iter()
            .map(|p| Skin {
                worn: 0.95 * (1.0 - smooth(1.0, 5.5, p.distance(nose))),
                ..Skin::default()
            })
            .collect();
        paint(&mut handle, &skins, body);
        whole.add(&scanned(handle.thin(FACE)));
    }
    for number in 0..3 {
        let mut foot = feet::foot(number, 0.35);
        finish(&mut foot, 1, body);
        let sole = feet::sole(number).y;
        let skins: Vec<Skin> = foot
            .points
            .iter()
            .map(|p| Skin {
                worn: 0.8 * (1.0 - smooth(0.2, 1.2, p.y - sole)),
                ..Skin::default()
            })
            .collect();
        paint(&mut foot, &skins, body);
        whole.add(&scanned(foot.thin(FOOT)));
    }
    if body == Body::Replica {
        whole.add(&pad());
    }
    whole
}

/// Places the scanner could not see: under the base, behind the lip, in the well.
fn gaps(mortar: &Mortar) -> [(DVec3, f64); 3] {
    let at = |deg: f64, s: f64| mortar.point(deg.to_radians(), s, Body::Original).0;
    let under_lip = mortar.profile.rise_to(120.9, 80.0);
    [
        (at(262.0, 42.6), 1.5),
        (at(204.0, under_lip), 1.2),
        (at(141.0, 41.8), 1.1),
    ]
}

/// The levelling pad under the worn foot: a plain round disc, sharp and new.
fn pad() -> Solid {
    let profile = Pen::start(0.0, 0.0)
        .to(8.5, 0.0)
        .to(8.9, 0.4)
        .to(8.9, WORN_MM - 0.2)
        .to(8.7, WORN_MM + 0.1)
        .to(0.0, WORN_MM + 0.1)
        .finish(0.1);
    let foot = feet::sole(0);
    let length = profile.length_mm();
    let (mut solid, skins) = turned(&even_rows(length, 0.4), [0.0, length], 128, |a, s| {
        let q = profile.at(s);
        (
            dvec3(
                foot.x + q.x * libm::sin(a),
                q.y,
                foot.z + q.x * libm::cos(a),
            ),
            Skin::default(),
        )
    });
    paint(&mut solid, &skins, Body::Replica);
    solid.thin(1_200)
}

/// The pestle of a body, lying in its mortar.
pub fn pestle(pestle: &Pestle, body: Body) -> Solid {
    let (mut solid, skins) = pestle.surface();
    finish(&mut solid, 2, body);
    paint(&mut solid, &skins, body);
    scanned(solid.thin(PESTLE))
}
