//! Differences that the test itself makes, of known volume.

#[path = "../dice/mod.rs"]
mod dice;
mod kinds;

use counterpart::align::{Pose, Surface};
use counterpart::differ::{Band, Comparison, Kind, Sureness, compare};
use counterpart::mesh::{Mesh, signed_volume_mm3};
use counterpart::space::{Sides, Tree};
use dice::Dice;
use glam::{DQuat, DVec3, Vec3};
use std::f64::consts::{PI, TAU};

/// The direction of a net's corner.
fn way(u: f64, v: f64) -> DVec3 {
    let (theta, phi) = (u * PI, v * TAU);
    DVec3::new(
        theta.sin() * phi.cos(),
        -theta.cos(),
        theta.sin() * phi.sin(),
    )
}

/// A body that is round about its middle, as far out as `reach` says.
fn body(rows: u32, columns: u32, reach: impl Fn(DVec3) -> f64) -> Mesh {
    let positions: Vec<Vec3> = (0..=rows)
        .flat_map(|i| {
            (0..columns).map(move |j| {
                way(
                    f64::from(i) / f64::from(rows),
                    f64::from(j) / f64::from(columns),
                )
            })
        })
        .map(|w| (w * reach(w)).as_vec3())
        .collect();
    let id = |i: u32, j: u32| i * columns + j % columns;
    let triangles = (0..rows)
        .flat_map(|i| (0..columns).map(move |j| (i, j)))
        .flat_map(|(i, j)| {
            let (a, b, c, d) = (id(i, j), id(i + 1, j), id(i + 1, j + 1), id(i, j + 1));
            [[a, b, c], [a, c, d]]
        })
        .filter(|t: &[u32; 3]| {
            let row = |k: u32| k / columns;
            // At a pole one corner is as good as another.
            !(t.iter().filter(|k| row(**k) == 0).count() > 1
                || t.iter().filter(|k| row(**k) == rows).count() > 1)
        })
        .collect();
    Mesh::new(positions, triangles).unwrap()
}

fn plain(w: DVec3) -> f64 {
    50.0 * (1.0 + 0.06 * (w.x * 3.0).sin() + 0.05 * (w.z * 2.0 + 1.0).cos())
}

/// 1 on a plateau around a direction, 0 beyond, a smooth slope between.
fn plateau(w: DVec3, middle: DVec3, radius: f64) -> f64 {
    let share = w.angle_between(middle.normalize()) / radius;
    let t = ((1.0 - share) / 0.25).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

fn noisy(mesh: &Mesh, sigma: f64, seed: u64) -> Mesh {
    let mut dice = Dice(seed);
    let positions = mesh
        .positions()
        .iter()
        .map(|p| (p.as_dvec3() + p.as_dvec3().normalize() * dice.normal() * sigma).as_vec3())
        .collect();
    Mesh::new(positions, mesh.triangles().to_vec()).unwrap()
}

fn turned(mesh: &Mesh, pose: &Pose) -> Mesh {
    let positions = mesh
        .positions()
        .iter()
        .map(|p| pose.point(p.as_dvec3()).as_vec3())
        .collect();
    Mesh::new(positions, mesh.triangles().to_vec()).unwrap()
}

fn differences(
    original: &Mesh,
    replica: &Mesh,
    pose: &Pose,
    tolerance_mm: f64,
    noise_mm: f64,
) -> Comparison {
    let (ta, tb) = (Tree::build(original), Tree::build(replica));
    let (sa, sb) = (Sides::of(original), Sides::of(replica));
    let a = Surface::of(original, &ta, &sa).unwrap();
    let b = Surface::of(replica, &tb, &sb).unwrap();
    let band = Band {
        tolerance_mm,
        coating_mm: [0.0; 2],
    };
    compare(
        &a,
        &b,
        pose,
        &band,
        &Sureness {
            noise_mm,
            shared_mm: 0.0,
        },
    )
}

const PAD: DVec3 = DVec3::new(0.3, -0.9, 0.2);
const DENT: DVec3 = DVec3::new(0.9, 0.2, -0.3);

/// A pad and a dent, exact and under noise whose third they exceed; the replica lies elsewhere.
#[test]
fn pads_and_dents_have_their_volume() {
    let (rows, columns) = (300, 440);
    let original = body(rows, columns, plain);
    let pad = body(rows, columns, |w| plain(w) + 1.2 * plateau(w, PAD, 0.3));
    let both = body(rows, columns, |w| {
        plain(w) + 1.2 * plateau(w, PAD, 0.3) - 0.9 * plateau(w, DENT, 0.25)
    });
    let true_pad = signed_volume_mm3(&pad) - signed_volume_mm3(&original);
    let true_dent = signed_volume_mm3(&pad) - signed_volume_mm3(&both);
    let pose = Pose {
        scale: 1.0,
        turn: DQuat::from_euler(glam::EulerRot::XYZ, 0.4, -0.8, 2.0),
        shift: DVec3::new(100.0, -40.0, 5.0),
    };
    let replica = turned(&both, &pose.inverse());
    for sigma in [0.0, 0.05, 0.25] {
        let (a, b) = (noisy(&original, sigma, 7), noisy(&replica, 0.0, 8));
        let noise = sigma;
        let found = differences(&a, &b, &pose, (2.0 * noise).max(0.02), noise);
        let kinds: Vec<Kind> = found.regions.iter().map(|r| r.kind).collect();
        assert_eq!(
            kinds,
            [Kind::Gained, Kind::Lost],
            "{sigma}: {:?}",
            found.specks
        );
        for (region, (known, place, depth)) in found
            .regions
            .iter()
            .zip([(true_pad, PAD, 1.2), (true_dent, DENT, 0.9)])
        {
            let off = region.volume_mm3 / known - 1.0;
            println!(
                "noise {sigma}: {} {:.2} of {known:.2} mm³ ({:+.2} %)",
                region.kind.word(),
                region.volume_mm3,
                100.0 * off
            );
            assert!(
                off.abs() < 0.02,
                "{sigma}: {} of {known}",
                region.volume_mm3
            );
            assert!(
                (region.max_mm - depth).abs() < 0.02 + 4.5 * sigma,
                "{}",
                region.max_mm
            );
            assert!(region.centre.normalize().dot(place.normalize()) > 0.995);
            assert!(region.normal.dot(place.normalize()) > 0.9);
        }
    }
}

/// A knob that was cut off, and one that was set on.
#[test]
fn a_missing_knob_and_a_set_on_one() {
    let knob = |w: DVec3, middle: DVec3| 14.0 * plateau(w, middle, 0.2);
    let (rows, columns) = (300, 440);
    let bare = body(rows, columns, plain);
    let with = body(rows, columns, |w| plain(w) + knob(w, DENT));
    let known = signed_volume_mm3(&with) - signed_volume_mm3(&bare);
    let lost = differences(&with, &bare, &Pose::STILL, 0.1, 0.0);
    assert_eq!(lost.regions.len(), 1);
    assert_eq!(lost.regions[0].kind, Kind::Lost);
    let gained = differences(&bare, &with, &Pose::STILL, 0.1, 0.0);
    assert_eq!(gained.regions.len(), 1);
    assert_eq!(gained.regions[0].kind, Kind::Gained);
    for region in [&lost.regions[0], &gained.regions[0]] {
        let off = region.volume_mm3 / known - 1.0;
        println!(
            "{}: {:.1} of {known:.1} mm³",
            region.kind.word(),
            region.volume_mm3
        );
        assert!(off.abs() < 0.02, "{} of {known}", region.volume_mm3);
    }
    // What was turned about its axis by the knob's own width is one thing moved.
    let beside = DVec3::new(0.9, 0.2, -0.18);
    let shifted = body(rows, columns, |w| plain(w) + knob(w, beside));
    let moved = differences(&with, &shifted, &Pose::STILL, 0.1, 0.0);
    assert_eq!(
        moved.regions.len(),
        1,
        "{:?}",
        moved
            .regions
            .iter()
            .map(|r| (r.kind, r.volume_mm3))
            .collect::<Vec<_>>()
    );
    assert_eq!(moved.regions[0].kind, Kind::Moved);
}

/// A bored hole is seen from its inside only, since its mouth is narrower than the tolerance is not.
#[test]
fn a_deep_hole_is_not_overlooked() {
    let (rows, columns) = (500, 720);
    let original = body(rows, columns, plain);
    let bored = body(rows, columns, |w| plain(w) - 12.0 * plateau(w, DENT, 0.05));
    let known = signed_volume_mm3(&original) - signed_volume_mm3(&bored);
    let found = differences(&original, &bored, &Pose::STILL, 0.1, 0.0);
    assert_eq!(found.regions.len(), 1);
    let region = &found.regions[0];
    assert_eq!(region.kind, Kind::Lost);
    println!(
        "hole: {:.2} of {known:.2} mm³, {:.2} mm deep",
        region.volume_mm3, region.max_mm
    );
    assert!(
        (region.volume_mm3 / known - 1.0).abs() < 0.02,
        "{} of {known}",
        region.volume_mm3
    );
    assert!((region.max_mm - 12.0).abs() < 0.1);
}

/// The same surface cut into other triangles, and two scans of it with noise: nothing differs.
#[test]
fn other_triangles_and_noise_are_no_differences() {
    let one = body(300, 440, plain);
    let other = body(210, 333, plain);
    for sigma in [0.0, 0.05, 0.2] {
        let (a, b) = (noisy(&one, sigma, 1), noisy(&other, sigma, 2));
        let (ta, tb) = (Tree::build(&a), Tree::build(&b));
        let (sa, sb) = (Sides::of(&a), Sides::of(&b));
        let (first, second) = (
            Surface::of(&a, &ta, &sa).unwrap(),
            Surface::of(&b, &tb, &sb).unwrap(),
        );
        let (g, h) = (first.grain(), second.grain());
        let noise_mm =
            (g.noise_mm.powi(2) + h.noise_mm.powi(2) + g.sagitta_mm.powi(2) + h.sagitta_mm.powi(2))
                .sqrt();
        let band = Band {
            tolerance_mm: 2.0 * noise_mm,
            coating_mm: [0.0; 2],
        };
        let found = compare(
            &first,
            &second,
            &Pose::STILL,
            &band,
            &Sureness {
                noise_mm,
                shared_mm: 0.0,
            },
        );
        assert!(
            found.regions.is_empty(),
            "{sigma}: {:?}",
            found
                .regions
                .iter()
                .map(|r| (r.kind, r.area_mm2, r.max_mm))
                .collect::<Vec<_>>()
        );
        assert!(found.not_captured.iter().all(Vec::is_empty));
    }
}
