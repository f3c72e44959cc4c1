//! Whether stills lose light or make it: tests only.

use super::light::Lights;
use super::smooth::Buffer;
use super::still::taken;
use super::{Camera, Finish, Scene};
use crate::mesh::Mesh;
use glam::{DVec3, Vec3};

/// The same light from everywhere, and nothing else: a white furnace.
struct Furnace;

impl Lights for Furnace {
    fn key(&self) -> Vec3 {
        Vec3::Y
    }
    fn sky(&self, _: Vec3) -> Vec3 {
        Vec3::ONE
    }
    fn box_of_key(&self, _: Vec3) -> Vec3 {
        Vec3::ZERO
    }
    fn key_on(&self, _: Vec3) -> Vec3 {
        Vec3::ZERO
    }
    fn bounced(&self) -> Vec3 {
        Vec3::ONE
    }
}

/// A bowl's half sphere or a whole ball, in bands; 40 bands have fine triangles, 3 coarse ones.
fn round(bands: u32, whole: bool, colour: u8) -> Mesh {
    let around = bands * 2;
    let end = if whole { bands } else { bands / 2 };
    let mut places = Vec::new();
    for i in 0..=end {
        let polar = std::f64::consts::PI * (1.0 - f64::from(i) / f64::from(bands));
        for k in 0..around {
            let a = std::f64::consts::TAU * f64::from(k) / f64::from(around);
            let ring = polar.sin();
            places.push(DVec3::new(ring * a.cos(), polar.cos(), -ring * a.sin()).as_vec3() * 30.0);
        }
    }
    let mut triangles = Vec::new();
    for i in 0..end {
        for k in 0..around {
            let l = (k + 1) % around;
            let at = |ring: u32, k: u32| ring * around + k;
            triangles.push([at(i, k), at(i, l), at(i + 1, l)]);
            triangles.push([at(i, k), at(i + 1, l), at(i + 1, k)]);
        }
    }
    let colours = vec![[colour, colour, colour, 255]; places.len()];
    let mesh = Mesh::new(places, triangles).unwrap();
    mesh.with_colours(colours).unwrap()
}

fn seen(mesh: Mesh, finish: Finish) -> Vec<Vec3> {
    let scene = Scene::new(vec![(mesh, finish)]).unwrap();
    let camera = Camera::at(DVec3::ZERO, 15.0, 35.0, 36.0, [96, 96]);
    let (buffers, _) = taken(&scene, &camera, &Furnace, |_| ());
    let inner = buffers.iter().filter(|b| b.cover >= 1.0);
    inner.map(Buffer::surface).collect()
}

/// In a furnace a white surface cannot be told from its ground, whatever its finish: as much
/// light leaves as arrives (the white-furnace test, common practice of renderers, no source).
#[test]
fn a_white_furnace_keeps_its_energy() {
    for (bands, whole) in [(80, true), (80, false), (3, true)] {
        for (roughness, metallic) in [(1.0, 0.0), (0.3, 0.0), (0.42, 1.0)] {
            let finish = Finish {
                roughness,
                metallic,
            };
            let light = seen(round(bands, whole, 255), finish);
            assert!(light.len() > 2000, "only {} pixels", light.len());
            for c in light {
                let off = (c - Vec3::ONE).abs().max_element();
                assert!(off < 0.01, "{c} at {bands} bands, {finish:?}");
            }
        }
    }
}

/// A matt grey ball throws back its albedo, but for the 4 % and more that its surface mirrors.
#[test]
fn a_grey_ball_in_a_furnace_is_grey() {
    let finish = Finish {
        roughness: 1.0,
        metallic: 0.0,
    };
    let grey = crate::mesh::srgb_to_linear(128.0 / 255.0);
    let expected = 0.04 + 0.96 * grey;
    for c in seen(round(80, true, 128), finish) {
        assert!((c.x - expected).abs() < 0.01, "{c}, expected {expected}");
    }
}
