//! Textures and normal maps as glTF 2.0 has them: sections 3.7.2.1 (tangents), 3.9.3 (normal map:
//! red right, green up, blue outward) and KHR_texture_transform.

#[path = "../dice/mod.rs"]
mod dice;
mod file;

use counterpart::limits::Limits;
use counterpart::mesh::Mesh;
use counterpart::mesh::{Format, read_bytes};
use counterpart::picture::{Camera, Finish, Scene, still};
use counterpart::record::{LengthUnit, UpAxis};
use dice::Dice;
use file::{Primitive, drawn, file, read};
use glam::{DVec3, Vec2, Vec3, Vec4};
use image::{Rgb, RgbImage};
use serde_json::{Value, json};

/// A square of 40 mm that faces +Z, with the picture upright on it.
fn square() -> Primitive {
    let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    Primitive {
        positions: corners
            .map(|(x, y)| Vec3::new(x * 0.04, y * 0.04, 0.0))
            .to_vec(),
        triangles: vec![[0, 1, 2], [0, 2, 3]],
        places: corners.map(|(x, y)| Vec2::new(x, 1.0 - y)).to_vec(),
        more: json!({}),
        ..Primitive::default()
    }
}

fn one(primitive: Primitive, node: Value) -> Mesh {
    read(&[primitive], node, &Limits::default()).unwrap()
}

const MIDDLE: [f32; 3] = [0.2, 0.5, 0.3];
/// A byte of a normal map is a 127th.
const NEAR: f32 = 0.012;

fn near(found: Vec3, expected: Vec3) -> bool {
    found.distance(expected.normalize()) < NEAR
}

/// A slope to the right, up and out.
const SLOPE: Vec3 = Vec3::new(0.4, 0.25, 0.8);

/// The three ways in which a file can leave it to the reader: everything given, no tangents, nothing.
fn ways() -> [Primitive; 3] {
    let mut own = square();
    own.slopes = Some(drawn(4, 4, |_, _| SLOPE));
    let bare = own.clone();
    own.normals = Some(vec![Vec3::Z; 4]);
    let without = own.clone();
    own.tangents = Some(vec![Vec4::new(1.0, 0.0, 0.0, 1.0); 4]);
    [own, without, bare]
}

#[test]
fn a_normal_map_bends_the_surface_right_up_and_out() {
    for (way, primitive) in ways().into_iter().enumerate() {
        let mesh = one(primitive, json!({}));
        for face in [0, 1] {
            let found = mesh.drawn_normal_at(face, MIDDLE).unwrap();
            assert!(near(found, SLOPE), "way {way}: {found}");
        }
    }
    assert!(
        one(square(), json!({}))
            .drawn_normal_at(0, MIDDLE)
            .is_none()
    );
}

#[test]
fn it_goes_with_its_node() {
    // A quarter turn about +Y takes +Z to +X and +X to −Z.
    let turn = json!({ "rotation": [0.0, 0.5f64.sqrt(), 0.0, 0.5f64.sqrt()] });
    let turned = Vec3::new(SLOPE.z, SLOPE.y, -SLOPE.x);
    let mirror = json!({ "scale": [-1.0, 1.0, 1.0] });
    let mirrored = Vec3::new(-SLOPE.x, SLOPE.y, SLOPE.z);
    for (way, primitive) in ways().into_iter().enumerate() {
        for (node, expected) in [(&turn, turned), (&mirror, mirrored)] {
            let found = one(primitive.clone(), node.clone()).drawn_normal_at(0, MIDDLE);
            assert!(near(found.unwrap(), expected), "way {way}: {found:?}");
        }
    }
    // A part that is brought to its original's place takes its slopes along.
    let [own, ..] = ways();
    let moved = one(own, json!({})).mapped(|p| DVec3::new(p.z, p.y, -p.x) * 1.01 + DVec3::X * 7.0);
    assert!(near(moved.drawn_normal_at(0, MIDDLE).unwrap(), turned));
}

#[test]
fn its_scale_weighs_right_and_up() {
    let [mut own, ..] = ways();
    own.more = json!({ "scale": 0.5 });
    let found = one(own, json!({})).drawn_normal_at(1, MIDDLE).unwrap();
    assert!(near(found, SLOPE * Vec3::new(0.5, 0.5, 1.0)), "{found}");
}

/// Two halves that share the picture as a book shares its spine: on the left one it lies mirrored,
/// and the vertices of the spine are used by both.
#[test]
fn mirrored_halves_are_told_apart() {
    let at = |x: f32, y: f32| Vec3::new(x * 0.04, y * 0.04, 0.0);
    let primitive = Primitive {
        positions: [-1.0, 0.0, 1.0]
            .iter()
            .flat_map(|x| [at(*x, 0.0), at(*x, 1.0)])
            .collect(),
        triangles: vec![[0, 2, 3], [0, 3, 1], [2, 4, 5], [2, 5, 3]],
        places: [1.0, 0.0, 1.0]
            .iter()
            .flat_map(|u| [Vec2::new(*u, 1.0), Vec2::new(*u, 0.0)])
            .collect(),
        slopes: Some(drawn(4, 4, |_, _| SLOPE)),
        colour: Some(RgbImage::from_pixel(2, 2, Rgb([10, 200, 30]))),
        more: json!({}),
        ..Primitive::default()
    };
    let mesh = one(primitive, json!({}));
    for face in 0..4 {
        let found = mesh.drawn_normal_at(face, MIDDLE).unwrap();
        let side = if face < 2 { -1.0 } else { 1.0 };
        assert!(
            near(found, SLOPE * Vec3::new(side, 1.0, 1.0)),
            "{face}: {found}"
        );
        let colour = mesh.colour_at(face, MIDDLE).unwrap();
        assert!((colour[1] - 200.0 / 255.0).abs() < 0.003, "{colour:?}");
    }
    assert_eq!(mesh.triangles().len(), 4);
}

/// Red and green above, blue and grey below.
fn fields() -> RgbImage {
    RgbImage::from_fn(64, 64, |x, y| match (x < 32, y < 32) {
        (true, true) => Rgb([220, 30, 30]),
        (false, true) => Rgb([30, 200, 30]),
        (true, false) => Rgb([30, 30, 220]),
        (false, false) => Rgb([200, 200, 200]),
    })
}

/// The colours that are seen in the middles of the four fields of the square: above left, above
/// right, below left, below right.
fn seen(mesh: &Mesh) -> [[u8; 3]; 4] {
    [(0.25, 0.75), (0.75, 0.75), (0.25, 0.25), (0.75, 0.25)].map(|(x, y): (f32, f32)| {
        // Triangle 0 is right of the diagonal, 1 left of it.
        let (face, weights) = if x > y {
            (0, [1.0 - x, x - y, y])
        } else {
            (1, [1.0 - y, x, y - x])
        };
        mesh.colour_at(face, weights)
            .unwrap()
            .map(|c| (c * 255.0).round() as u8)
    })
}

const RED: [u8; 3] = [220, 30, 30];
const GREEN: [u8; 3] = [30, 200, 30];
const BLUE: [u8; 3] = [30, 30, 220];
const GREY: [u8; 3] = [200, 200, 200];

/// "Rotate the UVs by this many radians counter-clockwise around the origin. This is equivalent to a
/// similar rotation of the image clockwise." (KHR_texture_transform)
#[test]
fn a_texture_is_moved_turned_and_stretched() {
    let with = |transform: Value| {
        let mut own = square();
        own.colour = Some(fields());
        own.more = json!({ "extensions": { "KHR_texture_transform": transform } });
        seen(&one(own, json!({})))
    };
    assert_eq!(with(json!({})), [RED, GREEN, BLUE, GREY]);
    assert_eq!(
        with(json!({ "offset": [0.5, 0.0] })),
        [GREEN, RED, GREY, BLUE]
    );
    let quarter = std::f64::consts::FRAC_PI_2;
    assert_eq!(
        with(json!({ "rotation": quarter })),
        [BLUE, RED, GREY, GREEN]
    );
    assert_eq!(
        with(json!({ "scale": [1.0, -1.0] })),
        [BLUE, GREY, RED, GREEN]
    );
    let odd = json!({ "rotation": "left" });
    let mut own = square();
    own.colour = Some(fields());
    own.more = json!({ "extensions": { "KHR_texture_transform": odd } });
    let error = read(&[own], json!({}), &Limits::default()).unwrap_err();
    assert!(error.what.contains("KHR_texture_transform"), "{error}");
}

/// Scans on several sheets keep each of them.
#[test]
fn each_piece_keeps_its_own_texture() {
    let mut left = square();
    left.colour = Some(fields());
    let mut plain = square();
    plain.positions.iter_mut().for_each(|p| p.x += 0.05);
    let mut right = square();
    right.positions.iter_mut().for_each(|p| p.x += 0.1);
    right.colour = Some(image::imageops::flip_horizontal(&fields()));
    let [mut sloping, ..] = ways();
    sloping.positions.iter_mut().for_each(|p| p.x += 0.15);
    let all = [left, plain, right, sloping];
    let mesh = read(&all, json!({}), &Limits::default()).unwrap();
    let at = |face| {
        mesh.colour_at(face, [0.25, 0.5, 0.25])
            .map(|c| c.map(|c| (c * 255.0).round() as u8))
    };
    assert_eq!(at(0), Some(GREY));
    assert_eq!(at(2), None);
    assert_eq!(at(4), Some(BLUE));
    assert!(mesh.drawn_normal_at(0, MIDDLE).is_none());
    assert!(near(mesh.drawn_normal_at(6, MIDDLE).unwrap(), SLOPE));
    let limits = Limits {
        texture_pixels: 2 * 64 * 64,
        ..Limits::default()
    };
    let error = read(&all, json!({}), &limits).unwrap_err();
    assert!(
        error.what.contains("more than 8192 pixels together"),
        "{error}"
    );
}

/// A plate of gentle waves, once as 180,000 triangles and once as two with a normal map: their stills
/// agree, as the slopes throw no shadow. Without the map nothing of the waves is seen.
#[test]
fn a_still_shows_drawn_slopes_as_it_shows_true_ones() {
    const SIDE: u32 = 300;
    // Height and slope, of a plate whose side is 1.
    let (high, waves) = (0.004f32, 5.0 * std::f32::consts::TAU);
    let height = |x: f32, y: f32| high * (waves * x).sin() * (waves * y).cos();
    let normal = |x: f32, y: f32| {
        let along = high * waves * (waves * x).cos() * (waves * y).cos();
        let up = -high * waves * (waves * x).sin() * (waves * y).sin();
        Vec3::new(-along, -up, 1.0)
    };
    let step = |i: u32| i as f32 / SIDE as f32;
    let place = |i: u32, j: u32| Vec3::new(step(i), step(j), height(step(i), step(j))) * 40.0;
    let positions = (0..=SIDE)
        .flat_map(|j| (0..=SIDE).map(move |i| place(i, j)))
        .collect();
    let vertex = |i: u32, j: u32| j * (SIDE + 1) + i;
    let triangles = (0..SIDE)
        .flat_map(|j| {
            (0..SIDE).map(move |i| {
                [
                    vertex(i, j),
                    vertex(i + 1, j),
                    vertex(i + 1, j + 1),
                    vertex(i, j + 1),
                ]
            })
        })
        .flat_map(|[a, b, c, d]| [[a, b, c], [a, c, d]])
        .collect();
    let fine = Mesh::new(positions, triangles).unwrap();
    let mut own = square();
    own.slopes = Some(drawn(512, 512, |x, y| {
        normal((x as f32 + 0.5) / 512.0, 1.0 - (y as f32 + 0.5) / 512.0)
    }));
    let mapped = one(own, json!({}));
    let taken = |mesh: Mesh| {
        let scene = Scene::new(vec![(mesh, Finish::default())]).unwrap();
        let middle = DVec3::new(20.0, 20.0, 0.0);
        still(&scene, &Camera::at(middle, 0.0, 0.0, 22.0, [400, 400]))
    };
    let [waved, mapped, flat] = [fine, mapped, one(square(), json!({}))].map(taken);
    let off = |other: &image::RgbaImage| {
        let inside = |x: &u32| (60..340).contains(x);
        let pixels = waved
            .enumerate_pixels()
            .filter(|(x, y, _)| inside(x) && inside(y));
        let squares: Vec<f64> = pixels
            .map(|(x, y, own)| f64::from(own.0[1]) - f64::from(other.get_pixel(x, y).0[1]))
            .map(|d| d * d)
            .collect();
        (squares.iter().sum::<f64>() / squares.len() as f64).sqrt()
    };
    let (drawn, without) = (off(&mapped), off(&flat));
    println!("root mean square difference of green: drawn {drawn:.2}, without {without:.2}");
    assert!(without > 8.0, "the waves are seen: {without}");
    assert!(drawn < 2.0, "{drawn} of {without}");
}

/// The store keeps a result under the digest of the mesh: whatever lies over it must count.
#[test]
fn whatever_changes_a_mesh_changes_its_digest() {
    let [own, without, bare] = ways();
    let mut other = own.clone();
    other.slopes = Some(drawn(4, 4, |_, _| -SLOPE));
    let mut weaker = own.clone();
    weaker.more = json!({ "scale": 0.5 });
    let mut coloured = own.clone();
    coloured.colour = Some(fields());
    let mut shifted = own.clone();
    shifted.places[0].x += 0.125;
    let of = |primitive: &Primitive, node: Value| one(primitive.clone(), node).digest();
    let first = of(&own, json!({}));
    assert_eq!(first, of(&own, json!({})), "the same each time");
    // The tangents that are found are those that were given.
    assert_eq!(first, of(&without, json!({})));
    assert_eq!(first, of(&bare, json!({})));
    let plain = square();
    let all = [&other, &weaker, &coloured, &shifted, &plain].map(|p| of(p, json!({})));
    let larger = of(&own, json!({ "scale": [1.0, 1.0, 1.001] }));
    let raised = of(&own, json!({ "translation": [0.0, 0.001, 0.0] }));
    for found in all.into_iter().chain([raised]) {
        assert_ne!(found, first);
    }
    // Stretched across a flat plate, nothing changes.
    assert_eq!(larger, first);
}

/// With bytes changed, in its text, its numbers or its pictures, a file gives an error or a mesh that
/// answers.
#[test]
fn no_damage_to_a_normal_map_brings_the_reader_down() {
    let mut dice = Dice(7);
    let [mut own, without, mut bare] = ways();
    own.colour = Some(fields());
    bare.more = json!({ "scale": 2.0, "extensions": {
        "KHR_texture_transform": { "offset": [0.1, 0.2], "rotation": 0.3, "texCoord": 0 } } });
    const LIKELY: &[u8] = b"0123456789AZaz+/-.,[]{}\"e";
    let mut meshes = 0;
    for primitive in [own, without, bare] {
        let whole = file(
            &[primitive.clone(), primitive],
            json!({ "scale": [1.0, 2.0, 3.0] }),
        );
        for _ in 0..6000 {
            let mut bytes = whole.clone();
            let mut below = |n: usize| ((dice.next() + 1.0) / 2.0 * n as f64) as usize % n;
            for _ in 0..=below(4) {
                let at = below(bytes.len());
                let other = LIKELY[below(LIKELY.len())];
                bytes[at] = if below(4) == 0 {
                    below(256) as u8
                } else {
                    other
                };
            }
            let limits = Limits::default();
            let read = read_bytes(
                &bytes,
                Format::Gltf,
                None,
                LengthUnit::Metre,
                UpAxis::Y,
                &limits,
            );
            let Ok(mesh) = read else { continue };
            meshes += 1;
            for face in 0..mesh.triangles().len() as u32 {
                mesh.colour_at(face, MIDDLE);
                let drawn = mesh.drawn_normal_at(face, MIDDLE);
                assert!(drawn.is_none_or(|n| (n.length() - 1.0).abs() < 1e-3));
            }
            mesh.digest();
        }
    }
    assert!(meshes > 1000, "{meshes} of 18000 were read");
}
