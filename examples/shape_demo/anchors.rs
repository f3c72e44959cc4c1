//! Where each detail lies, taken from the same construction as the surface.

use crate::feet::{self, FEET_DEG, FOOT_FROM_AXIS};
use crate::maths::{TURN, cos, outward, sin};
use crate::mends::{BEAD, DENT_DEG, PATCH_DEG, PLUG, SEAMS_DEG};
use crate::mortar::{HANDLES, HARES_DEG, Mortar};
use crate::pestle::{Pestle, Pose};
use crate::token::{self, PIN, Token};
use glam::{DVec2, DVec3};
use serde_json::{Value, json};

/// A detail's place and the direction that shows it best.
pub(crate) struct Anchor {
    detail: &'static str,
    body: &'static str,
    point: DVec3,
    radius_mm: f64,
    azimuth_deg: f64,
    elevation_deg: f64,
}

/// The list as it is written down, rounded to hundredths of a millimetre.
pub(crate) fn listed(anchors: &[Anchor]) -> Value {
    let hundredths = |v: f64| libm::round(v * 100.0) / 100.0;
    let entry = |a: &Anchor| {
        json!({
            "detail": a.detail, "body": a.body,
            "point_mm": a.point.to_array().map(hundredths), "radius_mm": a.radius_mm,
            "azimuth_deg": a.azimuth_deg, "elevation_deg": a.elevation_deg,
        })
    };
    anchors.iter().map(entry).collect()
}

fn place(detail: &'static str, body: &'static str, point: DVec3, view: [f64; 3]) -> Anchor {
    let [radius_mm, azimuth_deg, elevation_deg] = view;
    Anchor {
        detail,
        body,
        point,
        radius_mm,
        azimuth_deg,
        elevation_deg,
    }
}

/// The details that the original mortar and its pestle carry.
pub(crate) fn of_original(mortar: &Mortar, pestle: &Pestle, pose: Pose) -> Vec<Anchor> {
    let wall = |y: f64, azimuth_deg: f64| {
        let station = mortar.wall(y);
        mortar.spot(station, azimuth_deg.to_radians()).point
    };
    let rim = |from_rim: f64, azimuth_deg: f64| {
        let station = mortar.station(mortar.marks.rim + from_rim);
        mortar.spot(station, azimuth_deg.to_radians()).point
    };
    let [low, high] = mortar.marks.handle;
    let nose = mortar
        .stations
        .iter()
        .filter(|s| (low..high).contains(&s.along))
        .map(|s| mortar.spot(s, HANDLES[0] * TURN).point)
        .max_by(|a, b| a.x.total_cmp(&b.x))
        .unwrap_or(DVec3::ZERO);
    let (view_azimuth, view_elevation) = (6.0f64, 60.0f64);
    let tilt = view_elevation.to_radians();
    let towards = outward(view_azimuth.to_radians()) * cos(tilt) + DVec3::Y * sin(tilt);
    let bulb = pestle.stations.iter().find(|s| s.point.y > 17.0);
    let facing = pestle.facing(pose, towards);
    let polish = bulb.map_or(DVec3::ZERO, |s| pestle.spot(s, facing, pose).point);
    let original = "original";
    vec![
        place(
            "hare-frieze",
            original,
            wall(56.0, HARES_DEG[1]),
            [19.0, 8.0, 4.0],
        ),
        place(
            "inscription-band",
            original,
            wall(93.8, 10.0),
            [13.0, 8.0, 5.0],
        ),
        place("grotesque-handles", original, nose, [24.0, 76.0, 8.0]),
        place(
            "casting-plug",
            original,
            wall(PLUG.1, PLUG.0),
            [8.0, 332.0, 6.0],
        ),
        place(
            "lip-patch",
            original,
            rim(-5.5, PATCH_DEG),
            [15.0, 322.0, 26.0],
        ),
        place(
            "rim-dent",
            original,
            rim(-3.0, DENT_DEG),
            [11.0, 24.0, 24.0],
        ),
        place(
            "mould-seam",
            original,
            wall(27.0, SEAMS_DEG[0]),
            [10.0, 304.0, 4.0],
        ),
        place(
            "worn-foot",
            original,
            underside(mortar, 8.35),
            [11.0, 315.0, -18.0],
        ),
        place(
            "pestle-polish",
            original,
            polish,
            [11.0, view_azimuth, view_elevation],
        ),
    ]
}

/// The details that only the replica carries.
pub(crate) fn of_replica(mortar: &Mortar) -> Vec<Anchor> {
    let inner = mortar
        .stations
        .iter()
        .filter(|s| s.along > mortar.marks.rim);
    let bead = inner
        .min_by(|a, b| {
            (a.point.y - BEAD.1)
                .abs()
                .total_cmp(&(b.point.y - BEAD.1).abs())
        })
        .map_or(DVec3::ZERO, |s| mortar.spot(s, BEAD.0.to_radians()).point);
    let ahead = outward(15f64.to_radians()) * 43.0;
    let scar = feet::scars()
        .into_iter()
        .min_by(|a, b| a.distance(ahead).total_cmp(&b.distance(ahead)))
        .unwrap_or(ahead);
    let azimuth = crate::maths::atan2(scar.x, scar.z);
    let scar = under(mortar, scar.length(), azimuth);
    let replica = "replica";
    vec![
        place(
            "levelling-pad",
            replica,
            underside(mortar, 6.75),
            [10.0, 315.0, -18.0],
        ),
        place("wax-bead", replica, bead, [5.0, 12.0, 42.0]),
        place("support-scars", replica, scar, [16.0, 15.0, -55.0]),
    ]
}

/// The details of the token.
pub(crate) fn of_token(token: &Token) -> Vec<Anchor> {
    let at = |p: DVec2, front: bool| token.at(p, front).point;
    let original = "original";
    vec![
        place(
            "heron",
            original,
            at(DVec2::new(-0.3, 0.9), true),
            [8.5, 0.0, 0.0],
        ),
        place(
            "token-inscription",
            original,
            at(token::lettering_place(0.12), true),
            [5.0, 350.0, 4.0],
        ),
        place("lost-pin", original, at(PIN, false), [4.0, 168.0, 10.0]),
        place(
            "bent-edge",
            original,
            at(token::bent_edge(), true),
            [5.5, 306.0, 24.0],
        ),
    ]
}

/// A place below the worn foot, a distance outward from the foot's middle.
fn underside(mortar: &Mortar, from_middle: f64) -> DVec3 {
    under(
        mortar,
        FOOT_FROM_AXIS + from_middle,
        FEET_DEG[0].to_radians(),
    )
}

fn under(mortar: &Mortar, from_axis: f64, azimuth: f64) -> DVec3 {
    let station = mortar
        .stations
        .iter()
        .find(|s| s.point.x >= from_axis)
        .unwrap_or(&mortar.stations[0]);
    mortar.spot(station, azimuth).point
}
