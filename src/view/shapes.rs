//! Shapes with closed forms, for the tests of this room.

use super::{Part, Patch, Scenery};
use crate::mesh::Mesh;
use crate::mesh::shapes::block;
use crate::space::{Sides, Tree};
use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// Corners and triangles before they become a mesh.
pub(super) struct Shape {
    points: Vec<DVec3>,
    faces: Vec<[u32; 3]>,
}

impl Shape {
    /// An upright box about a point.
    pub(super) fn block(centre: DVec3, size: DVec3) -> Self {
        let mesh = block(
            (centre - size / 2.0).as_vec3(),
            (centre + size / 2.0).as_vec3(),
        );
        Self {
            points: mesh.positions().iter().map(|p| p.as_dvec3()).collect(),
            faces: mesh.triangles().to_vec(),
        }
    }

    /// A surface of revolution about Y of these (radius, height) corners, which run so that the
    /// surface lies to the right of one who looks along them with the axis to the left.
    pub(super) fn turned(profile: &[(f64, f64)], around: u32) -> Self {
        let points = profile.iter().flat_map(|&(r, y)| {
            (0..around).map(move |k| {
                let turn = TAU * f64::from(k) / f64::from(around);
                DVec3::new(r * turn.sin(), y, r * turn.cos())
            })
        });
        let rows = u32::try_from(profile.len()).unwrap();
        let at = |row: u32, k: u32| row * around + k % around;
        let faces = (0..rows - 1).flat_map(|row| {
            (0..around).flat_map(move |k| {
                let [a, b] = [at(row, k), at(row, k + 1)];
                let [c, d] = [at(row + 1, k + 1), at(row + 1, k)];
                [[a, b, c], [a, c, d]]
            })
        });
        let points: Vec<DVec3> = points.collect();
        // At the axis a row is one point: triangles there may have no area.
        let flat = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|i| points[i as usize]);
            (b - a).cross(c - a).length() < 1e-9
        };
        let faces = faces.filter(|t| !flat(t)).collect();
        Self { points, faces }
    }

    pub(super) fn sphere(centre: DVec3, radius: f64, around: u32) -> Self {
        let arc: Vec<(f64, f64)> = (0..=around / 2)
            .map(|i| TAU * f64::from(i) / f64::from(around) - PI / 2.0)
            .map(|a| ((radius * a.cos()).max(0.0), radius * a.sin()))
            .collect();
        Self::turned(&arc, around).map(|p| p + centre)
    }

    /// A cup with a flat bottom 2 mm thick, open at the top, standing at y = 0.
    pub(super) fn cup(inner: f64, outer: f64, height: f64) -> Self {
        let profile = [
            (0.0, 0.0),
            (outer, 0.0),
            (outer, height),
            (inner, height),
            (inner, 2.0),
            (0.0, 2.0),
        ];
        Self::turned(&profile, 96)
    }

    /// This shape with the hollow of another in it.
    pub(super) fn around(mut self, hollow: Shape) -> Self {
        let base = u32::try_from(self.points.len()).unwrap();
        self.points.extend(hollow.points);
        let inward = hollow
            .faces
            .iter()
            .map(|[a, b, c]| [a + base, c + base, b + base]);
        self.faces.extend(inward);
        self
    }

    pub(super) fn map(mut self, place: impl Fn(DVec3) -> DVec3) -> Self {
        for p in &mut self.points {
            *p = place(*p);
        }
        self
    }
}

/// Parts that own what is asked of them.
pub(super) struct Body(Vec<(Mesh, Tree, Sides)>);

impl Body {
    pub(super) fn of<const N: usize>(parts: [Shape; N]) -> Self {
        let made = parts.into_iter().map(|shape| {
            let points = shape.points.iter().map(|p| p.as_vec3()).collect();
            let mesh = Mesh::new(points, shape.faces).unwrap();
            let (tree, sides) = (Tree::build(&mesh), Sides::of(&mesh));
            (mesh, tree, sides)
        });
        Self(made.collect())
    }

    pub(super) fn part(&self, number: usize) -> Part<'_> {
        let (mesh, tree, sides) = &self.0[number];
        Part { mesh, tree, sides }
    }

    pub(super) fn mesh(&self, number: usize) -> &Mesh {
        &self.0[number].0
    }

    pub(super) fn scenery(&self, own: usize) -> Scenery<'_> {
        Scenery::of((0..self.0.len()).map(|i| self.part(i)).collect(), own).unwrap()
    }

    /// A patch around the point of a part nearest to this one.
    pub(super) fn patch(&self, own: usize, near: DVec3, radius_mm: f64) -> Patch {
        let found = self.0[own].1.closest(near).unwrap();
        Patch::of(self.part(own), found.point, found.normal, radius_mm).unwrap()
    }
}
