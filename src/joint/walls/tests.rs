//! Walls with closed forms: shells between two spheres, boxes, wedges.

use super::super::shapes::{Shape, Solid, boxed, cup, sphere};
use super::*;
use std::f64::consts::PI;

fn asked(thin_below_mm: f64) -> WallAsked {
    WallAsked {
        thin_below_mm,
        bar_mm: 0.25,
        samples: 50_000,
    }
}

fn hollow(around: u32) -> Shape {
    sphere(20.0, DVec3::ZERO, around).and(sphere(18.0, DVec3::ZERO, around).turned())
}

/// How far a mesh with its corners on a sphere lies within it, at most: along the middle of a
/// diagonal of its squares.
fn chord(radius: f64, around: u32) -> f64 {
    2.0 * radius * (1.0 - (PI / f64::from(around)).cos())
}

#[test]
fn a_hollow_ball_is_two_thick() {
    let ball = Solid::new(hollow(240));
    let found = walls(&[ball.part()], asked(2.5)).unwrap();
    let error = chord(20.0, 240);
    assert!(error < 0.004);
    for mm in [found.least_mm, found.p05_mm, found.median_mm] {
        assert!((mm - 2.0).abs() < error, "{mm}, {error}");
    }
    assert_eq!((found.escaped, found.grazed), (0.0, 0.0));
    assert!(found.samples >= 50_000);
    // All of it is one thin place, with both sides' area, 4π(20² + 18²) less the mesh's loss.
    assert_eq!(found.thin.len(), 1);
    let area = 4.0 * PI * (400.0 + 324.0);
    assert!((found.thin[0].area_mm2 / area - 1.0).abs() < 1e-3);
    assert!(found.thin[0].spot.centre.length() < 0.1);
    // All in the bars around 2 mm, and the bars hold all.
    let held: f64 = found.histogram.iter().map(|b| b.area_mm2).sum();
    assert!((held / found.thin[0].area_mm2 - 1.0).abs() < 1e-9);
    assert!(found.histogram[..7].iter().all(|b| b.area_mm2 == 0.0));
    assert!(
        found
            .histogram
            .iter()
            .all(|b| (b.to_mm - b.from_mm - 0.25).abs() < 1e-9)
    );
}

#[test]
fn an_inside_and_an_outside_that_were_scanned_apart() {
    let around = 240;
    let outside = Solid::new(cup(20.0, DVec3::ZERO, around, false));
    let inside = Solid::new(cup(18.0, DVec3::ZERO, around, true));
    let both = walls(&[outside.part(), inside.part()], asked(2.5)).unwrap();
    assert!((both.median_mm - 2.0).abs() < chord(20.0, around));
    assert!((both.least_mm - 2.0).abs() < chord(20.0, around));
    // Rays at the rim pass the other's edge by the slope of a face, no more.
    assert!(both.escaped < 0.02, "{}", both.escaped);
    // The inside alone has no way out: every ray runs away from the hollow.
    assert_eq!(walls(&[inside.part()], asked(2.5)), None);
}

#[test]
fn a_hole_is_told_and_not_measured_across_the_hollow() {
    // The inner surface has a round hole: what lies outside it has no other side.
    let hole = DVec3::new(0.0, -18.0, 0.0);
    let torn = sphere(20.0, DVec3::ZERO, 240).and(
        sphere(18.0, DVec3::ZERO, 240)
            .turned()
            .keep(|p| p.distance(hole) > 3.0),
    );
    let ball = Solid::new(torn);
    let found = walls(&[ball.part()], asked(2.5)).unwrap();
    // Seen from the middle, the hole's cap has the height c²/2r; the outer cap scales with it.
    let cap = 2.0 * PI * 400.0 * (9.0 / (2.0 * 18.0 * 18.0));
    let area = 4.0 * PI * (400.0 + 324.0);
    assert!(
        (found.escaped / (cap / area) - 1.0).abs() < 0.1,
        "{}",
        found.escaped
    );
    let thickest = found.histogram.last().unwrap().to_mm;
    assert!(thickest < 2.5, "a wall of {thickest} across the hollow");
}

#[test]
fn a_plate_with_two_thin_places() {
    // Four boxes side by side, 5 apart: 0.8, 3, 0.5 and 3 thick; their ends are thicker.
    let plate = |x: f64, width: f64, thick: f64| {
        boxed(DVec3::new(x, 0.0, 0.0), DVec3::new(x + width, thick, 30.0))
    };
    let body = plate(0.0, 10.0, 0.8)
        .and(plate(15.0, 10.0, 3.0))
        .and(plate(30.0, 20.0, 0.5))
        .and(plate(55.0, 10.0, 3.0));
    let body = Solid::new(body);
    let found = walls(&[body.part()], asked(1.0)).unwrap();
    assert!((found.least_mm - 0.5).abs() < 1e-6);
    let [large, small] = found.thin.as_slice() else {
        panic!("{:?}", found.thin);
    };
    // Both faces of each.
    assert!((large.area_mm2 - 1200.0).abs() < 1e-6 && (large.least_mm - 0.5).abs() < 1e-6);
    assert!((small.area_mm2 - 600.0).abs() < 1e-6 && (small.least_mm - 0.8).abs() < 1e-6);
    assert!(large.spot.centre.distance(DVec3::new(40.0, 0.25, 15.0)) < 0.5);
    // 0.5 mm: 1200 of 1200 + 600 + 2 × 600, and the sides across 10, 20 and 30.
    assert!((found.p05_mm - 0.5).abs() < 1e-6);
    assert_eq!((found.escaped, found.grazed), (0.0, 0.0));
}

/// A wedge 10 long and 10 wide, whose slope rises from a flat side at angle a. By trigonometry:
/// from the flat side the slope is met at a from straight; from the back the slope is met at 90° − a
/// from straight, and so is the back from the slope, where the ray does not come to the flat
/// side first, which it does on the part cos² a of the slope from the edge on.
#[test]
fn a_ray_that_grazes_is_not_a_wall() {
    for degrees in [20.0f64, 40.0, 70.0] {
        let a = degrees.to_radians();
        let high = 10.0 * a.tan();
        let shape = boxed(DVec3::ZERO, DVec3::new(10.0, high, 10.0));
        // The upper edge at x = 0 comes down to the lower one.
        let down = |p: DVec3| if p.x == 0.0 { p * DVec3::Z } else { p };
        let wedge = Solid::new(shape.map(down));
        let (flat, slope, back, ends) = (100.0, 100.0 / a.cos(), 10.0 * high, 10.0 * high);
        let to_flat = a.cos() * a.cos() * slope;
        let (with_flat, with_back) = (flat + to_flat, back + slope - to_flat);
        let mut grazed = 0.0;
        if degrees > 60.0 {
            grazed += with_flat;
        }
        if 90.0 - degrees > 60.0 {
            grazed += with_back;
        }
        let expected = grazed / (flat + slope + back + ends);
        let found = walls(&[wedge.part()], asked(1.0)).unwrap();
        let off = (found.grazed - expected).abs();
        assert!(off < 0.005, "{degrees}: {}, {expected}", found.grazed);
        assert_eq!(found.escaped, 0.0);
    }
}

#[test]
fn a_part_that_reaches_into_the_wall_does_not_hide_it() {
    // A block of 30 with a smaller one sunk into its top by 4.
    let block = Solid::new(boxed(DVec3::ZERO, DVec3::splat(30.0)));
    let sunk = Solid::new(boxed(
        DVec3::new(10.0, 26.0, 10.0),
        DVec3::new(20.0, 60.0, 20.0),
    ));
    let found = walls(&[block.part(), sunk.part()], asked(1.0)).unwrap();
    // The block's floor under the sunk part: rays go in there, come out of the block, then of the
    // part. The first way out is the block's own.
    assert_eq!(found.escaped, 0.0);
    assert!((found.median_mm - 30.0).abs() < 1e-6);
    // Buried are the sunk part's lower end, 4 of its sides, and the block's top under it, of
    // 6 × 900 and 2 × 100 + 4 × 340.
    let buried = (100.0 + 4.0 * 40.0 + 100.0) / (5400.0 + 1560.0);
    assert!(
        (found.buried - buried).abs() < 0.002,
        "{}, {buried}",
        found.buried
    );
}

#[test]
fn the_same_on_any_number_of_processors() {
    let ball = Solid::new(hollow(60));
    let first = walls(&[ball.part()], asked(2.0));
    for threads in [1, 2, 5] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let again = pool.build().unwrap();
        assert_eq!(first, again.install(|| walls(&[ball.part()], asked(2.0))));
    }
}
