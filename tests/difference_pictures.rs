//! Stills of a difference that the test itself makes: a ball with a pad and a dent, and a hole in
//! the scan that it is compared with.

use counterpart::align::{Pose, Surface};
use counterpart::differ::{Band, Comparison, Scale, Sureness, compare};
use counterpart::mesh::Mesh;
use counterpart::picture::{Camera, Compared, DifferenceScene, Seen};
use counterpart::reduce::simplify;
use counterpart::relief::{Spread, spread, unwrap};
use counterpart::space::{Sides, Tree};
use glam::{DVec3, Vec2, Vec3};
use image::RgbaImage;
use std::f64::consts::{PI, TAU};

const RADIUS_MM: f64 = 40.0;
const PX: u32 = 500;
/// Half the height of the picture, millimetres.
const HALF_MM: f64 = 44.0;
const TOLERANCE_MM: f64 = 0.1;
/// Half-angle of pad, dent and hole.
const WIDE: f64 = 0.33;

fn pad() -> DVec3 {
    DVec3::new(-0.5, 0.4, 0.9).normalize()
}

fn dent() -> DVec3 {
    DVec3::new(0.6, 0.1, 0.9).normalize()
}

fn hole() -> DVec3 {
    DVec3::new(-0.1, -0.65, 0.9).normalize()
}

/// A ball as far out as `reach` says, without the triangles around `without`.
fn ball(reach: impl Fn(DVec3) -> f64, without: Option<DVec3>) -> Mesh {
    let (rows, columns) = (140u32, 280u32);
    let way = |i: u32, j: u32| {
        let (u, v) = (
            PI * f64::from(i) / f64::from(rows),
            TAU * f64::from(j) / f64::from(columns),
        );
        DVec3::new(u.sin() * v.cos(), -u.cos(), u.sin() * v.sin())
    };
    let ways: Vec<DVec3> = (0..=rows)
        .flat_map(|i| (0..columns).map(move |j| (i, j)))
        .map(|(i, j)| way(i, j))
        .collect();
    let positions: Vec<Vec3> = ways.iter().map(|w| (*w * reach(*w)).as_vec3()).collect();
    let id = |i: u32, j: u32| i * columns + j % columns;
    let triangles = (0..rows)
        .flat_map(|i| (0..columns).map(move |j| (i, j)))
        .flat_map(|(i, j)| {
            let (a, b, c, d) = (id(i, j), id(i + 1, j), id(i + 1, j + 1), id(i, j + 1));
            [[a, b, c], [a, c, d]]
        })
        .filter(|t| {
            without.is_none_or(|h| t.iter().all(|i| ways[*i as usize].angle_between(h) > WIDE))
        })
        .collect();
    Mesh::new(positions, triangles).unwrap()
}

/// The pad rises in three steps from its rim: slight, plain and strong; the dent goes down so.
fn depth(share: f64) -> f64 {
    match share {
        s if s > 1.0 => 0.0,
        s if s > 0.7 => 0.15,
        s if s > 0.4 => 0.35,
        _ => 0.9,
    }
}

struct Both {
    original: Mesh,
    replica: Mesh,
    found: Comparison,
}

const BAND: Band = Band {
    tolerance_mm: TOLERANCE_MM,
    coating_mm: [0.0; 2],
};

fn both() -> Both {
    let original = ball(|_| RADIUS_MM, Some(hole()));
    let replica = ball(
        |w| {
            let up = depth(w.angle_between(pad()) / WIDE);
            // Behind the hole of the original the replica bulges: nobody can tell.
            let bulge = 0.6 * f64::from(u8::from(w.angle_between(hole()) < WIDE * 0.9));
            RADIUS_MM + up - depth(w.angle_between(dent()) / WIDE) + bulge
        },
        None,
    );
    let (ta, tb) = (Tree::build(&original), Tree::build(&replica));
    let (sa, sb) = (Sides::of(&original), Sides::of(&replica));
    let a = Surface::of(&original, &ta, &sa).unwrap();
    let b = Surface::of(&replica, &tb, &sb).unwrap();
    let sure = Sureness {
        noise_mm: 0.0,
        shared_mm: 0.0,
    };
    let found = compare(&a, &b, &Pose::STILL, &BAND, &sure);
    Both {
        original,
        replica,
        found,
    }
}

impl Both {
    fn replica_seen(&self) -> Seen {
        let part = Compared {
            mesh: &self.replica,
            field: &self.found.replica,
        };
        let scene = DifferenceScene::new(&[part], Scale::of_replica(&BAND)).unwrap();
        scene.seen(&camera())
    }

    fn original_seen(&self) -> Seen {
        let part = Compared {
            mesh: &self.original,
            field: &self.found.original,
        };
        let scene = DifferenceScene::new(&[part], Scale::of_original(&BAND)).unwrap();
        scene.seen(&camera())
    }
}

fn camera() -> Camera {
    Camera::at(DVec3::ZERO, 0.0, 0.0, HALF_MM, [PX, PX])
}

/// The direction from the ball's middle of what a pixel shows; `None` near the outline and beside.
fn way(x: u32, y: u32) -> Option<DVec3> {
    let mm = |n: u32| (f64::from(n) + 0.5 - f64::from(PX) / 2.0) * 2.0 * HALF_MM / f64::from(PX);
    let (x, y) = (mm(x) / RADIUS_MM, -mm(y) / RADIUS_MM);
    let z = 1.0 - x * x - y * y;
    (z > 0.04).then(|| DVec3::new(x, y, z.sqrt()))
}

/// Pixels within a share of `WIDE` around a direction.
fn around(middle: DVec3, from: f64, to: f64) -> Vec<(u32, u32)> {
    let all = (0..PX).flat_map(|y| (0..PX).map(move |x| (x, y)));
    all.filter(|(x, y)| {
        way(*x, *y).is_some_and(|w| (from..to).contains(&(w.angle_between(middle) / WIDE)))
    })
    .collect()
}

/// How much redder than blue, of 255. Paper is a little.
fn warmth(picture: &RgbaImage, (x, y): (u32, u32)) -> i32 {
    let [r, _, b, _] = picture.get_pixel(x, y).0;
    i32::from(r) - i32::from(b)
}

const OCHRE: i32 = 40;
const BLUE: i32 = -2;

fn grey(picture: &RgbaImage, (x, y): (u32, u32)) -> f64 {
    let [r, g, b, _] = picture.get_pixel(x, y).0.map(f64::from);
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// Which way lines run in grey, −1 … 1: 1 when all rise to the right.
fn rise(picture: &RgbaImage, of: &[(u32, u32)]) -> f64 {
    let (mut across, mut all) = (0.0, 0.0);
    for &(x, y) in of {
        let dx = grey(picture, (x + 1, y)) - grey(picture, (x - 1, y));
        let dy = grey(picture, (x, y + 1)) - grey(picture, (x, y - 1));
        across += 2.0 * dx * dy;
        all += dx * dx + dy * dy;
    }
    across / all
}

#[test]
fn gained_is_ochre_and_rises_lost_is_blue_and_falls() {
    let both = both();
    let picture = both.replica_seen().picture();
    let other = both.original_seen().picture();
    for (name, picture) in [("replica", &picture), ("original", &other)] {
        let share = |of: &[(u32, u32)], test: &dyn Fn(i32) -> bool| {
            of.iter().filter(|at| test(warmth(picture, **at))).count() as f64 / of.len() as f64
        };
        let (on_pad, on_dent) = (around(pad(), 0.0, 0.93), around(dent(), 0.0, 0.93));
        assert!(on_pad.len() > 5000 && on_dent.len() > 5000);
        let (ochre, blue) = (
            share(&on_pad, &|w| w > OCHRE),
            share(&on_dent, &|w| w < BLUE),
        );
        assert!(ochre > 0.99, "{name}: {ochre} of the pad is ochre");
        assert!(blue > 0.99, "{name}: {blue} of the dent is blue");
        let elsewhere: Vec<(u32, u32)> = around(DVec3::Z, 0.0, 9.0)
            .into_iter()
            .filter(|(x, y)| {
                let way = way(*x, *y).unwrap();
                [pad(), dent(), hole()]
                    .iter()
                    .all(|m| way.angle_between(*m) > WIDE * 1.07)
            })
            .collect();
        assert!(elsewhere.len() > 50_000);
        let stray = share(&elsewhere, &|w| !(BLUE..=OCHRE).contains(&w));
        assert_eq!(stray, 0.0, "{name}: ink where nothing differs");
        for (from, to) in [(0.0, 0.36), (0.44, 0.66), (0.74, 0.9)] {
            let (up, down) = (
                rise(picture, &around(pad(), from, to)),
                rise(picture, &around(dent(), from, to)),
            );
            assert!(up > 0.7, "{name}: the pad's lines rise by {up} at {from}");
            assert!(
                down < -0.7,
                "{name}: the dent's lines rise by {down} at {from}"
            );
        }
    }
}

#[test]
fn deeper_is_darker_in_grey_and_by_its_lines() {
    let picture = both().replica_seen().picture();
    for middle in [pad(), dent()] {
        let mean = |from, to| {
            let of = around(middle, from, to);
            of.iter().map(|at| grey(&picture, *at)).sum::<f64>() / of.len() as f64
        };
        // The nearest paper tells the light.
        let [strong, plain, slight, paper] =
            [(0.0, 0.36), (0.44, 0.66), (0.74, 0.9), (1.1, 1.2)].map(|(from, to)| mean(from, to));
        assert!(
            strong + 12.0 < plain && plain + 8.0 < slight && slight + 8.0 < paper,
            "{strong} {plain} {slight} {paper}"
        );
    }
}

/// Dots without a wash: most of the ground stays paper, and no line runs through it.
#[test]
fn what_was_not_captured_is_dotted() {
    let both = both();
    assert!(both.found.replica.captured.iter().any(|c| !c));
    let picture = both.replica_seen().picture();
    let on_hole = around(hole(), 0.0, 0.8);
    let inked = on_hole
        .iter()
        .filter(|at| !(BLUE..=OCHRE).contains(&warmth(&picture, **at)))
        .count();
    assert_eq!(inked, 0, "neither gained nor lost");
    let mut greys: Vec<f64> = on_hole.iter().map(|at| grey(&picture, *at)).collect();
    greys.sort_by(f64::total_cmp);
    let median = greys[greys.len() / 2];
    let dark = greys.iter().filter(|g| **g < median - 40.0).count() as f64 / greys.len() as f64;
    assert!((0.01..0.08).contains(&dark), "{dark} of the ground is dots");
    assert!(rise(&picture, &on_hole).abs() < 0.2);
}

#[test]
fn the_same_bytes_on_any_number_of_threads() {
    let both = both();
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| both.replica_seen().files().unwrap())
    };
    let (one, four) = (on(1), on(4));
    assert_eq!(one, four);
    assert_eq!(one.iter().map(|f| f.width).collect::<Vec<_>>(), [480, 500]);
    assert!(
        one.iter().all(|f| f.transparent),
        "nothing is painted beside the object"
    );
}

#[test]
fn distances_of_another_surface_are_refused() {
    let both = both();
    let mut short = both.found.replica.clone();
    short.smooth_mm.pop();
    let scale = Scale::of_replica(&BAND);
    let refused = |field| {
        let part = Compared {
            mesh: &both.replica,
            field,
        };
        DifferenceScene::new(&[part], scale).is_err()
    };
    assert!(refused(&short) && !refused(&both.found.replica));
    assert!(DifferenceScene::new(&[], scale).is_err());
}

/// Every triangle of a reduced ball, looked up on the sheet, tells of what lies there.
#[test]
fn the_sheet_of_a_reduced_model_tells_pad_from_dent() {
    let both = both();
    let tree = Tree::build(&both.replica);
    let reduced = simplify(&both.replica, 6000, &[]);
    let strays = counterpart::reduce::deviation(&both.replica, &tree, &reduced, &[]);
    let flat = unwrap(&[&reduced], 512).unwrap().remove(0);
    let part = Spread {
        flat: &flat,
        mesh: &both.replica,
        tree: &tree,
        field: Some(&both.found.replica),
        reach_mm: strays.whole.max_mm * 1.2,
    };
    let scale = Scale::of_replica(&BAND);
    let sheet = spread(&[part], &scale, 512).unwrap();
    let [slight, _, strong] = scale.steps_in_codes();
    let mut counts = [0; 4];
    for (face, corners) in (0u32..).zip(flat.mesh.triangles()) {
        let way = flat.mesh.corners(face).iter().sum::<DVec3>().normalize();
        let place = corners
            .map(|i| flat.places[i as usize])
            .iter()
            .sum::<Vec2>()
            / 3.0
            * 512.0;
        let code = f64::from(sheet.get_pixel(place.x as u32, place.y as u32).0[0]);
        let near = |middle: DVec3, within: f64| way.angle_between(middle) < WIDE * within;
        if near(pad(), 0.35) {
            assert!(code - 128.0 > strong, "{code} on the pad");
            counts[0] += 1;
        } else if near(dent(), 0.35) {
            assert!(128.0 - code > strong && code > 0.0, "{code} in the dent");
            counts[1] += 1;
        } else if near(hole(), 0.8) {
            assert_eq!(code, 0.0, "not captured");
            counts[2] += 1;
        } else if ![pad(), dent(), hole()].iter().any(|m| near(*m, 1.15)) {
            assert!(
                (code - 128.0).abs() < slight,
                "{code} where nothing differs"
            );
            counts[3] += 1;
        }
    }
    assert!(counts.iter().all(|n| *n > 20), "{counts:?}");
    // No code stands between what was not captured and the rest but those that were measured.
    let plain = Spread {
        field: None,
        ..part
    };
    let unknown = spread(&[plain], &scale, 512).unwrap();
    assert!(unknown.pixels().all(|p| p.0[0] == 0 || p.0[0] == 128));
    let mut short = both.found.replica.clone();
    short.smooth_mm.pop();
    let other = Spread {
        field: Some(&short),
        ..part
    };
    assert!(spread(&[other], &scale, 512).is_none());
}
