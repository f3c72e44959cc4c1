//! Shapes with closed forms, for the tests of this room.

use super::Part;
use crate::mesh::Mesh;
use crate::mesh::shapes::block;
use crate::space::Tree;
use glam::{DVec3, Vec3};
use std::f64::consts::{PI, TAU};

/// Corners and triangles before they become a mesh.
pub(super) struct Shape {
    pub(super) points: Vec<DVec3>,
    pub(super) faces: Vec<[u32; 3]>,
}

impl Shape {
    pub(super) fn map(mut self, place: impl Fn(DVec3) -> DVec3) -> Self {
        for p in &mut self.points {
            *p = place(*p);
        }
        self
    }

    /// Facing the other way.
    pub(super) fn turned(mut self) -> Self {
        for f in &mut self.faces {
            f.swap(1, 2);
        }
        self
    }

    pub(super) fn and(mut self, other: Shape) -> Self {
        let base = u32::try_from(self.points.len()).unwrap();
        self.points.extend(other.points);
        let moved = other.faces.iter().map(|f| f.map(|i| i + base));
        self.faces.extend(moved);
        self
    }

    /// Only the triangles whose middle is kept.
    pub(super) fn keep(mut self, keep: impl Fn(DVec3) -> bool) -> Self {
        let points = &self.points;
        self.faces.retain(|f| {
            let [a, b, c] = f.map(|i| points[i as usize]);
            keep((a + b + c) / 3.0)
        });
        self
    }
}

/// A mesh that owns its tree.
pub(super) struct Solid {
    mesh: Mesh,
    tree: Tree,
}

impl Solid {
    pub(super) fn new(shape: Shape) -> Self {
        let points: Vec<Vec3> = shape.points.iter().map(|p| p.as_vec3()).collect();
        let mesh = Mesh::new(points, shape.faces).unwrap();
        let tree = Tree::build(&mesh);
        Self { mesh, tree }
    }

    pub(super) fn part(&self) -> Part<'_> {
        Part {
            mesh: &self.mesh,
            tree: &self.tree,
        }
    }
}

/// A sphere of `around` meridians and half as many rows, corners on the sphere.
pub(super) fn sphere(radius: f64, centre: DVec3, around: u32) -> Shape {
    let rows = around / 2;
    let mut points = vec![DVec3::Y * radius, -DVec3::Y * radius];
    for row in 1..rows {
        let down = PI * f64::from(row) / f64::from(rows);
        for k in 0..around {
            let turn = TAU * f64::from(k) / f64::from(around);
            points.push(
                DVec3::new(down.sin() * turn.cos(), down.cos(), down.sin() * turn.sin()) * radius,
            );
        }
    }
    let at = |row: u32, k: u32| 2 + (row - 1) * around + k % around;
    let mut faces = Vec::new();
    for k in 0..around {
        faces.push([0, at(1, k + 1), at(1, k)]);
        faces.push([1, at(rows - 1, k), at(rows - 1, k + 1)]);
        for row in 1..rows - 1 {
            let (a, b) = (at(row, k), at(row, k + 1));
            let (c, d) = (at(row + 1, k), at(row + 1, k + 1));
            faces.extend([[a, b, c], [b, d, c]]);
        }
    }
    Shape { points, faces }.map(|p| p + centre)
}

/// The lower half of a sphere, open at the top; facing inward when `inward`.
pub(super) fn cup(radius: f64, centre: DVec3, around: u32, inward: bool) -> Shape {
    let half = sphere(radius, centre, around).keep(|p| p.y < centre.y);
    if inward { half.turned() } else { half }
}

/// An upright box.
pub(super) fn boxed(low: DVec3, high: DVec3) -> Shape {
    let mesh = block(low.as_vec3(), high.as_vec3());
    Shape {
        points: mesh.positions().iter().map(|p| p.as_dvec3()).collect(),
        faces: mesh.triangles().to_vec(),
    }
}
