//! Alignment against motions that the test itself makes, and shapes of which mathematics says what
//! their surface leaves open.

mod dice;
mod shapes;

use counterpart::align::{Fit, Pose, Start, Surface, Wish, align};
use counterpart::mesh::Mesh;
use counterpart::space::{Sides, Tree};
use dice::Dice;
use glam::{DVec3, Vec3};
use shapes::block;
use std::f64::consts::{PI, TAU};

/// A net of points over a square of (0..1)², closed round the second; the ends may be poles.
fn net(rows: u32, columns: u32, close_rows: bool, at: impl Fn(f64, f64) -> DVec3) -> Mesh {
    let last = if close_rows { rows } else { rows + 1 };
    let positions: Vec<Vec3> = (0..last)
        .flat_map(|i| (0..columns).map(move |j| (i, j)))
        .map(|(i, j)| {
            at(
                f64::from(i) / f64::from(rows),
                f64::from(j) / f64::from(columns),
            )
        })
        .map(|p| p.as_vec3())
        .collect();
    let id = |i: u32, j: u32| i % last * columns + j % columns;
    let triangles = (0..rows)
        .flat_map(|i| (0..columns).map(move |j| (i, j)))
        .flat_map(|(i, j)| {
            let (a, b, c, d) = (id(i, j), id(i + 1, j), id(i + 1, j + 1), id(i, j + 1));
            [[a, b, c], [a, c, d]]
        })
        .collect();
    Mesh::new(positions, triangles).unwrap()
}

/// A lump without any symmetry, about 100 mm across.
fn lump(rows: u32, columns: u32) -> Mesh {
    net(rows, columns, false, |u, v| {
        let (theta, phi) = (u * PI, v * TAU);
        let way = DVec3::new(
            theta.sin() * phi.cos(),
            -theta.cos(),
            theta.sin() * phi.sin(),
        );
        let bumps = 0.12 * (way.x * 5.0).sin()
            + 0.08 * (way.y * 7.0 + 1.0).cos()
            + 0.1 * (way.z * 4.0 + way.x * 3.0).sin();
        way * DVec3::new(50.0, 38.0, 30.0) * (1.0 + bumps)
    })
}

fn sphere() -> Mesh {
    net(60, 90, false, |u, v| {
        let (theta, phi) = (u * PI, v * TAU);
        40.0 * DVec3::new(
            theta.sin() * phi.cos(),
            -theta.cos(),
            theta.sin() * phi.sin(),
        )
    })
}

/// A turned bowl: inside, rim, outside, foot.
fn bowl() -> Mesh {
    net(80, 120, false, |u, v| {
        let phi = v * TAU;
        let (r, y) = if u < 0.5 {
            let t = u * 2.0;
            (
                40.0 * (t * PI / 2.0).sin(),
                30.0 - 28.0 * (t * PI / 2.0).cos(),
            )
        } else {
            let t = (u - 0.5) * 2.0;
            (
                44.0 * (t * PI / 2.0).cos(),
                30.0 - 34.0 * (t * PI / 2.0).sin(),
            )
        };
        DVec3::new(r * phi.cos(), y, r * phi.sin())
    })
}

fn torus() -> Mesh {
    net(40, 90, true, |u, v| {
        let (a, b) = (u * TAU, v * TAU);
        DVec3::new(
            (30.0 + 10.0 * a.cos()) * b.cos(),
            10.0 * a.sin(),
            (30.0 + 10.0 * a.cos()) * b.sin(),
        )
    })
}

fn moved(mesh: &Mesh, pose: &Pose, mut noise: impl FnMut() -> DVec3) -> Mesh {
    let positions = mesh
        .positions()
        .iter()
        .map(|p| (pose.point(p.as_dvec3()) + noise()).as_vec3())
        .collect();
    Mesh::new(positions, mesh.triangles().to_vec()).unwrap()
}

fn fit(moving: &Mesh, fixed: &Mesh, wish: &Wish) -> Fit {
    let (ta, tb) = (Tree::build(moving), Tree::build(fixed));
    let (sa, sb) = (Sides::of(moving), Sides::of(fixed));
    let a = Surface::of(moving, &ta, &sa).unwrap();
    let b = Surface::of(fixed, &tb, &sb).unwrap();
    align(&a, &b, wish)
}

fn from_nothing() -> Wish {
    Wish {
        start: Start::Nothing,
        fit_scale: false,
        pairs: Vec::new(),
        repeats: 4,
    }
}

/// The greatest distance between where a vertex is put and where it belongs.
fn astray(found: &Pose, moved_by: &Pose, mesh: &Mesh) -> f64 {
    mesh.positions()
        .iter()
        .map(|p| p.as_dvec3())
        .map(|p| found.point(moved_by.point(p)).distance(p))
        .fold(0.0, f64::max)
}

#[test]
fn a_known_motion_is_found_from_any_pose() {
    let fixed = lump(90, 140);
    let diagonal = fixed.bounds().unwrap().size().length();
    let mut dice = Dice(5);
    for _ in 0..6 {
        let motion = Pose {
            scale: 1.0,
            turn: dice.turn(),
            shift: dice.point() * 300.0,
        };
        let moving = moved(&fixed, &motion, || DVec3::ZERO);
        let found = fit(&moving, &fixed, &from_nothing());
        let off = astray(&found.pose, &motion, &fixed);
        assert!(off < 1e-6 * diagonal, "{off} mm");
        assert!(found.determined(), "{found:?}");
        assert!(
            found.overlap.iter().all(|o| *o > 0.999),
            "{:?}",
            found.overlap
        );
        assert!(found.repeat_mm < 1e-4, "{}", found.repeat_mm);
    }
}

/// Noise of a known size: the fit strays no further than its own uncertainty says (k = 3, since
/// one of a hundred may pass k = 2 in a handful of trials), and the noise itself is found.
#[test]
fn with_noise_the_fit_stays_within_its_own_uncertainty() {
    let fixed = lump(160, 240);
    let mut dice = Dice(11);
    for sigma in [0.02f64, 0.1] {
        let motion = Pose {
            scale: 1.0,
            turn: dice.turn(),
            shift: dice.point() * 50.0,
        };
        let mut noise = Dice(sigma.to_bits());
        let moving = moved(&fixed, &motion, || {
            DVec3::new(noise.normal(), noise.normal(), noise.normal()) * sigma
        });
        let (tree, sides) = (Tree::build(&moving), Sides::of(&moving));
        let grain = Surface::of(&moving, &tree, &sides).unwrap().grain();
        assert!(
            (grain.noise_mm / sigma - 1.0).abs() < 0.25,
            "{} for {sigma}",
            grain.noise_mm
        );
        let found = fit(&moving, &fixed, &from_nothing());
        let squares: f64 = fixed
            .positions()
            .iter()
            .map(|p| p.as_dvec3())
            .map(|p| found.pose.point(motion.point(p)).distance_squared(p))
            .sum();
        let off = (squares / fixed.positions().len() as f64).sqrt();
        assert!(
            off < 3.0 * found.at_points_mm,
            "{off} against {} for {sigma}",
            found.at_points_mm
        );
        assert!(found.at_points_mm < sigma / 10.0);
    }
}

#[test]
fn one_scale_factor_is_found_and_its_uncertainty_said() {
    let fixed = lump(90, 140);
    let motion = Pose {
        scale: 0.987,
        turn: Dice(3).turn(),
        shift: DVec3::new(9.0, -4.0, 2.0),
    };
    let moving = moved(&fixed, &motion, || DVec3::ZERO);
    let found = fit(
        &moving,
        &fixed,
        &Wish {
            fit_scale: true,
            ..from_nothing()
        },
    );
    assert!(
        (found.pose.scale * 0.987 - 1.0).abs() < 1e-6,
        "{}",
        found.pose.scale
    );
    assert!(found.scale_standard.unwrap() < 1e-4);
    let rigid = fit(&moving, &fixed, &from_nothing());
    assert_eq!(rigid.pose.scale, 1.0);
    assert!(rigid.residual.rms_mm > 0.1, "{:?}", rigid.residual);
}

/// A sphere may turn about three axes, a torus and a turned bowl about one.
#[test]
fn turns_that_leave_no_trace_are_said_to_be_open() {
    for (name, mesh, open) in [
        ("sphere", sphere(), 3),
        ("torus", torus(), 1),
        ("bowl", bowl(), 1),
    ] {
        let motion = Pose {
            scale: 1.0,
            turn: Dice(8).turn(),
            shift: DVec3::new(20.0, 3.0, 5.0),
        };
        let found = fit(
            &moved(&mesh, &motion, || DVec3::ZERO),
            &mesh,
            &from_nothing(),
        );
        let free: Vec<_> = found.directions.iter().filter(|d| !d.determined).collect();
        assert_eq!(free.len(), open, "{name}: {:#?}", found.directions);
        assert!(!found.determined(), "{name}");
        for d in &free {
            assert!(d.turn.length() > 0.99, "{name}: {d:?}");
        }
        if open == 1 {
            let axis = free[0].turn.normalize();
            assert!(axis.y.abs() > 0.9999, "{name}: turns about {axis}");
        }
        assert!(found.residual.rms_mm < 0.08, "{name}: {:?}", found.residual);
        assert!(found.repeat_mm < 0.1, "{name}: {}", found.repeat_mm);
    }
}

/// The box of 40 × 25 × 15 mm comes to lie on itself in four ways.
#[test]
fn poses_that_fit_as_well_are_named() {
    let half = Vec3::new(20.0, 12.5, 7.5);
    let mesh = block(-half, half);
    let motion = Pose {
        scale: 1.0,
        turn: Dice(4).turn(),
        shift: DVec3::ONE,
    };
    let found = fit(
        &moved(&mesh, &motion, || DVec3::ZERO),
        &mesh,
        &from_nothing(),
    );
    assert!(found.directions.iter().all(|d| d.determined), "{found:#?}");
    assert_eq!(found.rivals.len(), 3, "{:?}", found.rivals);
    assert!(!found.determined());
}

#[test]
fn one_pair_settles_the_turn_of_a_bowl() {
    let fixed = bowl();
    let motion = Pose {
        scale: 1.0,
        turn: Dice(21).turn(),
        shift: DVec3::new(7.0, 8.0, -3.0),
    };
    let moving = moved(&fixed, &motion, || DVec3::ZERO);
    let place = DVec3::new(44.0 * 0.6, 30.0, 44.0 * 0.8);
    let wish = Wish {
        pairs: vec![(motion.point(place), place)],
        ..from_nothing()
    };
    let found = fit(&moving, &fixed, &wish);
    assert!(found.determined() && found.settled);
    assert!(found.pairs_mm.unwrap() < 0.01, "{:?}", found.pairs_mm);
    let off = astray(&found.pose, &motion, &fixed);
    assert!(off < 0.05, "{off} mm");
    // A place on the axis says nothing of the turn.
    let axis = DVec3::new(0.0, 2.0, 0.0);
    let wish = Wish {
        pairs: vec![(motion.point(axis), axis)],
        ..from_nothing()
    };
    assert!(!fit(&moving, &fixed, &wish).determined());
}

/// A quarter of the lump is cut away and a pad set on elsewhere: neither pulls the fit.
#[test]
fn an_added_pad_and_a_missing_piece_do_not_pull() {
    let fixed = lump(160, 240);
    let motion = Pose {
        scale: 1.0,
        turn: Dice(31).turn(),
        shift: DVec3::new(-30.0, 10.0, 0.0),
    };
    let positions: Vec<Vec3> = fixed
        .positions()
        .iter()
        .map(|p| p.as_dvec3())
        .map(|mut p| {
            let size = p.length();
            if p.z > 20.0 {
                p.z = 20.0;
            } else if p.y < -20.0 && p.x.abs() < 12.0 {
                p *= (size + 4.0) / size;
            }
            motion.point(p).as_vec3()
        })
        .collect();
    let moving = Mesh::new(positions, fixed.triangles().to_vec()).unwrap();
    let found = fit(&moving, &fixed, &from_nothing());
    let off = astray(&found.pose, &motion, &fixed);
    assert!(off < 0.01, "{off} mm");
    assert!(found.determined(), "{:#?}", found.directions);
}
