//! Inside or outside: the sign of a distance, and whether it was taken to the rim of a hole.

use super::{Closest, Tree};
use crate::mesh::{Mesh, Welded, weld};
use glam::DVec3;
use rayon::prelude::*;

/// A weight below this puts a point on an edge or a corner.
const ON: f64 = 1e-12;
/// No triangle lies on the other side of an edge.
const NOTHING: u32 = u32::MAX;

/// Outward directions at faces, edges and corners, such that the sign of a distance is right
/// wherever the nearest point lies (Bærentzen and Aanæs, "Signed distance computation using the
/// angle weighted pseudonormal", IEEE TVCG 11, 2005). On a surface with openings the sign is that
/// of the nearest side of the surface, which is not the same as inside; [`Sides::at_rim`] tells.
pub struct Sides {
    welded: Welded,
    /// Unit normal of each triangle, or zero.
    faces: Vec<DVec3>,
    /// Sum of the normals around each corner, weighted by the angles there.
    corners: Vec<DVec3>,
    /// For each triangle, its neighbours across the edges opposite its corners.
    across: Vec<[u32; 3]>,
    /// Whether a corner lies on the rim of an opening.
    rim: Vec<bool>,
}

impl std::fmt::Debug for Sides {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Sides of {} triangles", self.faces.len())
    }
}

/// The surface seen from a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Signed {
    /// The nearest point of the surface, and its triangle.
    pub closest: Closest,
    /// Distance, millimetres, negative inside.
    pub distance_mm: f64,
    /// Whether the nearest point lies on the rim of an opening: then the surface may go on where
    /// it was not captured, and the distance says nothing.
    pub at_rim: bool,
}

impl Sides {
    /// Works out the directions of a mesh.
    pub fn of(mesh: &Mesh) -> Self {
        let welded = weld(mesh);
        let at = |i: u32| welded.places[i as usize].as_dvec3();
        let faces: Vec<DVec3> = welded
            .triangles
            .par_iter()
            .map(|t| {
                let [a, b, c] = t.map(at);
                (b - a).cross(c - a).normalize_or_zero()
            })
            .collect();
        let mut corners = vec![DVec3::ZERO; welded.places.len()];
        for (triangle, normal) in welded.triangles.iter().zip(&faces) {
            let p = triangle.map(at);
            for k in 0..3 {
                let (to_next, to_last) = (p[(k + 1) % 3] - p[k], p[(k + 2) % 3] - p[k]);
                let angle = to_next.cross(to_last).length().atan2(to_next.dot(to_last));
                corners[triangle[k] as usize] += *normal * angle;
            }
        }
        let (across, rim) = neighbours(&welded);
        Self {
            welded,
            faces,
            corners,
            across,
            rim,
        }
    }

    /// The mesh's connections.
    pub fn welded(&self) -> &Welded {
        &self.welded
    }

    /// Unit normal at a place of the welded mesh; zero where the surface has no side.
    pub fn normal(&self, place: u32) -> DVec3 {
        self.corners[place as usize].normalize_or_zero()
    }

    /// The triangles across the three edges of a triangle, first that opposite its first corner.
    pub fn across(&self, face: u32) -> [Option<u32>; 3] {
        self.across[face as usize].map(|f| (f != NOTHING).then_some(f))
    }

    /// Corners whose weight is not zero: one, two or three.
    fn held(at: &Closest) -> ([usize; 3], usize) {
        let (mut held, mut count) = ([0; 3], 0);
        for k in 0..3 {
            if at.barycentric[k] > ON {
                held[count] = k;
                count += 1;
            }
        }
        (held, count)
    }

    /// The outward direction at the nearest point; its length has no meaning.
    fn outward(&self, at: &Closest) -> DVec3 {
        let face = at.face as usize;
        match Self::held(at) {
            ([k, ..], 1) => self.corners[self.welded.triangles[face][k] as usize],
            ([a, b, _], 2) => match self.across[face][3 - a - b] {
                NOTHING => at.normal,
                other => at.normal + self.faces[other as usize],
            },
            _ => at.normal,
        }
    }

    /// Whether the nearest point lies on the rim of an opening.
    pub fn at_rim(&self, at: &Closest) -> bool {
        let face = at.face as usize;
        match Self::held(at) {
            ([k, ..], 1) => self.rim[self.welded.triangles[face][k] as usize],
            ([a, b, _], 2) => {
                let ends = [a, b].map(|k| self.rim[self.welded.triangles[face][k] as usize]);
                ends == [true; 2] && self.across[face][3 - a - b] == NOTHING
            }
            _ => false,
        }
    }

    /// Puts the sign to a nearest point.
    pub fn signed(&self, point: DVec3, closest: Closest) -> Signed {
        let inside = (point - closest.point).dot(self.outward(&closest)) < 0.0;
        let distance_mm = if inside {
            -closest.distance_mm
        } else {
            closest.distance_mm
        };
        Signed {
            at_rim: self.at_rim(&closest),
            closest,
            distance_mm,
        }
    }

    /// Distance to the surface, millimetres, negative inside. `None` when `point` is not finite.
    pub fn distance_mm(&self, tree: &Tree, point: DVec3) -> Option<f64> {
        Some(self.signed(point, tree.closest(point)?).distance_mm)
    }
}

/// Neighbours across each edge, and the corners on a rim. Where three or more triangles meet at an
/// edge, each has the next of them for its neighbour.
fn neighbours(welded: &Welded) -> (Vec<[u32; 3]>, Vec<bool>) {
    // By the lower end of each edge first: a handful of sides to sort at each corner.
    let all = || {
        let triangles = (0u32..).zip(&welded.triangles);
        triangles.flat_map(|(face, t)| {
            (0..3u8).filter_map(move |k| {
                let [a, b] = [t[(k as usize + 1) % 3], t[(k as usize + 2) % 3]];
                // A triangle with two corners in one place joins nothing.
                let whole = a != b && t[k as usize] != a && t[k as usize] != b;
                whole.then(|| (a.min(b) as usize, (a.max(b), face, k)))
            })
        })
    };
    let mut next = vec![0usize; welded.places.len() + 1];
    for (low, _) in all() {
        next[low + 1] += 1;
    }
    for i in 0..welded.places.len() {
        next[i + 1] += next[i];
    }
    let mut sides = vec![(0u32, 0u32, 0u8); next[welded.places.len()]];
    for (low, side) in all() {
        sides[next[low]] = side;
        next[low] += 1;
    }
    let mut across = vec![[NOTHING; 3]; welded.triangles.len()];
    let mut rim = vec![false; welded.places.len()];
    let mut first = 0;
    for (low, end) in next.into_iter().take(welded.places.len()).enumerate() {
        let own = &mut sides[first..end];
        first = end;
        own.sort_unstable();
        for edge in own.chunk_by(|a, b| a.0 == b.0) {
            if let [(high, _, _)] = edge {
                rim[low] = true;
                rim[*high as usize] = true;
                continue;
            }
            for (i, (_, face, k)) in edge.iter().enumerate() {
                across[*face as usize][*k as usize] = edge[(i + 1) % edge.len()].1;
            }
        }
    }
    (across, rim)
}
