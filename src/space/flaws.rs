//! Flaws of a surface that need a search: doubled skins and crossings.

use super::tree::Tree;
use super::triangle::ray_triangle;
use crate::mesh::{Mesh, Sets, Spot, weld};
use glam::DVec3;
use rayon::prelude::*;

/// Skins further apart than this many mean edges are two surfaces, not one that was scanned twice.
const REACH_EDGES: f64 = 4.0;
/// Cosine of the widest angle between normals that are alike: 45 degrees.
const ALIKE: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// Fewer triangles than this are noise, not a patch.
const FEWEST: usize = 24;

/// Two patches that lie on one another with like normals: the mark of a surface that was scanned
/// in pieces and laid over itself. On the boundary of a solid this cannot be, since between two
/// faces that look the same way there is one that looks the other way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubled {
    /// Ball around both patches.
    pub spot: Spot,
    /// Triangles of both.
    pub triangles: usize,
    /// Area of both, square millimetres.
    pub area_mm2: f64,
    /// Mean distance between them, millimetres.
    pub apart_mm: f64,
}

/// Triangles that pass through one another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Ball around them.
    pub spot: Spot,
    /// How many.
    pub triangles: usize,
}

/// A mesh with its tree and connections, ready for the search.
struct Search<'a> {
    mesh: &'a Mesh,
    tree: &'a Tree,
    places: Vec<[u32; 3]>,
}

impl Search<'_> {
    fn neighbours(&self, a: u32, b: u32) -> bool {
        let (a, b) = (self.places[a as usize], self.places[b as usize]);
        a.iter().any(|i| b.contains(i))
    }

    /// Faces, grouped: those of `pairs` belong together, and those that share a corner.
    fn groups(&self, pairs: &[(u32, u32)]) -> Vec<Vec<u32>> {
        let mut faces: Vec<u32> = pairs.iter().flat_map(|&(a, b)| [a, b]).collect();
        faces.sort_unstable();
        faces.dedup();
        // A face is known by its first corner's place; corners are the members of the sets.
        let most = self
            .places
            .iter()
            .flatten()
            .max()
            .map_or(0, |m| *m as usize + 1);
        let mut sets = Sets::new(most);
        for &face in &faces {
            let [a, b, c] = self.places[face as usize];
            sets.join(a, b);
            sets.join(b, c);
        }
        for &(a, b) in pairs {
            sets.join(self.places[a as usize][0], self.places[b as usize][0]);
        }
        let mut keyed: Vec<(u32, u32)> = faces
            .into_iter()
            .map(|f| (sets.find(self.places[f as usize][0]), f))
            .collect();
        keyed.sort_unstable();
        keyed
            .chunk_by(|a, b| a.0 == b.0)
            .map(|group| group.iter().map(|(_, f)| *f).collect())
            .collect()
    }

    fn spot(&self, faces: &[u32]) -> Spot {
        Spot::around(faces.iter().flat_map(|&f| self.mesh.corners(f)))
    }
}

fn search<'a>(mesh: &'a Mesh, tree: &'a Tree) -> Search<'a> {
    Search {
        mesh,
        tree,
        places: weld(mesh).triangles,
    }
}

fn area_mm2(mesh: &Mesh, face: u32) -> f64 {
    let [a, b, c] = mesh.corners(face);
    (b - a).cross(c - a).length() / 2.0
}

/// Doubled skins, the largest first. `mean_edge_mm` is that of the mesh.
pub fn doubled_skins(mesh: &Mesh, tree: &Tree, mean_edge_mm: f64) -> Vec<Doubled> {
    let reach = mean_edge_mm * REACH_EDGES;
    let all = search(mesh, tree);
    let count = mesh.triangles().len();
    let found: Vec<(u32, u32, f64)> = (0u32..u32::try_from(count).unwrap_or(u32::MAX))
        .into_par_iter()
        .flat_map_iter(|face| {
            let [a, b, c] = mesh.corners(face);
            let normal = (b - a).cross(c - a).normalize_or_zero();
            let middle = (a + b + c) / 3.0;
            let all = &all;
            [normal, -normal].into_iter().filter_map(move |way| {
                let hit = all
                    .tree
                    .ray_past(middle, way, reach, |other| other == face)?;
                let [a, b, c] = all.mesh.corners(hit.face);
                let other = (b - a).cross(c - a).normalize_or_zero();
                (normal.dot(other) > ALIKE).then_some((face, hit.face, hit.distance_mm))
            })
        })
        .collect();
    let pairs: Vec<(u32, u32)> = found.iter().map(|&(a, b, _)| (a, b)).collect();
    let mut apart = vec![(0.0, 0.0f64); count];
    for &(face, _, distance) in &found {
        apart[face as usize].0 += distance;
        apart[face as usize].1 += 1.0;
    }
    let mut patches: Vec<Doubled> = all
        .groups(&pairs)
        .into_iter()
        .filter(|faces| faces.len() >= FEWEST)
        .map(|faces| {
            let (sum, n) = faces.iter().fold((0.0, 0.0f64), |(s, n), &f| {
                let (more, count) = apart[f as usize];
                (s + more, n + count)
            });
            Doubled {
                spot: all.spot(&faces),
                triangles: faces.len(),
                area_mm2: faces.iter().map(|&f| area_mm2(mesh, f)).sum(),
                apart_mm: sum / n.max(1.0),
            }
        })
        .collect();
    patches.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    patches
}

/// Places where the surface passes through itself, the largest first. Triangles that share a
/// corner are not tested against one another.
pub fn crossings(mesh: &Mesh, tree: &Tree) -> Vec<Crossing> {
    let all = search(mesh, tree);
    let count = u32::try_from(mesh.triangles().len()).unwrap_or(u32::MAX);
    let pairs: Vec<(u32, u32)> = (0..count)
        .into_par_iter()
        .flat_map_iter(|face| {
            let corners = mesh.corners(face);
            let mut met = Vec::new();
            tree.near_box(corners, |other| {
                if other > face
                    && !all.neighbours(face, other)
                    && pass_through(corners, mesh.corners(other))
                {
                    met.push((face, other));
                }
            });
            met
        })
        .collect();
    let mut found: Vec<Crossing> = all
        .groups(&pairs)
        .into_iter()
        .map(|faces| Crossing {
            spot: all.spot(&faces),
            triangles: faces.len(),
        })
        .collect();
    found.sort_by_key(|c| std::cmp::Reverse(c.triangles));
    found
}

/// Whether an edge of one passes through the other. Triangles in one plane do not count.
fn pass_through(one: [DVec3; 3], other: [DVec3; 3]) -> bool {
    let apart = |[a, b, c]: [DVec3; 3], t: [DVec3; 3]| {
        let normal = (b - a).cross(c - a);
        let side = t.map(|p| normal.dot(p - a));
        side.iter().all(|s| *s >= 0.0) || side.iter().all(|s| *s <= 0.0)
    };
    if apart(one, other) || apart(other, one) {
        return false;
    }
    let meets = |edges: [DVec3; 3], face: [DVec3; 3]| {
        (0..3).any(|k| {
            let (from, to) = (edges[k], edges[(k + 1) % 3]);
            ray_triangle(from, to - from, face).is_some_and(|(t, _)| t <= 1.0)
        })
    };
    meets(one, other) || meets(other, one)
}
