//! Inside or outside: the sign of a distance.

use super::{Closest, Tree};
use crate::mesh::{Mesh, weld};
use glam::DVec3;
use std::collections::BTreeMap;

/// A weight below this puts a point on an edge or a corner.
const ON: f64 = 1e-12;

/// Outward directions at faces, edges and corners, such that the sign of a distance is right
/// wherever the nearest point lies (Bærentzen and Aanæs, "Signed distance computation using the
/// angle weighted pseudonormal", IEEE TVCG 11, 2005). On a surface with openings the sign is that
/// of the nearest side of the surface, which is not the same as inside.
pub struct Sides {
    corners: Vec<DVec3>,
    /// For each triangle, the edges opposite its corners: first 1–2, then 2–0, then 0–1.
    edges: Vec<[DVec3; 3]>,
    triangles: Vec<[u32; 3]>,
}

impl std::fmt::Debug for Sides {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Sides of {} triangles", self.triangles.len())
    }
}

impl Sides {
    /// Works out the directions of a mesh.
    pub fn of(mesh: &Mesh) -> Self {
        let welded = weld(mesh);
        let mut corners = vec![DVec3::ZERO; welded.places.len()];
        let mut at_edge: BTreeMap<(u32, u32), DVec3> = BTreeMap::new();
        let ends = |t: &[u32; 3], k: usize| {
            let (a, b) = (t[(k + 1) % 3], t[(k + 2) % 3]);
            (a.min(b), a.max(b))
        };
        for triangle in &welded.triangles {
            let p = triangle.map(|i| welded.places[i as usize].as_dvec3());
            let normal = (p[1] - p[0]).cross(p[2] - p[0]).normalize_or_zero();
            for k in 0..3 {
                let (to_next, to_last) = (p[(k + 1) % 3] - p[k], p[(k + 2) % 3] - p[k]);
                let angle = to_next.cross(to_last).length().atan2(to_next.dot(to_last));
                corners[triangle[k] as usize] += normal * angle;
                *at_edge.entry(ends(triangle, k)).or_default() += normal;
            }
        }
        let edges = welded
            .triangles
            .iter()
            .map(|t| [0, 1, 2].map(|k| at_edge.get(&ends(t, k)).copied().unwrap_or_default()))
            .collect();
        Self {
            corners,
            edges,
            triangles: welded.triangles,
        }
    }

    /// The outward direction at the nearest point; its length has no meaning.
    fn outward(&self, at: &Closest) -> DVec3 {
        let face = at.face as usize;
        let far: Vec<usize> = (0..3).filter(|&k| at.barycentric[k] > ON).collect();
        match far.as_slice() {
            [corner] => self.corners[self.triangles[face][*corner] as usize],
            [a, b] => self.edges[face][3 - a - b],
            _ => at.normal,
        }
    }

    /// Distance to the surface, millimetres, negative inside. `None` when `point` is not finite.
    pub fn distance_mm(&self, tree: &Tree, point: DVec3) -> Option<f64> {
        let at = tree.closest(point)?;
        let inside = (point - at.point).dot(self.outward(&at)) < 0.0;
        Some(if inside {
            -at.distance_mm
        } else {
            at.distance_mm
        })
    }
}
