//! What the founder hid, what others mended, and what went wrong.

use crate::Body;
use crate::maths::{TURN, bell, half_round, hypot, noise, pow, rounded_box, smoothstep, wrap};
use crate::mortar::{Marks, Mortar};
use crate::profile::Station;
use crate::turning::Nature;
use glam::{DVec2, DVec3};

/// Azimuths of the two joins of the mould, in degrees.
pub(crate) const SEAMS_DEG: [f64; 2] = [291.5, 111.5];
/// Middle of the plug: azimuth in degrees and height in millimetres.
pub(crate) const PLUG: (f64, f64) = (337.6, 54.5);
pub(crate) const PLUG_RADIUS: f64 = 4.5;
/// Azimuth of the patch in degrees.
pub(crate) const PATCH_DEG: f64 = 322.0;
/// Azimuth of the dent in degrees.
pub(crate) const DENT_DEG: f64 = 30.0;
/// Wax bead: azimuth in degrees, height, radius and relief in millimetres.
pub(crate) const BEAD: (f64, f64, f64, f64) = (196.0, 114.0, 2.5, 2.0);

/// A ridge where metal crept into the join, and one half standing a little proud.
pub(crate) fn seam(body: Body, station: &Station, azimuth: f64, marks: Marks) -> f64 {
    if station.along < marks.foot_edge || station.along > marks.rim {
        return 0.0;
    }
    let fade = smoothstep(marks.foot_edge, marks.foot_edge + 3.0, station.along)
        * smoothstep(marks.rim, marks.rim - 14.0, station.along);
    let y = station.point.y;
    let mut lift = 0.0;
    for (i, seam) in SEAMS_DEG.iter().enumerate() {
        let wander = 0.12 * noise(DVec3::new(y * 0.05, i as f64, 0.0), 71);
        let x = wrap(azimuth - seam.to_radians()) * station.point.x + wander;
        let broken = 0.75 + 0.35 * noise(DVec3::new(y * 0.35, i as f64, 3.0), 72);
        let ridge = 0.55 * bell(x, 0.5) * broken;
        let step = 0.3 * smoothstep(-0.3, 0.3, x) * smoothstep(16.0, 1.0, x);
        lift += body.pick(ridge + step, 0.16 * ridge + 0.5 * step);
    }
    lift * fade
}

/// A round plug, filed nearly flush, with a hair line round it.
pub(crate) fn plug(station: &Station, azimuth: f64, marks: Marks, nature: &mut Nature) -> f64 {
    if station.along < marks.foot_edge || station.along > marks.rim {
        return 0.0;
    }
    let u = wrap(azimuth - PLUG.0.to_radians()) * station.point.x;
    let v = station.point.y - PLUG.1;
    let d = hypot(u, v);
    if d > 12.0 {
        return 0.0;
    }
    let proud = 0.42 * smoothstep(PLUG_RADIUS + 0.1, PLUG_RADIUS - 0.25, d);
    let dome = 0.12 * smoothstep(PLUG_RADIUS, 0.0, d);
    let groove = -0.5 * bell(d - PLUG_RADIUS - 0.15, 0.26);
    // The file went across plug and wall alike.
    let across = u * 0.8 + v * 0.6;
    let filed = smoothstep(7.5, 4.0, d);
    let marks = 0.04 * noise(DVec3::new(across * 2.8, (v * 0.8 - u * 0.6) * 0.2, 0.0), 74);
    nature.rubbed = nature
        .rubbed
        .max(0.55 * smoothstep(PLUG_RADIUS, PLUG_RADIUS - 0.5, d));
    proud + dome + groove + filed * marks
}

/// How the patch lies over a place.
pub(crate) struct Patch {
    /// 1 where the plate spans the mouldings.
    pub(crate) bridging: f64,
    pub(crate) lift: f64,
    pub(crate) copper: f64,
}

/// A bent plate over the lip with four rivets, and the crack that it closes.
pub(crate) fn patch(mortar: &Mortar, station: &Station, azimuth: f64) -> Patch {
    let none = Patch {
        bridging: 0.0,
        lift: 0.0,
        copper: 0.0,
    };
    let u = wrap(azimuth - PATCH_DEG.to_radians()) * 72.0;
    let along = station.along - mortar.marks.rim;
    if u.abs() > 20.0 || along.abs() > 45.0 {
        return none;
    }
    let crack = crack(u, along);
    // The plate was cut with shears, not quite square.
    let p = DVec2::new(u - 0.04 * along, along - 2.75 + 0.05 * u);
    let ragged = 0.25 * noise(DVec3::new(p.x * 0.35, p.y * 0.35, 0.0), 75);
    let edge = rounded_box(p, DVec2::new(10.5, 14.4), 1.6) + ragged;
    if edge > 3.0 {
        return Patch {
            lift: crack,
            ..none
        };
    }
    let plate = smoothstep(0.12, -0.22, edge);
    let hammered = 0.1 * noise(DVec3::new(u * 0.3, along * 0.3, 0.0), 76);
    let curled = 0.35 * bell(edge, 1.2) * noise(DVec3::new(u * 0.12, along * 0.12, 4.0), 77);
    let mut lift = plate * (1.25 + hammered + curled);
    for (x, y) in [(-6.8, -9.2), (6.4, -8.8), (-6.4, 9.6), (6.8, 10.0)] {
        let r = p.distance(DVec2::new(x, y)) / 2.5;
        let flattened = half_round(r).min(0.86);
        lift += 1.45 * flattened - 0.25 * bell(r - 1.06, 0.1);
    }
    Patch {
        bridging: smoothstep(1.5, -0.5, edge),
        lift: lift + crack * (1.0 - plate),
        copper: plate,
    }
}

/// A hair crack that runs on below the plate.
fn crack(u: f64, along: f64) -> f64 {
    let path = 1.2 * noise(DVec3::new(along * 0.22, 0.0, 0.0), 78)
        + 0.5 * noise(DVec3::new(along * 0.7, 2.0, 0.0), 79);
    let length = smoothstep(-33.0, -27.0, along) * smoothstep(26.0, 21.0, along);
    -0.55 * bell(u - path + 1.0, 0.24) * length
}

/// The blow on the rim: metal pushed inward and down, and thrown up beside it.
pub(crate) fn dent(point: &mut DVec3, azimuth: f64) {
    let turn = wrap(azimuth - DENT_DEG.to_radians());
    if turn.abs() > TURN / 9.0 {
        return;
    }
    let across = turn * 74.0;
    let depth = (132.0 - point.y).max(0.0);
    let outer = smoothstep(60.0, 74.0, hypot(point.x, point.z));
    let blow = bell(across, 5.6) * bell(depth, 8.5);
    let thrown = bell(across.abs() - 8.6, 3.0) * bell(depth, 5.0);
    let inward = point.with_y(0.0).normalize_or_zero();
    *point -= inward * (blow * (1.8 + 3.0 * outer) - 0.3 * thrown);
    point.y -= 3.2 * blow * pow(outer, 0.7) - 0.5 * thrown;
}

/// The bead of wax that was scanned along with the wall; only the replica has it.
pub(crate) fn bead(mortar: &Mortar, station: &Station, azimuth: f64, point: &mut DVec3) {
    if mortar.body == Body::Original || station.along < mortar.marks.rim {
        return;
    }
    let (azimuth_deg, y, radius, relief) = BEAD;
    let u = wrap(azimuth - azimuth_deg.to_radians()) * station.point.x;
    let v = (station.point.y - y) / station.normal.x.abs().max(0.3);
    let q = hypot(u, v) / radius;
    if q < 1.0 {
        let dome = relief * pow(1.0 - pow(q, 2.6), 0.55);
        let flat = crate::maths::outward(azimuth) * station.normal.x;
        *point += (flat + DVec3::Y * station.normal.y) * dome;
    }
}
