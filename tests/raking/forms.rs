//! Planes, steps and a round wall, whose light and shadow can be written down; waves, by rays.

use counterpart::mesh::Mesh;
use counterpart::picture::{Camera, Finish, Lamp, Raked, RakedDetail, Relief, Run, Scene, Side};
use counterpart::space::Tree;
use glam::{DVec3, Vec3};

/// A sheet over `across` × `down` places, `(x, y)` in −1..1.
fn sheet(across: u32, down: u32, at: impl Fn(f64, f64) -> DVec3) -> Mesh {
    let place = |i: u32, n: u32| 2.0 * f64::from(i) / f64::from(n - 1) - 1.0;
    let positions = (0..across * down)
        .map(|i| at(place(i % across, across), place(i / across, down)).as_vec3())
        .collect();
    let mut triangles = Vec::new();
    for row in 0..down - 1 {
        for column in 0..across - 1 {
            let a = row * across + column;
            triangles.push([a, a + 1, a + across]);
            triangles.push([a + 1, a + across + 1, a + across]);
        }
    }
    Mesh::new(positions, triangles).unwrap()
}

fn scene(meshes: &[Mesh]) -> Scene {
    let parts = meshes.iter().map(|m| (m.clone(), Finish::default()));
    Scene::new(parts.collect()).unwrap()
}

/// Looking at the plane z = 0 from +Z: x is to the right, y upward, ten pixels a millimetre.
fn front() -> Camera {
    Camera::at(DVec3::ZERO, 0.0, 0.0, 10.0, [250, 200])
}

fn ground() -> Mesh {
    sheet(2, 2, |x, y| DVec3::new(40.0 * x, 40.0 * y, 0.0))
}

fn at(camera: &Camera, light: &[f32], point: DVec3) -> f64 {
    let [x, y] = camera.project(point);
    f64::from(light[y as usize * camera.size_px[0] as usize + x as usize])
}

/// Lambert's cosine law (Photometria, 1760): a facet tilted by φ toward a lamp at the height e above
/// the ground gets sin(e + φ), the ground sin e.
#[test]
fn a_tilted_facet_has_lamberts_cosine() {
    let camera = front();
    for tilt_deg in [0.0, 4.0, 10.0] {
        let (sin, cos) = f64::to_radians(tilt_deg).sin_cos();
        // Its normal leans to the right.
        let facet = sheet(2, 2, |x, y| {
            DVec3::new(4.0 * cos * x, 4.0 * y, 1.0 - 4.0 * sin * x)
        });
        let relief = Relief::seen(&scene(&[ground(), facet]), &camera);
        let run = Run::plane(&relief, Vec3::Z);
        let raked = Raked::new(relief, &run);
        for height_deg in [12.0, 18.0, 30.0] {
            let (sin_e, cos_e) = f64::to_radians(height_deg).sin_cos();
            for side in Side::ALL {
                let [right, up] = side.step().map(|n| n as f64);
                let toward = DVec3::new(right, up, 0.0).normalize() * cos_e + DVec3::Z * sin_e;
                let expected = DVec3::new(sin, 0.0, cos).dot(toward) / sin_e;
                let found = at(&camera, &raked.lit(Lamp { side, height_deg }), DVec3::ZERO);
                assert!(
                    (found - expected).abs() < 2e-3,
                    "{tilt_deg}° under {side:?} at {height_deg}°: {found}, not {expected}"
                );
            }
        }
    }
}

/// A step of the height h throws a shadow of the length h / tan e; from the corner, of that times
/// cos 45° across the step.
#[test]
fn a_step_throws_a_shadow_of_its_height_over_the_tangent() {
    let camera = front();
    let pixel_mm = 0.1;
    for step_mm in [0.4, 1.0, 1.5] {
        let plateau = sheet(2, 2, |x, y| DVec3::new(20.0 * x - 20.0, 40.0 * y, step_mm));
        let relief = Relief::seen(&scene(&[ground(), plateau]), &camera);
        let run = Run::plane(&relief, Vec3::Z);
        let raked = Raked::new(relief, &run);
        for height_deg in [10.0, 18.0, 30.0] {
            for (side, turn) in [
                (Side::Left, 1.0),
                (Side::UpperLeft, 0.5f64.sqrt()),
                (Side::LowerLeft, 0.5f64.sqrt()),
            ] {
                let light = raked.lit(Lamp { side, height_deg });
                let row = &light[100 * 250..101 * 250];
                assert!(
                    row[40] > 0.99 && row[248] > 0.99,
                    "plateau and far ground are lit"
                );
                let dark = row[125..].iter().filter(|l| **l < 0.5).count() as f64 * pixel_mm;
                let expected = step_mm / f64::to_radians(height_deg).tan() * turn;
                assert!(
                    (dark - expected).abs() <= 2.0 * pixel_mm,
                    "{step_mm} mm under {side:?} at {height_deg}°: {dark}, not {expected}"
                );
            }
            let away = raked.lit(Lamp {
                side: Side::Right,
                height_deg,
            });
            assert!(away[100 * 250 + 20..101 * 250].iter().all(|l| *l > 0.99));
        }
    }
}

/// What the sweep says against a ray from every pixel to the lamp, on waves in all directions.
#[test]
fn shadows_are_those_of_rays_traced_one_by_one() {
    let wave = |x: f64, y: f64| {
        0.25 * (0.9 * x + 0.4 * y).sin() + 0.17 * (1.3 * y - 0.5 * x).sin() + 0.1 * (2.1 * x).cos()
    };
    let mesh = sheet(400, 400, |x, y| {
        let (x, y) = (20.0 * x, 20.0 * y);
        DVec3::new(x, y, wave(x, y))
    });
    let tree = Tree::build(&mesh);
    let camera = front();
    let relief = Relief::seen(&scene(&[mesh]), &camera);
    let run = Run::plane(&relief, Vec3::Z);
    let raked = Raked::new(relief.clone(), &run);
    let (mut dark, mut alike, mut all) = (0usize, 0usize, 0u32);
    for height_deg in [10.0, 16.0] {
        let (sin_e, cos_e) = f64::to_radians(height_deg).sin_cos();
        for side in Side::ALL {
            let light = raked.lit(Lamp { side, height_deg });
            let [right, up] = side.step().map(|n| n as f64);
            let toward = DVec3::new(right, up, 0.0).normalize() * cos_e + DVec3::Z * sin_e;
            // Away from the edges, beyond which the camera sees nothing that might throw a shadow.
            for y in (60..140).step_by(3) {
                for x in (60..190).step_by(3) {
                    let i = y * 250 + x;
                    let [px, py] = [x, y].map(|n| f64::from(u16::try_from(n).unwrap()) + 0.5);
                    let height = f64::from(relief.height_mm()[i]);
                    let point = DVec3::new(px / 10.0 - 12.5, 10.0 - py / 10.0, height);
                    let normal = relief.normal()[i].as_dvec3();
                    let cosine = normal.dot(toward);
                    let hidden = cosine <= 0.0 || tree.blocked(point + normal * 0.002, toward, 6.0);
                    let full = cosine.max(1e-9) / sin_e;
                    let swept = f64::from(light[i]) / full < 0.5;
                    dark += usize::from(hidden);
                    alike += usize::from(hidden == swept);
                    all += 1;
                }
            }
        }
    }
    assert!(
        (all as usize / 10..all as usize / 2).contains(&dark),
        "{dark} of {all} in shadow"
    );
    let share = alike as f64 / f64::from(all);
    println!("{share:.4} of {all} places alike, {dark} in shadow");
    assert!(share > 0.99, "{share}");
}

/// Round a wall of the radius 60, a lamp at one place grazes a strip and leaves the rest in the dark;
/// carried along with the run, it grazes all of it alike.
#[test]
fn the_lamp_follows_a_round_wall() {
    let wall = sheet(721, 3, |x, y| {
        let turn = x * std::f64::consts::FRAC_PI_2;
        DVec3::new(60.0 * turn.sin(), 60.0 * y, 60.0 * turn.cos())
    });
    let camera = Camera::at(DVec3::new(0.0, 0.0, 60.0), 0.0, 0.0, 28.0, [350, 280]);
    let relief = Relief::seen(&scene(&[wall]), &camera);
    let light = |run: &Run, side| {
        let raked = Raked::new(relief.clone(), run);
        let light = raked.lit(Lamp {
            side,
            height_deg: 14.0,
        });
        // Two reaches from either edge.
        light[140 * 350 + 60..140 * 350 + 290].to_vec()
    };
    let (fixed, carried) = (Run::plane(&relief, Vec3::Z), Run::of(&relief, 5.0));
    let lost = light(&fixed, Side::Left)
        .iter()
        .filter(|l| **l < 0.2)
        .count();
    assert!(lost > 50, "{lost} of 230");
    for side in Side::ALL {
        let (low, high) = light(&carried, side)
            .iter()
            .fold((f32::MAX, f32::MIN), |(low, high), l| {
                (low.min(*l), high.max(*l))
            });
        assert!(low > 0.93 && high < 1.07, "{side:?}: {low} to {high}");
    }
}

/// The same bytes, whatever the number of threads.
#[test]
fn pictures_are_the_same_on_any_number_of_threads() {
    let mesh = sheet(60, 60, |x, y| {
        DVec3::new(20.0 * x, 20.0 * y, (5.0 * x).sin() * (7.0 * y).cos())
    });
    let scene = scene(&[mesh]);
    let take = || {
        let detail = RakedDetail::seen(&scene, &front(), 6.0);
        detail.pictures(detail.lowest_deg())
    };
    let first = take();
    assert_eq!(first.sides.len(), 8);
    for threads in [1, 3] {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        assert!(first == pool.install(take), "{threads} threads");
    }
}
