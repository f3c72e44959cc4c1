//! Angles worked by hand: atan(d/h) of handbook solids (the project's list of check values,
//! "Solids and stability"), and legs cut short.

use super::*;
use std::f64::consts::{FRAC_PI_4, PI, TAU};

const NEAR: f64 = 1e-6;

fn ring(around: u32, radius: f64, height: f64, from: f64) -> impl Iterator<Item = DVec3> {
    (0..around).map(move |i| {
        let angle = from + TAU * f64::from(i) / f64::from(around);
        DVec3::new(radius * angle.cos(), height, radius * angle.sin())
    })
}

fn settle(points: &[DVec3], centre: DVec3, contact_mm: f64) -> Settled {
    rest(points, &hull(points).unwrap(), centre, DVec3::Y, contact_mm).unwrap()
}

fn assert_near(found: f64, expected: f64) {
    assert!((found - expected).abs() < NEAR, "{found}, not {expected}");
}

#[test]
fn a_frustum_tips_at_forty_degrees() {
    // Radii 20 and 10, height 60; centroid h/4 (R² + 2Rr + 3r²)/(R² + Rr + r²) above the base.
    let around = 100_000;
    let points: Vec<DVec3> = ring(around, 20.0, 0.0, 0.0)
        .chain(ring(around, 10.0, 60.0, 0.0))
        .collect();
    let centre = DVec3::Y * (15.0 * (400.0 + 400.0 + 300.0) / (400.0 + 200.0 + 100.0));
    let settled = settle(&points, centre, 0.01);
    assert!(settled.stands_as_set);
    assert_eq!(settled.rolls, 0);
    assert_near(settled.rest.height_mm, 23.571_428_571);
    assert_near(settled.rest.tip.least_deg, 40.314_100);
    assert_near(settled.rest.tilt_deg, 0.0);
    assert_eq!(settled.rest.leans_toward, None);
}

#[test]
fn a_base_of_thirty_tips_at_fourteen_degrees() {
    // Half width 15, centre of mass at 60.
    let points: Vec<DVec3> = ring(4, 15.0 * 2f64.sqrt(), 0.0, FRAC_PI_4)
        .chain(ring(4, 5.0, 120.0, 0.0))
        .collect();
    let settled = settle(&points, DVec3::Y * 60.0, 0.01);
    assert_near(settled.rest.tip.least_deg, 14.036_243);
    assert_near(settled.rest.tip.distance_mm, 15.0);
}

#[test]
fn a_square_tips_over_its_sides_before_its_corners() {
    // Side 40, centre of mass at 50.
    let points: Vec<DVec3> = ring(4, 20.0 * 2f64.sqrt(), 0.0, FRAC_PI_4)
        .chain(ring(4, 20.0, 100.0, 0.0))
        .collect();
    let rest = settle(&points, DVec3::Y * 50.0, 0.01).rest;
    assert_near(rest.tip.least_deg, 21.801_409);
    assert_near(rest.tip_toward_deg(DVec3::X).unwrap(), 21.801_409);
    let corner = DVec3::new(1.0, 0.0, 1.0);
    assert_near(rest.tip_toward_deg(corner).unwrap(), 29.496_208);
    // Up and down are no direction along the floor.
    assert_eq!(rest.tip_toward_deg(DVec3::Y), None);
    // With the centre 5 mm off, toward the side that is nearer now.
    let off = settle(&points, DVec3::new(5.0, 50.0, 0.0), 0.01).rest;
    assert_near(off.tip.least_deg, 16.699_244);
    assert!(off.tip.toward.distance(DVec3::X) < 1e-9);
    assert!(off.tip.edge.iter().all(|p| (p.x - 20.0).abs() < 1e-9));
}

#[test]
fn a_tripod_tips_between_two_feet() {
    // Circumradius 20: the sides are 10 away. Centre of mass at 50.
    let points: Vec<DVec3> = ring(3, 20.0, 0.0, 0.0)
        .chain(ring(3, 9.0, 90.0, 1.0))
        .collect();
    let rest = settle(&points, DVec3::Y * 50.0, 0.01).rest;
    assert_eq!(rest.support.len(), 3);
    assert_near(rest.tip.least_deg, 11.309_932);
    // Away from the foot in x.
    assert_near(rest.tip_toward_deg(-DVec3::X).unwrap(), 11.309_932);
    // Over the foot itself: atan(20/50).
    assert_near(rest.tip_toward_deg(DVec3::X).unwrap(), 21.801_409);
}

/// Three feet at 30 mm from the axis, the one in +x cut short.
fn tripod(cut_mm: f64) -> Vec<DVec3> {
    let mut points: Vec<DVec3> = ring(3, 30.0, 0.0, 0.0).collect();
    points[0].y = cut_mm;
    points.extend(ring(64, 35.0, 100.0, 0.0));
    points
}

#[test]
fn a_foot_cut_short_leans_by_trigonometry_and_a_pad_mends_it() {
    let centre = DVec3::Y * 45.0;
    // The other two feet are 15 mm beyond the axis: 45 mm from the short one.
    let cut = 1.414;
    let expected = (cut / 45.0f64).atan().to_degrees();
    let with_pad = tripod(0.0);
    let whole = settle(&with_pad, centre, 0.05);
    assert!(whole.stands_as_set);
    assert_near(whole.rest.tilt_deg, 0.0);

    let without = lean_without(
        &with_pad,
        &[(0, DVec3::new(30.0, cut, 0.0))],
        centre,
        DVec3::Y,
        0.05,
    )
    .unwrap();
    assert_near(without.rest.tilt_deg, expected);
    assert!(!without.stands_as_set);
    assert_eq!(without.rolls, 0);
    // It leans toward the short foot: along the floor, that is +x and a little up in its frame.
    let toward = without.rest.leans_toward.unwrap();
    let (sin, cos) = expected.to_radians().sin_cos();
    assert!(
        toward.distance(DVec3::new(cos, sin, 0.0)) < 1e-9,
        "{toward}"
    );
    // A vertex that there is not.
    assert_eq!(
        lean_without(&with_pad, &[(999, DVec3::ZERO)], centre, DVec3::Y, 0.05),
        None
    );
}

#[test]
fn roughness_within_the_tolerance_is_one_foot() {
    // A ring of 2000 points, rough by 0.02 mm, in a fixed sequence (golden-ratio steps).
    let mut points: Vec<DVec3> = ring(2000, 20.0, 0.0, 0.0).collect();
    for (i, p) in points.iter_mut().enumerate() {
        p.y = 0.02 * (i as f64 * 0.618_033_988_749_895).fract();
    }
    points.extend(ring(100, 20.0, 100.0, 0.0));
    let settled = settle(&points, DVec3::Y * 50.0, 0.05);
    assert_eq!(settled.rolls, 0);
    // 0.02 over a width of more than 20.
    assert!(settled.rest.tilt_deg < (0.02f64 / 20.0).atan().to_degrees());
    // The ring's own angle, atan(20/50), less the chord of its edges and the lean.
    assert!((settled.rest.tip.least_deg - 21.801_409).abs() < 0.06);
    // With no tolerance, three points bear, and the polygon is a triangle.
    assert_eq!(settle(&points, DVec3::Y * 50.0, 0.0).rest.support.len(), 3);
}

fn boxed() -> Vec<DVec3> {
    (0..8u32)
        .map(|i| {
            let bit = |k: u32| f64::from(i >> k & 1);
            DVec3::new(bit(0) * 10.0, bit(1) * 30.0, bit(2) * 20.0)
        })
        .collect()
}

#[test]
fn a_box_rests_on_each_of_its_six_sides() {
    let points = boxed();
    let hull = hull(&points).unwrap();
    let found = rests(&points, &hull, DVec3::new(5.0, 15.0, 10.0), DVec3::Y, 0.01);
    assert_eq!(found.len(), 6);
    let tilts: Vec<f64> = found.iter().map(|r| r.tilt_deg.round()).collect();
    assert_eq!(tilts, [0.0, 90.0, 90.0, 90.0, 90.0, 180.0]);
    assert!(found.iter().all(|r| r.support.len() == 4));
    // Upright: half of 10 over half of 30.
    assert_near(found[0].tip.least_deg, (5.0f64 / 15.0).atan().to_degrees());
    // The height of the centre is half of each side in turn.
    let heights: f64 = found.iter().map(|r| r.height_mm).sum();
    assert_near(heights, 2.0 * (5.0 + 15.0 + 10.0));
}

#[test]
fn a_stick_set_on_its_point_rolls_on_to_its_side() {
    let mut points: Vec<DVec3> = ring(4, 5.0, 10.0, FRAC_PI_4)
        .chain(ring(4, 5.0, 200.0, FRAC_PI_4))
        .collect();
    points.push(DVec3::ZERO);
    let settled = settle(&points, DVec3::new(0.1, 102.0, 0.05), 0.01);
    assert!(!settled.stands_as_set);
    assert_eq!(settled.rolls, 1);
    assert_near(settled.rest.tilt_deg, 90.0);
}

#[test]
fn a_leaning_tower_does_not_stand_as_set() {
    // A prism 20 wide and 100 high, its top pushed over by `push`. The foot of the middle moves by
    // half of that and leaves the base when it moves by more than 10.
    let tower = |push: f64| -> (Vec<DVec3>, DVec3) {
        let base = ring(4, 10.0 * 2f64.sqrt(), 0.0, FRAC_PI_4);
        let top = ring(4, 10.0 * 2f64.sqrt(), 100.0, FRAC_PI_4).map(|p| p + DVec3::X * push);
        (base.chain(top).collect(), DVec3::new(push / 2.0, 50.0, 0.0))
    };
    let (points, centre) = tower(19.0);
    let stands = settle(&points, centre, 0.01);
    assert!(stands.stands_as_set && stands.rest.tilt_deg < NEAR);
    assert_near(
        stands.rest.tip.least_deg,
        (0.5f64 / 50.0).atan().to_degrees(),
    );
    let (points, centre) = tower(21.0);
    let falls = settle(&points, centre, 0.01);
    assert!(!falls.stands_as_set);
    assert_near(
        falls.rest.tilt_deg,
        90.0 - (21.0f64 / 100.0).atan().to_degrees(),
    );
}

#[test]
fn turning_the_body_changes_no_number() {
    let points = tripod(1.0);
    let centre = DVec3::new(1.0, 45.0, -2.0);
    let one = settle(&points, centre, 0.05).rest;
    let turn = glam::DQuat::from_euler(glam::EulerRot::XYZ, 0.3, 1.1, -0.7);
    let place = |p: DVec3| turn * p + DVec3::new(300.0, -40.0, 12.0);
    let turned: Vec<DVec3> = points.iter().map(|p| place(*p)).collect();
    let hull = hull(&turned).unwrap();
    let other = rest(&turned, &hull, place(centre), turn * DVec3::Y, 0.05)
        .unwrap()
        .rest;
    assert_near(one.tilt_deg, other.tilt_deg);
    assert_near(one.tip.least_deg, other.tip.least_deg);
    assert!(other.foot.distance(place(one.foot)) < 1e-9);
    assert!(other.down.distance(turn * one.down) < 1e-9);
}

#[test]
fn what_cannot_be_said_is_not_said() {
    let points = boxed();
    let hull = hull(&points).unwrap();
    let inside = DVec3::new(5.0, 15.0, 10.0);
    assert_eq!(
        rest(&points, &hull, DVec3::splat(99.0), DVec3::Y, 0.01),
        None
    );
    assert_eq!(rest(&points, &hull, DVec3::NAN, DVec3::Y, 0.01), None);
    assert_eq!(rest(&points, &hull, inside, DVec3::ZERO, 0.01), None);
    assert!(rests(&points, &hull, DVec3::splat(99.0), DVec3::Y, 0.01).is_empty());
}

#[test]
fn a_large_scan_is_weighed_quickly() {
    // 900,000 points of a vase drawn in at the waist by a sine.
    let (around, up) = (1500u32, 600u32);
    let points: Vec<DVec3> = (0..up)
        .flat_map(|k| {
            let share = f64::from(k) / f64::from(up - 1);
            let radius = 30.0 - 12.0 * (share * PI).sin();
            ring(around, radius, share * 150.0, f64::from(k % 7) * 0.001)
        })
        .collect();
    let settled = settle(&points, DVec3::Y * 70.0, 0.02);
    assert!(settled.stands_as_set);
    // atan(30/70), less the chord.
    assert!((settled.rest.tip.least_deg - (30.0f64 / 70.0).atan().to_degrees()).abs() < 1e-3);
}
