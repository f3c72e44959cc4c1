//! Spaces with closed forms, holes, and surfaces that face the wrong way.

use super::super::shapes::{Solid, boxed, sphere};
use super::*;
use std::f64::consts::PI;

/// Weisstein, "Sphere-Sphere Intersection", MathWorld: two equal spheres at distance d share
/// π(4r + d)(2r − d)²/12.
#[test]
fn the_lens_of_two_spheres() {
    let (r, d, around) = (10.0, 15.0, 256);
    let one = Solid::new(sphere(r, DVec3::ZERO, around));
    // Along the axis of the poles, and across it.
    for way in [DVec3::Y, DVec3::X, DVec3::new(0.6, 0.0, 0.8)] {
        let other = Solid::new(sphere(r, way * d, around));
        let found = overlap(one.part(), other.part(), 200);
        let lens = PI * (4.0 * r + d) * (2.0 * r - d) * (2.0 * r - d) / 12.0;
        // Each mesh lies within its sphere by no more than the sagittas along its rows and
        // across them, over the lens's area.
        let sagitta = r * (1.0 - (PI / f64::from(around)).cos());
        let skin = 2.0 * 2.0 * sagitta * 2.0 * PI * r * (r - d / 2.0);
        let off = found.volume_mm3 - lens;
        let sure = 3.0 * found.standard_error_mm3;
        assert!(
            off < sure && off > -skin - sure,
            "{off}, ±{sure}, skin {skin}"
        );
        let error = found.standard_error_mm3 / lens;
        assert!(error > 1e-6 && error < 1e-3, "{error}");
        assert_eq!(found.left_out, 0.0);
        assert_eq!(found.places.len(), 1);
        let place = found.places[0];
        assert!(
            (place.deepest_mm - (2.0 * r - d)).abs() < 4.0 * sagitta,
            "{place:?}"
        );
        assert!((place.volume_mm3 - found.volume_mm3).abs() < 1e-9);
        assert!(place.spot.centre.distance(way * d / 2.0) < 0.1);
    }
}

#[test]
fn two_boxes_in_two_places() {
    // A bar through a frame's two sides: 2 × 3 × 4 shared at either.
    let frame = boxed(DVec3::ZERO, DVec3::new(4.0, 20.0, 20.0))
        .and(boxed(DVec3::X * 30.0, DVec3::new(36.0, 20.0, 20.0)));
    let bar = boxed(DVec3::new(-5.0, 8.0, 9.0), DVec3::new(40.0, 10.0, 12.0));
    let (frame, bar) = (Solid::new(frame), Solid::new(bar));
    let found = overlap(frame.part(), bar.part(), 180);
    let [large, small] = found.places.as_slice() else {
        panic!("{found:?}");
    };
    assert!((large.volume_mm3 - 36.0).abs() < 3.0 * found.standard_error_mm3 + 1e-6);
    assert!((small.volume_mm3 - 24.0).abs() < 3.0 * found.standard_error_mm3 + 1e-6);
    assert!(large.spot.centre.distance(DVec3::new(33.0, 9.0, 10.5)) < 0.3);
    // A corner line of the bar within the frame is nearest to the frame's face: half of 6.
    assert!((large.deepest_mm - 3.0).abs() < 0.2, "{large:?}");
}

#[test]
fn apart_is_nothing() {
    let one = Solid::new(sphere(10.0, DVec3::ZERO, 32));
    let far = Solid::new(sphere(10.0, DVec3::X * 30.0, 32));
    let found = overlap(one.part(), far.part(), 64);
    assert_eq!(
        (found.volume_mm3, found.lines, found.places.len()),
        (0.0, 0, 0)
    );
    // Boxes meet, balls do not.
    let near = Solid::new(sphere(10.0, DVec3::new(13.0, 13.0, 13.0), 32));
    assert_eq!(overlap(one.part(), near.part(), 64).volume_mm3, 0.0);
}

#[test]
fn a_hole_costs_its_own_lines_and_is_told() {
    let (r, d) = (10.0, 12.0);
    let one = Solid::new(sphere(r, DVec3::ZERO, 128));
    let whole = Solid::new(sphere(r, DVec3::X * d, 128));
    // Two holes of 1 mm radius across the lens.
    let hole = DVec3::new(2.5, 1.0, 2.0);
    let torn = sphere(r, DVec3::X * d, 128).keep(|p| (p - hole).length() > 1.2);
    let torn = Solid::new(torn);
    let (all, left) = (
        overlap(one.part(), whole.part(), 128),
        overlap(one.part(), torn.part(), 128),
    );
    assert_eq!(all.left_out, 0.0);
    assert!(
        left.left_out > 0.0 && left.left_out < 0.05,
        "{}",
        left.left_out
    );
    assert!(left.volume_mm3 < all.volume_mm3);
    assert!(left.volume_mm3 > 0.9 * all.volume_mm3);
    // Inside out, no line can be counted, and none is.
    let turned = Solid::new(sphere(r, DVec3::X * d, 128).turned());
    let none = overlap(one.part(), turned.part(), 64);
    assert_eq!((none.left_out, none.volume_mm3), (1.0, 0.0));
}

#[test]
fn the_same_on_any_number_of_processors() {
    let one = Solid::new(sphere(10.0, DVec3::ZERO, 64));
    let other = Solid::new(sphere(8.0, DVec3::new(9.0, 3.0, 1.0), 64));
    let first = overlap(one.part(), other.part(), 90);
    for threads in [1, 2, 5] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let again = pool.build().unwrap();
        assert_eq!(
            first,
            again.install(|| overlap(one.part(), other.part(), 90))
        );
    }
}
