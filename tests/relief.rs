//! Relief drawn on reduced meshes, against closed forms.

mod shapes;

use counterpart::mesh::Mesh;
use counterpart::reduce::simplify;
use counterpart::relief::{Grain, Scan, Shade, Sheets, Unwrapped, bake, unwrap};
use counterpart::space::Tree;
use glam::{DVec2, DVec3, Vec3};
use image::RgbImage;
use image::imageops::{FilterType, resize};
use shapes::{sheet, sphere, torus, turned};
use std::collections::HashMap;
use std::f64::consts::PI;

const GRAIN: Grain = Grain {
    texels: 512,
    finer: 2,
    colour_texels: 256,
};

/// A reduced mesh on its sheet, and what was drawn there.
fn drawn(full: &Mesh, triangles: usize) -> (Unwrapped, Sheets) {
    let tree = Tree::build(full);
    let reduced = simplify(full, triangles, &[]);
    let strays = counterpart::reduce::deviation(full, &tree, &reduced, &[]);
    let flat = unwrap(&[&reduced], GRAIN.texels).unwrap().remove(0);
    let shade = Shade::of(&reduced, &tree);
    let scan = Scan {
        flat: &flat,
        mesh: full,
        tree: &tree,
        shade: &shade,
        reach_mm: strays.whole.max_mm * 1.2,
    };
    let sheets = bake(&[scan], GRAIN);
    (flat, sheets)
}

/// Mean angle between the normals that a renderer would have and those of the shape, degrees: in
/// the middle of every triangle, with a picture of slopes or without.
fn mean_error(flat: &Unwrapped, slopes: Option<&RgbImage>, truth: impl Fn(DVec3) -> DVec3) -> f64 {
    let (mut sum, mut area) = (0.0, 0.0);
    for (face, corners) in (0u32..).zip(flat.mesh.triangles()) {
        let corners = corners.map(|i| i as usize);
        let [a, b, c] = flat.mesh.corners(face);
        let weight = (b - a).cross(c - a).length();
        let up = corners
            .map(|i| flat.normals[i].as_dvec3())
            .iter()
            .sum::<DVec3>()
            .normalize();
        let along = corners
            .map(|i| flat.tangents[i].as_dvec3())
            .iter()
            .sum::<DVec3>();
        let along = along.reject_from_normalized(up).normalize();
        let normal = slopes.map_or(up, |picture| {
            let place = corners
                .map(|i| flat.places[i].as_dvec2())
                .iter()
                .sum::<DVec2>()
                / 3.0;
            let at = (place * f64::from(picture.width())).floor();
            let pixel = picture.get_pixel(at.x as u32, at.y as u32).0;
            let [x, y, z] = pixel.map(|v| f64::from(v) / 127.5 - 1.0);
            (along * x + up.cross(along) * y + up * z).normalize()
        });
        sum += weight * normal.angle_between(truth((a + b + c) / 3.0)).to_degrees();
        area += weight;
    }
    sum / area
}

/// The normals of a sphere are its radii.
#[test]
fn a_sphere_of_few_triangles_has_the_normals_of_a_sphere() {
    let (flat, sheets) = drawn(&sphere(192), 400);
    assert!(flat.mesh.triangles().len() <= 400);
    let error = mean_error(&flat, Some(&sheets.slopes), DVec3::normalize);
    assert!(error < 0.6, "{error}");
    assert!(
        sheets.missed * 1000 < sheets.samples,
        "{} of {}",
        sheets.missed,
        sheets.samples
    );
}

/// Ripples far finer than the triangles: y = A sin kx cos kz has the normal (−A k cos kx cos kz, 1,
/// A k sin kx sin kz) before it is made one long.
#[test]
fn ripples_finer_than_the_triangles_are_kept_and_survive_smaller_copies() {
    const A: f64 = 0.02;
    const K: f64 = 2.0 * PI / 0.8;
    let plain = sheet(320, 0.0);
    let rippled = |p: &Vec3| {
        let p = p.as_dvec3();
        DVec3::new(p.x, A * (K * p.x).sin() * (K * p.z).cos(), p.z).as_vec3()
    };
    let positions = plain.positions().iter().map(rippled).collect();
    let (flat, sheets) = drawn(
        &Mesh::new(positions, plain.triangles().to_vec()).unwrap(),
        200,
    );
    let truth = |p: DVec3| {
        DVec3::new(
            -A * K * (K * p.x).cos() * (K * p.z).cos(),
            1.0,
            A * K * (K * p.x).sin() * (K * p.z).sin(),
        )
        .normalize()
    };
    let without = mean_error(&flat, None, truth);
    let with = mean_error(&flat, Some(&sheets.slopes), truth);
    assert!(
        without > 3.0 && with < 0.6,
        "{without} without, {with} with"
    );
    // A quarter as many texels along each side: the second smaller copy that a graphics card makes.
    let small = resize(
        &sheets.slopes,
        GRAIN.texels / 4,
        GRAIN.texels / 4,
        FilterType::Triangle,
    );
    let small = mean_error(&flat, Some(&small), truth);
    assert!(
        small < without / 3.0,
        "{small} in a smaller copy, {without} without"
    );
}

/// From any place inside a sphere, any part of the sphere fills the same share of the view as of
/// the sphere's surface (Howell, *A Catalog of Radiation Heat Transfer Configuration Factors*,
/// C-121: the factor of an integrating sphere). So from a hemispherical bowl half the sky is seen.
#[test]
fn half_the_sky_is_seen_from_a_hemisphere() {
    let ball = sphere(96);
    let lower = |t: &&[u32; 3]| t.iter().all(|i| ball.positions()[*i as usize].y < 1e-4);
    let inward = ball
        .triangles()
        .iter()
        .filter(lower)
        .map(|[a, b, c]| [*a, *c, *b]);
    let bowl = Mesh::new(ball.positions().to_vec(), inward.collect()).unwrap();
    let shade = Shade::of(&bowl, &Tree::build(&bowl));
    let (mut sum, mut count) = (0.0, 0.0);
    for step in 1..16 {
        for turn in 0..12 {
            let (up, around) = (f64::from(step) * 0.09, f64::from(turn) * 0.52);
            let place = DVec3::new(up.sin() * around.cos(), -up.cos(), up.sin() * around.sin());
            let open = f64::from(shade.at(place * 20.0));
            assert!((open - 0.5).abs() < 0.06, "{open} at {place}");
            sum += open;
            count += 1.0;
        }
    }
    assert!((sum / count - 0.5).abs() < 0.01, "{}", sum / count);
    // Outside a ball nothing stands in the way.
    let open = Shade::of(&ball, &Tree::build(&ball)).at(DVec3::X * 20.0);
    assert!(open > 0.98, "{open}");
}

/// No place of the sheet belongs to two triangles, and charts keep their distance.
#[test]
fn charts_lie_beside_one_another() {
    // A vase with a rim, and a ring: cones, edges and a hole.
    let vase = turned(
        &[
            (0.0, 0.0),
            (9.0, 0.0),
            (12.0, 8.0),
            (5.0, 20.0),
            (8.0, 24.0),
            (7.0, 24.5),
            (0.0, 6.0),
        ],
        48,
        false,
    );
    let (ring, size) = (torus(60), 512);
    let flats = unwrap(&[&vase, &ring], size).unwrap();
    let mut owner: HashMap<(i64, i64), (usize, Vec<u32>)> = HashMap::new();
    let mut covered = 0;
    for (part, flat) in flats.iter().enumerate() {
        assert!(
            flat.places
                .iter()
                .all(|p| p.min_element() >= 0.0 && p.max_element() <= 1.0)
        );
        let charts = connected(flat);
        for corners in flat.mesh.triangles() {
            let [a, b, c] = corners.map(|i| flat.places[i as usize].as_dvec2() * f64::from(size));
            let twice = (b - a).perp_dot(c - a);
            let (low, high) = (a.min(b).min(c), a.max(b).max(c));
            for y in low.y as i64..=high.y as i64 {
                for x in low.x as i64..=high.x as i64 {
                    let p = DVec2::new(x as f64 + 0.5, y as f64 + 0.5);
                    // Well inside, so that edges do not matter.
                    let inside = [(a, b), (b, c), (c, a)].iter().all(|(from, to)| {
                        (*to - *from).perp_dot(p - *from) * twice.signum() > 1e-3 * twice.abs()
                    });
                    if inside {
                        covered += 1;
                        let id = vec![charts[corners[0] as usize]];
                        assert!(
                            owner.insert((x, y), (part, id)).is_none(),
                            "two triangles at {x} {y}"
                        );
                    }
                }
            }
        }
    }
    assert!(
        covered > 100_000,
        "{covered} of {} texels are used",
        size * size
    );
    for ((x, y), chart) in &owner {
        for (dx, dy) in [(1, 0), (0, 1), (1, 1), (1, -1)] {
            let next = owner.get(&(x + dx, y + dy));
            assert!(next.is_none_or(|n| n == chart), "charts touch at {x} {y}");
        }
    }
}

/// The first vertex of the chart of each vertex.
fn connected(flat: &Unwrapped) -> Vec<u32> {
    let mut of: Vec<u32> = (0..flat.places.len() as u32).collect();
    loop {
        let before = of.clone();
        for t in flat.mesh.triangles() {
            let least = t.iter().map(|i| of[*i as usize]).min().unwrap();
            for i in t {
                of[*i as usize] = least;
            }
        }
        if before == of {
            return of;
        }
    }
}

/// Unwrapping keeps the surface, corner by corner, and gives the same places every time.
#[test]
fn unwrapping_changes_no_triangle() {
    let ring = torus(40);
    let flat = unwrap(&[&ring], 256).unwrap().remove(0);
    let again = unwrap(&[&ring], 256).unwrap().remove(0);
    assert_eq!(flat.places, again.places);
    assert_eq!(flat.tangents, again.tangents);
    let corners = |m: &Mesh| -> Vec<[Vec3; 3]> {
        m.triangles()
            .iter()
            .map(|t| t.map(|i| m.positions()[i as usize]))
            .collect()
    };
    assert_eq!(corners(&flat.mesh), corners(&ring));
    for (normal, tangent) in flat.normals.iter().zip(&flat.tangents) {
        assert!(normal.dot(*tangent).abs() < 1e-5 && (tangent.length() - 1.0).abs() < 1e-5);
    }
}

/// Colours come from the scan's vertices, wherever a texel lies.
#[test]
fn colours_are_those_of_the_scan() {
    let ball = sphere(128);
    let colours = ball
        .positions()
        .iter()
        .map(|p| {
            if p.y > 0.0 {
                [200, 40, 40, 255]
            } else {
                [40, 40, 200, 255]
            }
        })
        .collect();
    let (flat, sheets) = drawn(&ball.with_colours(colours).unwrap(), 600);
    let picture = sheets.colour.unwrap();
    let mut seen = [0, 0];
    for corners in flat.mesh.triangles() {
        let middle = corners
            .map(|i| flat.mesh.positions()[i as usize])
            .iter()
            .sum::<Vec3>()
            / 3.0;
        let place = corners
            .map(|i| flat.places[i as usize])
            .iter()
            .sum::<glam::Vec2>()
            / 3.0;
        if middle.y.abs() > 2.0 {
            let at = place * picture.width() as f32;
            let [r, _, b] = picture.get_pixel(at.x as u32, at.y as u32).0;
            assert_eq!(r > b, middle.y > 0.0, "at {middle}: {r} {b}");
            seen[usize::from(r > b)] += 1;
        }
    }
    assert!(seen.iter().all(|n| *n > 50), "{seen:?}");
}

/// Triangles that hang together with none, or that have no area, are laid flat or refused; no
/// number of them keeps the program for ever.
#[test]
fn odd_surfaces_are_laid_flat_or_refused() {
    let loose = |count: u32, size: f32| {
        let at = |i: u32| Vec3::new((i % 200) as f32, (i / 200) as f32, (i % 7) as f32);
        let positions = (0..count)
            .flat_map(|i| [at(i), at(i) + Vec3::X * size, at(i) + Vec3::Z * size])
            .collect();
        let triangles = (0..count).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
        Mesh::new(positions, triangles).unwrap()
    };
    assert_eq!(unwrap(&[&loose(300, 0.5)], 256).unwrap()[0].charts, 300);
    assert!(unwrap(&[&loose(40_000, 0.5)], 256).is_none());
    assert!(unwrap(&[&loose(3, 0.0)], 256).is_none());
    // Two sides of one triangle, one of them twice, a needle without width, and a strip turned once.
    let corners = [[0.0, 0.0], [9.0, 0.0], [0.0, 9.0], [18.0, 0.0]];
    let mut positions: Vec<Vec3> = corners.map(|[x, y]| Vec3::new(x, y, 0.0)).to_vec();
    let mut triangles = vec![[0, 1, 2], [0, 2, 1], [0, 1, 2], [0, 1, 3]];
    let strip = |i: u32, side: f64| {
        let turn = 2.0 * PI * f64::from(i) / 40.0;
        let out = 20.0 + side * (turn / 2.0).cos();
        DVec3::new(
            out * turn.cos(),
            side * (turn / 2.0).sin() + 40.0,
            out * turn.sin(),
        )
        .as_vec3()
    };
    positions.extend((0..40).flat_map(|i| [strip(i, -4.0), strip(i, 4.0)]));
    for i in 0..40 {
        let [a, b] = [4 + 2 * i, 5 + 2 * i];
        // After one round the two sides have changed places.
        let [c, d] = if i == 39 { [5, 4] } else { [a + 2, b + 2] };
        triangles.extend([[a, b, d], [a, d, c]]);
    }
    let (flat, sheets) = drawn(&Mesh::new(positions, triangles).unwrap(), 1000);
    assert!(flat.places.iter().all(|p| p.is_finite()));
    assert!(sheets.samples > 10_000);
}
