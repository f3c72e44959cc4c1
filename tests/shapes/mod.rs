//! Shapes whose measures are known in closed form.

#![allow(
    dead_code,
    unused_imports,
    reason = "each test takes the shapes that it needs"
)]

use counterpart::mesh::Mesh;
use glam::{DVec3, Vec3};
use std::f64::consts::{PI, TAU};

#[path = "../../src/mesh/shapes.rs"]
mod block;
pub(crate) use block::block;

/// A surface of revolution about Y of these (radius, height) corners. The corners run so that the
/// surface lies to the left of one who looks along them with the axis behind; `round` joins the
/// last to the first. Corners on the axis become one vertex.
pub(crate) fn turned(profile: &[(f64, f64)], around: u32, round: bool) -> Mesh {
    let mut positions: Vec<Vec3> = Vec::new();
    let rows: Vec<Vec<u32>> = profile
        .iter()
        .map(|&(r, y)| {
            let first = u32::try_from(positions.len()).unwrap();
            if r == 0.0 {
                positions.push(DVec3::new(0.0, y, 0.0).as_vec3());
                return vec![first; around as usize];
            }
            for k in 0..around {
                let a = TAU * f64::from(k) / f64::from(around);
                positions.push(DVec3::new(r * a.sin(), y, r * a.cos()).as_vec3());
            }
            (first..first + around).collect()
        })
        .collect();
    let mut triangles = Vec::new();
    let steps = if round { rows.len() } else { rows.len() - 1 };
    for i in 0..steps {
        let (low, high) = (&rows[i], &rows[(i + 1) % rows.len()]);
        for k in 0..around as usize {
            let l = (k + 1) % around as usize;
            for t in [[low[k], low[l], high[l]], [low[k], high[l], high[k]]] {
                if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
                    triangles.push(t);
                }
            }
        }
    }
    Mesh::new(positions, triangles).unwrap()
}

/// Torus: ring radius 30, tube radius 10.
pub(crate) fn torus(around: u32) -> Mesh {
    let ring: Vec<(f64, f64)> = (0..around)
        .map(|i| {
            let a = TAU * f64::from(i) / f64::from(around);
            (30.0 + 10.0 * a.cos(), 10.0 * a.sin())
        })
        .collect();
    turned(&ring, around, true)
}

/// Sphere of radius 20 about the origin.
pub(crate) fn sphere(around: u32) -> Mesh {
    let arc: Vec<(f64, f64)> = (0..=around)
        .map(|i| {
            let a = PI * f64::from(i) / f64::from(around) - PI / 2.0;
            let r = if i == 0 || i == around {
                0.0
            } else {
                20.0 * a.cos()
            };
            (r, 20.0 * a.sin())
        })
        .collect();
    turned(&arc, around, false)
}

/// Frustum with lower radius 20, this upper radius, height 30, standing at y = 0.
pub(crate) fn frustum(upper: f64, around: u32) -> Mesh {
    let mut profile = vec![(0.0, 0.0), (20.0, 0.0), (upper, 30.0)];
    if upper > 0.0 {
        profile.push((0.0, 30.0));
    }
    turned(&profile, around, false)
}

/// Tetrahedron with a corner in the origin and legs 10, 20 and 30 along the axes.
pub(crate) fn tetrahedron() -> Mesh {
    let positions = [
        [0.0, 0.0, 0.0],
        [10.0, 0.0, 0.0],
        [0.0, 20.0, 0.0],
        [0.0, 0.0, 30.0],
    ]
    .map(Vec3::from_array);
    Mesh::new(
        positions.to_vec(),
        vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
    )
    .unwrap()
}

/// A square sheet of side 10 in the plane y = `height`, facing up, in `n` × `n` squares.
pub(crate) fn sheet(n: u32, height: f32) -> Mesh {
    let at = |i: u32| 10.0 * i as f32 / n as f32;
    let mut positions = Vec::new();
    let mut triangles = Vec::new();
    for z in 0..=n {
        for x in 0..=n {
            positions.push(Vec3::new(at(x), height, at(z)));
        }
    }
    let number = |x: u32, z: u32| z * (n + 1) + x;
    for z in 0..n {
        for x in 0..n {
            let [a, b] = [number(x, z), number(x + 1, z)];
            let [c, d] = [number(x + 1, z + 1), number(x, z + 1)];
            triangles.extend([[a, c, b], [a, d, c]]);
        }
    }
    Mesh::new(positions, triangles).unwrap()
}

/// Both meshes as one.
pub(crate) fn together(a: &Mesh, b: &Mesh) -> Mesh {
    let base = u32::try_from(a.positions().len()).unwrap();
    let positions = [a.positions(), b.positions()].concat();
    let more = b.triangles().iter().map(|t| t.map(|i| i + base));
    Mesh::new(
        positions,
        a.triangles().iter().copied().chain(more).collect(),
    )
    .unwrap()
}

/// The same mesh moved.
pub(crate) fn moved(mesh: &Mesh, by: Vec3) -> Mesh {
    let positions = mesh.positions().iter().map(|p| *p + by).collect();
    Mesh::new(positions, mesh.triangles().to_vec()).unwrap()
}
