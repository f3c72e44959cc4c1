//! What is a difference and what is none: holes in a scan, coatings, spikes; and how sure an area is.

use crate::{DENT, PAD, body, differences, plain};
use counterpart::align::{Pose, Surface};
use counterpart::differ::{Band, Sureness, compare};
use counterpart::mesh::Mesh;
use counterpart::space::{Sides, Tree};
use glam::{DVec3, Vec3};
use std::f64::consts::{PI, TAU};

/// Where one scan has a hole, nothing is said to be lost.
#[test]
fn a_hole_in_a_scan_is_not_a_difference() {
    let whole = body(200, 300, plain);
    let kept: Vec<[u32; 3]> = whole
        .triangles()
        .iter()
        .filter(|t| {
            let middle: Vec3 = t
                .iter()
                .map(|i| whole.positions()[*i as usize])
                .sum::<Vec3>()
                / 3.0;
            middle.as_dvec3().angle_between(DENT) > 0.2
        })
        .copied()
        .collect();
    let open = Mesh::new(whole.positions().to_vec(), kept).unwrap();
    let found = differences(&whole, &open, &Pose::STILL, 0.05, 0.0);
    assert!(found.regions.is_empty());
    let [missing, other] = &found.not_captured;
    assert!(other.is_empty());
    assert_eq!(missing.len(), 1);
    // A cap of half angle 0.2 on a ball as large as the body is there.
    let reach = plain(DENT.normalize());
    let cap = TAU * reach * reach * (1.0 - 0.2f64.cos());
    assert!(
        (missing[0].area_mm2 / cap - 1.0).abs() < 0.15,
        "{} and {cap}",
        missing[0].area_mm2
    );
    assert!(missing[0].spot.centre.normalize().dot(DENT.normalize()) > 0.99);
    let back = differences(&open, &whole, &Pose::STILL, 0.05, 0.0);
    assert!(back.regions.is_empty() && back.not_captured[0].is_empty());
    assert_eq!(back.not_captured[1].len(), 1);
}

/// A declared coating is no difference; an undeclared one is one large region.
#[test]
fn a_coating_is_allowed_for_when_it_is_declared() {
    let original = body(150, 220, plain);
    let coated = body(150, 220, |w| plain(w) + 0.1);
    let bare = differences(&original, &coated, &Pose::STILL, 0.05, 0.0);
    assert_eq!(bare.regions.len(), 1);
    let mean = bare.replica.summary(-0.05, 0.05);
    assert!(
        (mean.mean_mm - 0.1).abs() < 0.002 && mean.within < 0.01,
        "{mean:?}"
    );
    let (ta, tb) = (Tree::build(&original), Tree::build(&coated));
    let (sa, sb) = (Sides::of(&original), Sides::of(&coated));
    let (a, b) = (
        Surface::of(&original, &ta, &sa).unwrap(),
        Surface::of(&coated, &tb, &sb).unwrap(),
    );
    let band = Band {
        tolerance_mm: 0.05,
        coating_mm: [0.08, 0.12],
    };
    let found = compare(
        &a,
        &b,
        &Pose::STILL,
        &band,
        &Sureness {
            noise_mm: 0.0,
            shared_mm: 0.0,
        },
    );
    assert!(found.regions.is_empty());
}

/// Concentric spheres of 10 and 10.1: +0.1 everywhere; shifted by 0.1 instead: ±0.1 and a root mean
/// square of 0.1/√3 (the mean of cos² over a sphere is a third).
#[test]
fn spheres_within_one_another() {
    let ball = |r: f64| body(200, 300, |_| r);
    let (small, large) = (ball(10.0), ball(10.1));
    let found = differences(&small, &large, &Pose::STILL, 0.05, 0.0)
        .replica
        .summary(-0.05, 0.05);
    assert!(
        (found.mean_mm - 0.1).abs() < 1e-3 && found.spread_mm < 2e-3,
        "{found:?}"
    );
    let shift = Pose {
        shift: DVec3::X * 0.1,
        ..Pose::STILL
    };
    let found = differences(&small, &small, &shift, 0.05, 0.0)
        .replica
        .summary(-0.05, 0.05);
    assert!((found.rms_mm - 0.057_74).abs() < 5e-4, "{found:?}");
    assert!((found.max_mm - 0.1).abs() < 1e-3 && (found.min_mm + 0.1).abs() < 1e-3);
}

/// A cone of 1 mm on a plate: cut off at the tolerance it is a circle, and its outline moves by the
/// uncertainty of a distance over the slope (first-order propagation, GUM 5.1.2).
#[test]
fn the_area_of_a_cone_is_as_sure_as_its_slope_is_steep() {
    const SIDE: u32 = 240;
    const FOOT: f64 = 12.0;
    let plate = |height: &dyn Fn(f64) -> f64| {
        let at = |i: u32| f64::from(i) * 0.25 - f64::from(SIDE) / 8.0;
        let places = (0..=SIDE).flat_map(|j| (0..=SIDE).map(move |i| (i, j)));
        let places = places.map(|(i, j)| {
            let (x, z) = (at(i), at(j));
            DVec3::new(x, height(x.hypot(z)), z).as_vec3()
        });
        let id = |i: u32, j: u32| j * (SIDE + 1) + i;
        let cells = (0..SIDE).flat_map(|j| (0..SIDE).map(move |i| (i, j)));
        let triangles = cells.flat_map(|(i, j)| {
            let [a, b, c, d] = [id(i, j), id(i + 1, j), id(i + 1, j + 1), id(i, j + 1)];
            [[a, d, c], [a, c, b]]
        });
        Mesh::new(places.collect(), triangles.collect()).unwrap()
    };
    let flat = plate(&|_| 0.0);
    let cone = plate(&|r| (1.0 - r / FOOT).max(0.0));
    let (ta, tb) = (Tree::build(&flat), Tree::build(&cone));
    let (sa, sb) = (Sides::of(&flat), Sides::of(&cone));
    let surfaces = [
        Surface::of(&flat, &ta, &sa).unwrap(),
        Surface::of(&cone, &tb, &sb).unwrap(),
    ];
    let band = Band {
        tolerance_mm: 0.5,
        coating_mm: [0.0; 2],
    };
    let sure = Sureness {
        noise_mm: 0.0,
        shared_mm: 0.03,
    };
    let found = compare(&surfaces[0], &surfaces[1], &Pose::STILL, &band, &sure);
    assert_eq!(found.regions.len(), 1);
    let region = &found.regions[0];
    let circle = PI * (FOOT / 2.0).powi(2);
    assert!(
        (region.area_mm2 / circle - 1.0).abs() < 0.02,
        "{} of {circle}",
        region.area_mm2
    );
    // U of a distance is 0.06 mm, so that the radius is known to 0.06 × 12 mm.
    let expected = TAU * FOOT / 2.0 * 0.06 * FOOT;
    assert!(
        (region.area_expanded_mm2 / expected - 1.0).abs() < 0.03,
        "{} of {expected}",
        region.area_expanded_mm2
    );
}

/// A spike of one corner is no chance when it stands far out of the noise, however few its points.
#[test]
fn a_spike_of_few_points_is_not_left_out() {
    let smooth = body(200, 300, plain);
    let spiked = |height: f32| {
        let mut places = smooth.positions().to_vec();
        let tip = places
            .iter()
            .enumerate()
            .max_by(|a, b| a.1.dot(PAD.as_vec3()).total_cmp(&b.1.dot(PAD.as_vec3())))
            .unwrap()
            .0;
        let out = places[tip].normalize();
        places[tip] += out * height;
        Mesh::new(places, smooth.triangles().to_vec()).unwrap()
    };
    let noise_mm = 0.05;
    let found = |height| differences(&smooth, &spiked(height), &Pose::STILL, 0.2, noise_mm);
    let high = found(3.0);
    assert_eq!(high.regions.len(), 1);
    // The nearest point lies somewhat aside of the foot.
    let tip = high.regions[0].max_mm;
    assert!((2.0..=3.0).contains(&tip), "{tip}");
    // 2 mm over seven corners are 0.28 mm: less than the tolerance and six times 0.05/√7.
    let low = found(2.0);
    assert_eq!((low.regions.len(), low.specks.count), (0, 1));
}
