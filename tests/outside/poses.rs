//! Alignment from two hundred random poses of three shapes, and of a turned bowl that leaves its
//! turn open.

use crate::dice::Dice;
use crate::pairs::Ready;
use counterpart::align::{Fit, Pose, Start, Wish, align};
use counterpart::limits::Limits;
use counterpart::mesh::{Mesh, read};
use counterpart::record::{LengthUnit, UpAxis};
use glam::{DVec3, Vec3};
use std::f64::consts::{PI, TAU};
use std::path::Path;
use std::time::Instant;

const POSES: u32 = 200;
/// Poses of the bowl.
const TURNS: u32 = 40;

fn moved(mesh: &Mesh, pose: &Pose) -> Mesh {
    let positions = mesh.positions().iter();
    let positions = positions
        .map(|p| pose.point(p.as_dvec3()).as_vec3())
        .collect();
    Mesh::new(positions, mesh.triangles().to_vec()).unwrap()
}

fn fit(moving: &Ready, fixed: &Ready, start: Start) -> Fit {
    let wish = Wish {
        start,
        fit_scale: false,
        pairs: Vec::new(),
        repeats: 0,
    };
    align(&moving.surface(), &fixed.surface(), &wish)
}

/// How many of the random poses are brought to within a thousandth of the diagonal of `truth`, and
/// said to be determined.
fn converged(name: &str, shape: &Mesh, fixed: &Ready, truth: &Pose, seed: u64) -> u32 {
    let diagonal = fixed.mesh.bounds().unwrap().size().length();
    let mut dice = Dice(seed);
    let (mut right, mut sure) = (0, 0);
    let start = Instant::now();
    for number in 0..POSES {
        let motion = dice.pose(500.0);
        let found = fit(&Ready::of(moved(shape, &motion)), fixed, Start::Nothing);
        let places = shape.positions().iter().map(|p| p.as_dvec3());
        let astray = places
            .map(|p| found.pose.point(motion.point(p)).distance(truth.point(p)))
            .fold(0.0, f64::max);
        if astray < 1e-3 * diagonal {
            right += 1;
            sure += u32::from(found.determined());
        } else {
            println!(
                "{name}, pose {number}: {astray} mm astray, {} rivals, left {:?}",
                found.rivals.len(),
                found.residual
            );
        }
    }
    println!(
        "{name}: {right} of {POSES} poses found, {sure} said to be determined, {:.1} s",
        start.elapsed().as_secs_f64()
    );
    right.min(sure)
}

#[test]
fn random_poses_of_three_shapes_are_found() {
    for (name, seed) in [("small", 1), ("bunny", 2)] {
        let fixed = Ready::read(name);
        let shape = fixed.mesh.clone();
        let found = converged(name, &shape, &fixed, &Pose::STILL, seed);
        assert_eq!(found, POSES, "{name}");
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("content/brackwater-mortar/models");
    let part = |name: &str| {
        let path = folder.join(name);
        read(&path, LengthUnit::Metre, UpAxis::Y, &Limits::default()).unwrap()
    };
    let original = part("original-mortar.glb");
    let replica = Ready::of(part("replica-mortar.glb"));
    // Where the original belongs on its replica: walked from where both were made.
    let near = Start::Near(Pose::STILL);
    let truth = fit(&Ready::of(original.clone()), &replica, near).pose;
    let bounds = replica.mesh.bounds().unwrap();
    let off = truth.apart_mm(&Pose::STILL, &bounds);
    assert!(
        off < 1e-3 * bounds.size().length(),
        "{off} mm from where it was made"
    );
    assert_eq!(converged("mortar", &original, &replica, &truth, 3), POSES);
}

/// A turned bowl: inside, rim, outside, foot.
fn bowl() -> Mesh {
    let (rows, columns) = (60u32, 90u32);
    let at = |i: u32, j: u32| {
        let u = f64::from(i) / f64::from(rows) * 2.0;
        let phi = f64::from(j) / f64::from(columns) * TAU;
        let (r, y) = if u < 1.0 {
            let t = u * PI / 2.0;
            (40.0 * t.sin(), 30.0 - 28.0 * t.cos())
        } else {
            let t = (u - 1.0) * PI / 2.0;
            (44.0 * t.cos(), 30.0 - 34.0 * t.sin())
        };
        DVec3::new(r * phi.cos(), y, r * phi.sin()).as_vec3()
    };
    let places: Vec<Vec3> = (0..=rows)
        .flat_map(|i| (0..columns).map(move |j| at(i, j)))
        .collect();
    let id = |i: u32, j: u32| i * columns + j % columns;
    let triangles = (0..rows)
        .flat_map(|i| (0..columns).map(move |j| (i, j)))
        .flat_map(|(i, j)| {
            let (a, b, c, d) = (id(i, j), id(i + 1, j), id(i + 1, j + 1), id(i, j + 1));
            [[a, b, c], [a, c, d]]
        })
        .collect();
    Mesh::new(places, triangles).unwrap()
}

#[test]
fn a_turned_bowl_is_said_to_be_open_from_any_pose() {
    let shape = bowl();
    let fixed = Ready::of(shape.clone());
    let mut dice = Dice(4);
    let (mut open, mut lies) = (0, 0);
    for _ in 0..TURNS {
        let motion = dice.pose(500.0);
        let found = fit(&Ready::of(moved(&shape, &motion)), &fixed, Start::Nothing);
        let free: Vec<_> = found.directions.iter().filter(|d| !d.determined).collect();
        let about_axis = free.len() == 1 && free[0].turn.normalize().y.abs() > 0.999;
        open += u32::from(!found.determined() && about_axis);
        // Its axis lies where it belongs, whatever the turn about it.
        let axis = [DVec3::ZERO, DVec3::Y * 30.0];
        let astray = axis.map(|p| found.pose.point(motion.point(p)).distance(p));
        lies += u32::from(astray.iter().all(|d| *d < 0.1));
    }
    println!("bowl: {open} of {TURNS} say that the turn is open; the axis of {lies} lies right");
    assert_eq!((open, lies), (TURNS, TURNS));
}
