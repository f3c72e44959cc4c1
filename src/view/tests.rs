//! Views of shapes on which it can be reckoned what is seen from where.

use super::shapes::{Body, Shape};
use super::*;
use crate::record::ViewFrom;
use crate::space::ray_triangle;
use glam::{DMat3, DVec3};

fn from(azimuth_deg: f64, elevation_deg: f64) -> ViewFrom {
    ViewFrom {
        azimuth_deg,
        elevation_deg,
    }
}

fn angle_deg(a: DVec3, b: DVec3) -> f64 {
    a.dot(b).clamp(-1.0, 1.0).acos().to_degrees()
}

/// A small patch of a sphere is seen from the half-space in front of its tangent plane, whole but
/// for a band as wide as the patch.
#[test]
fn a_patch_of_a_sphere_is_seen_from_its_own_half_space() {
    let ball = Body::of([Shape::sphere(DVec3::ZERO, 50.0, 240)]);
    for normal in [
        DVec3::Z,
        DVec3::new(1.0, 1.0, 0.5),
        DVec3::new(-0.3, -0.8, 0.4),
    ] {
        let normal = normal.normalize();
        let patch = ball.patch(0, normal * 50.0, 3.0);
        assert!(angle_deg(patch.normal, normal) < 1.0);
        let scenery = ball.scenery(0);
        for view in lattice::directions(300, 0.0) {
            let seen = scenery.seen(&patch, view, &LeftOut::default());
            let off = angle_deg(toward_eye(view), normal);
            // Half of the patch is 3.4° wide on the sphere, and 5° more count as turned away.
            if off < 81.0 {
                assert!(seen > 0.999, "{seen} at {off}°");
            } else if off > 89.5 {
                assert!(seen < 0.001, "{seen} at {off}°");
            }
        }
        let chosen = choose(&scenery, &patch, None);
        assert!(chosen.left_out.nothing() && chosen.seen > 0.999);
        let off = angle_deg(toward_eye(chosen.from), normal);
        assert!(off < 46.0, "{off}° off the normal");
        assert!(chosen.from.elevation_deg.abs() <= 75.0);
    }
    // Level with the eye, nothing pulls the view away from where relief is best seen.
    let patch = ball.patch(0, DVec3::Z * 50.0, 3.0);
    let chosen = choose(&ball.scenery(0), &patch, None);
    let off = angle_deg(toward_eye(chosen.from), DVec3::Z);
    assert!((11.0..36.0).contains(&off), "{off}°");
    assert!(
        chosen.from.elevation_deg > 0.0,
        "from above rather than from below"
    );
}

/// The middle of the bottom of a cup is seen from within the cone atan(r / h) about the axis. At an
/// angle t from it the rim's edge lies over the bottom as a disc shifted by h tan t, so the share of
/// a round patch of radius p that is seen is that of the patch's disc within the shifted disc.
#[test]
fn the_bottom_of_a_cup_is_seen_from_within_its_cone() {
    let (inner, depth) = (20.0, 30.0);
    let cup = Body::of([Shape::cup(inner, 22.0, depth + 2.0)]);
    let patch = cup.patch(0, DVec3::Y * 2.0, 5.0);
    let scenery = cup.scenery(0);
    for off in [0.0_f64, 10.0, 20.0, 25.0, 30.0, 33.7, 36.0, 40.0, 45.0] {
        let shift = depth * off.to_radians().tan();
        // Two discs, radii 20 and 5, so far apart: the lens in common, over the smaller disc's area.
        let expected = lens(inner, 5.0, shift) / (std::f64::consts::PI * 25.0);
        let seen = scenery.seen(&patch, from(17.0, 90.0 - off), &LeftOut::default());
        assert!(
            (seen - expected).abs() < 0.03,
            "{off}°: {seen} and {expected}"
        );
    }
    let chosen = choose(&scenery, &patch, None);
    let cone = (inner / depth).atan().to_degrees();
    let off = 90.0 - chosen.from.elevation_deg;
    assert!(off < cone && chosen.left_out.nothing(), "{chosen:?}");
    assert!(
        chosen.from.elevation_deg <= 75.0 && chosen.seen > 0.85,
        "{chosen:?}"
    );
}

/// Area that two discs of radii a > b have in common, their middles d apart (Weisstein,
/// "Circle-Circle Intersection", MathWorld).
fn lens(a: f64, b: f64, d: f64) -> f64 {
    if d <= a - b {
        return std::f64::consts::PI * b * b;
    }
    if d >= a + b {
        return 0.0;
    }
    let of = |r: f64, other: f64| r * r * ((d * d + r * r - other * other) / (2.0 * d * r)).acos();
    let kite = (-d + a + b) * (d + a - b) * (d - a + b) * (d + a + b);
    of(a, b) + of(b, a) - kite.sqrt() / 2.0
}

/// A well 20 mm wide and 80 deep shows its bottom from within 7.1° of the axis only.
#[test]
fn a_deep_well_is_looked_into_steeply_and_not_cut() {
    let well = Body::of([Shape::cup(10.0, 20.0, 82.0)]);
    let patch = well.patch(0, DVec3::Y * 2.0, 4.0);
    let chosen = choose(&well.scenery(0), &patch, None);
    let cone = (10.0_f64 / 80.0).atan().to_degrees();
    assert!(90.0 - chosen.from.elevation_deg < cone, "{chosen:?}");
    assert!(
        chosen.left_out.nothing() && chosen.seen > ENOUGH,
        "{chosen:?}"
    );
}

/// A cup with a lid on it: nothing of its bottom is seen from anywhere, and all of it without the
/// lid. The lid's own top is seen as it is.
#[test]
fn a_lid_is_taken_away() {
    let lid = Shape::block(DVec3::Y * 35.0, DVec3::new(50.0, 6.0, 50.0));
    let jar = Body::of([Shape::cup(20.0, 22.0, 32.0), lid]);
    let bottom = jar.patch(0, DVec3::Y * 2.0, 5.0);
    let scenery = jar.scenery(0);
    let none = LeftOut::default();
    for view in lattice::directions(300, 0.0) {
        assert_eq!(scenery.seen(&bottom, view, &none), 0.0, "{view:?}");
    }
    let chosen = choose(&scenery, &bottom, None);
    assert_eq!(
        (chosen.left_out.parts.as_slice(), chosen.left_out.cut),
        (&[1][..], None)
    );
    assert!(chosen.seen > 0.85 && chosen.whole.1 == 0.0, "{chosen:?}");
    let hidden = scenery.hidden_by(&bottom, chosen.from, &none);
    assert!(hidden[1] > 0.99 && hidden[0] < 0.2, "{hidden:?}");

    let top = jar.patch(1, DVec3::Y * 38.0, 5.0);
    let chosen = choose(&jar.scenery(1), &top, None);
    assert!(
        chosen.left_out.nothing() && chosen.seen > 0.99,
        "{chosen:?}"
    );

    // The keeper's view is kept, and the lid taken away for it where that shows something.
    let given = from(80.0, 70.0);
    let chosen = choose(&scenery, &bottom, Some(given));
    assert_eq!(
        (chosen.from, chosen.left_out.parts.as_slice()),
        (given, &[1][..])
    );
    let level = from(80.0, 5.0);
    let chosen = choose(&scenery, &bottom, Some(level));
    assert!(
        chosen.from == level && chosen.seen > 0.999,
        "cut open: {chosen:?}"
    );
    assert!(chosen.left_out.cut.is_some() && chosen.left_out.parts.is_empty());
}

/// A patch inside a closed box is seen by nobody until the box is cut open.
#[test]
fn a_closed_box_is_cut_open() {
    let room = Shape::block(DVec3::ZERO, DVec3::new(50.0, 40.0, 40.0));
    let hollow = Shape::block(DVec3::ZERO, DVec3::new(46.0, 36.0, 36.0));
    let closed = Body::of([room.around(hollow)]);
    let scenery = closed.scenery(0);
    for (near, normal) in [
        (DVec3::new(3.0, 2.0, -18.0), DVec3::Z),
        (DVec3::new(23.0, 2.0, 3.0), DVec3::NEG_X),
        (DVec3::new(1.0, -18.0, 1.0), DVec3::Y),
    ] {
        let patch = closed.patch(0, near, 6.0);
        assert!(angle_deg(patch.normal, normal) < 0.1);
        for view in lattice::directions(300, 0.0) {
            assert_eq!(scenery.seen(&patch, view, &LeftOut::default()), 0.0);
        }
        let chosen = choose(&scenery, &patch, None);
        let plane = chosen.left_out.cut.expect("cut open");
        assert!(chosen.left_out.parts.is_empty());
        assert!(chosen.seen > 0.9 && chosen.whole.1 == 0.0, "{chosen:?}");
        assert!(
            plane.toward_eye().dot(toward_eye(chosen.from)) > 0.25,
            "{chosen:?}"
        );
        assert!((patch.centre - plane.origin).dot(plane.toward_eye()) < 0.0);
    }
}

/// What the tree says of a patch behind railings is what trying every triangle says.
#[test]
fn a_share_is_that_of_trying_every_triangle() {
    let wall = Shape::block(DVec3::ZERO, DVec3::new(60.0, 60.0, 4.0));
    let rail = |x: f64| Shape::block(DVec3::new(x, 0.0, 8.0), DVec3::new(1.5, 50.0, 1.5));
    let body = Body::of([wall, rail(-6.0), rail(-2.0), rail(2.5), rail(7.0)]);
    let patch = body.patch(0, DVec3::Z * 2.0, 7.0);
    let scenery = body.scenery(0);
    let mut between = 0;
    for view in lattice::directions(120, 5.0) {
        let eye = toward_eye(view);
        let free = patch.samples.iter().filter(|s| {
            let origin = s.point + s.normal * scenery.lift();
            s.normal.dot(eye) > 0.087
                && (0..5).all(|part| {
                    let mesh = body.mesh(part);
                    (0u32..)
                        .take(mesh.triangles().len())
                        .all(|face| ray_triangle(origin, eye, mesh.corners(face)).is_none())
                })
        });
        let area: f64 = free.map(|s| s.area_mm2).sum();
        let expected = area / patch.samples.iter().map(|s| s.area_mm2).sum::<f64>();
        let seen = scenery.seen(&patch, view, &LeftOut::default());
        assert!((seen - expected).abs() < 1e-9, "{seen} and {expected}");
        between += usize::from(seen > 0.2 && seen < 0.9);
    }
    assert!(between > 10, "only {between} views through the railings");
    // Railings are taken away only where that shows a good deal more.
    let chosen = choose(&scenery, &patch, None);
    assert!(chosen.seen >= ENOUGH, "{chosen:?}");
}

/// A face under a deep eave, turned about the upright axis: the view turns with it.
#[test]
fn the_view_turns_with_the_object() {
    let seen_at = |turn_deg: f64| {
        let turn = DMat3::from_rotation_y(turn_deg.to_radians());
        let post = Shape::block(DVec3::ZERO, DVec3::new(20.0, 50.0, 20.0));
        let eave = Shape::block(DVec3::new(4.0, 28.0, 6.0), DVec3::new(44.0, 4.0, 60.0));
        let wing = Shape::block(DVec3::new(9.0, 0.0, 25.0), DVec3::new(3.0, 50.0, 30.0));
        let body = Body::of([post, eave, wing].map(|s| s.map(|p| turn * p)));
        let patch = body.patch(0, turn * DVec3::new(2.0, 18.0, 10.0), 5.0);
        choose(&body.scenery(0), &patch, None)
    };
    let first = seen_at(0.0);
    assert!(
        first.from.azimuth_deg < 0.0,
        "away from the wing: {first:?}"
    );
    for turn in [40.0, 135.0, -77.0] {
        let other = seen_at(turn);
        let turned = from(first.from.azimuth_deg + turn, first.from.elevation_deg);
        let off = angle_deg(toward_eye(turned), toward_eye(other.from));
        assert!(off < 0.2, "{off}° at {turn}°: {first:?} {other:?}");
        assert!((first.seen - other.seen).abs() < 0.03);
    }
}

/// Of three patches two are seen together from the right of the front only.
#[test]
fn the_front_shows_most_of_the_key() {
    let block = Body::of([Shape::block(DVec3::ZERO, DVec3::new(40.0, 30.0, 40.0))]);
    let keyed = |near: DVec3| Keyed {
        scenery: block.scenery(0),
        patch: block.patch(0, near, 4.0),
    };
    let ahead = keyed(DVec3::Z * 20.0);
    let right = keyed(DVec3::X * 20.0);
    let back = keyed(DVec3::NEG_Z * 20.0);
    let both = front(&[ahead.clone(), right.clone(), back.clone()]);
    assert!(
        both.azimuth_deg >= 30.0 && both.elevation_deg > 0.0,
        "{both:?}"
    );
    let alone = front(std::slice::from_ref(&ahead));
    assert!(alone.azimuth_deg.abs() < 36.0, "{alone:?}");
    assert_eq!(front(&[]), ViewFrom::default());
    assert_eq!(
        front(&[back]),
        ViewFrom::default(),
        "nothing is seen from the front"
    );
}
