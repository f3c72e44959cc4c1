//! Fewer triangles, and by how much the result strays.
//!
//! The reduction is meshoptimizer's (quadric error metrics with attributes); the deviation is
//! measured afterwards by code that shares nothing with it.

use super::{Mesh, vertex_normals};
use crate::space::Tree;
use glam::{DVec3, Vec3};
use rayon::prelude::*;

/// How far two surfaces are from one another, sampled from both sides.
///
/// Sampled values are lower bounds of the true ones: between the samples a surface may stray
/// further.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviation {
    /// Largest distance found, millimetres (a sampled Hausdorff distance).
    pub max_mm: f64,
    /// Root mean square, millimetres.
    pub rms_mm: f64,
    /// 95th percentile, millimetres.
    pub p95_mm: f64,
    /// Points measured.
    pub samples: usize,
}

impl Deviation {
    /// Of two pieces taken together: maximum and 95th percentile are the larger ones (for the
    /// percentile an upper bound), the mean square is weighted by the samples.
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
        let (a, b) = (self.samples as f64, other.samples as f64);
        let mean_square = (self.rms_mm.powi(2) * a + other.rms_mm.powi(2) * b) / (a + b).max(1.0);
        Self {
            max_mm: self.max_mm.max(other.max_mm),
            rms_mm: mean_square.sqrt(),
            p95_mm: self.p95_mm.max(other.p95_mm),
            samples: self.samples + other.samples,
        }
    }
}

/// A reduced mesh and its deviation from the one it came from.
#[derive(Debug, Clone)]
pub struct Simplified {
    /// The reduced mesh, colours in its vertices.
    pub mesh: Mesh,
    /// The full mesh's unit normals at the vertices that were kept: they carry relief that the
    /// fewer triangles no longer have.
    pub normals: Vec<Vec3>,
    /// Measured both ways.
    pub deviation: Deviation,
}

/// Weight of a colour difference of black to white, as a share of the object's size: colour edges
/// matter, shape matters more.
const COLOUR_WEIGHT: f32 = 0.02;

/// Reduces a mesh to about this many triangles (fewer if it has fewer; sometimes a few more, when
/// no edge can go without tearing a border).
pub fn simplify(mesh: &Mesh, budget_triangles: usize) -> Simplified {
    let colours = mesh.vertex_colours();
    let reduced = if mesh.triangles().len() <= budget_triangles {
        mesh.triangles().to_vec()
    } else {
        reduce(mesh, colours.as_deref(), budget_triangles)
    };
    let (mesh_out, normals) = compact(mesh, colours.as_deref(), &reduced);
    let deviation = deviation(mesh, &mesh_out);
    Simplified {
        mesh: mesh_out,
        normals,
        deviation,
    }
}

fn reduce(mesh: &Mesh, colours: Option<&[[u8; 4]]>, budget: usize) -> Vec<[u32; 3]> {
    let indices: Vec<u32> = mesh.triangles().iter().flatten().copied().collect();
    let flat: Vec<f32> = mesh.positions().iter().flat_map(|p| p.to_array()).collect();
    let bytes: Vec<u8> = flat.iter().flat_map(|c| c.to_ne_bytes()).collect();
    // The stride is 12 and the data a whole number of vertices, so the adapter cannot refuse.
    let Ok(vertices) = meshopt::VertexDataAdapter::new(&bytes, 12, 0) else {
        return mesh.triangles().to_vec();
    };
    let attributes: Vec<f32> = match colours {
        Some(colours) => colours
            .iter()
            .flat_map(|c| [c[0], c[1], c[2]].map(|v| f32::from(v) / 255.0))
            .collect(),
        None => vec![0.0; mesh.positions().len() * 3],
    };
    let locks = vec![false; mesh.positions().len()];
    let kept = meshopt::simplify_with_attributes_and_locks(
        &indices,
        &vertices,
        &attributes,
        &[COLOUR_WEIGHT; 3],
        12,
        &locks,
        budget * 3,
        f32::MAX,
        meshopt::SimplifyOptions::None,
        None,
    );
    kept.as_chunks().0.to_vec()
}

/// Only the vertices that are still used, in the order of their first use.
fn compact(mesh: &Mesh, colours: Option<&[[u8; 4]]>, triangles: &[[u32; 3]]) -> (Mesh, Vec<Vec3>) {
    let all_normals = vertex_normals(mesh);
    let mut normals = Vec::new();
    const UNUSED: u32 = u32::MAX;
    let mut renamed = vec![UNUSED; mesh.positions().len()];
    let mut positions = Vec::new();
    let mut kept_colours = Vec::new();
    let mut out = Vec::with_capacity(triangles.len());
    for triangle in triangles {
        out.push(triangle.map(|old| {
            let slot = &mut renamed[old as usize];
            if *slot == UNUSED {
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "no more vertices than before, which were u32"
                )]
                let new = positions.len() as u32;
                *slot = new;
                positions.push(mesh.positions()[old as usize]);
                normals.push(all_normals[old as usize]);
                kept_colours.extend(colours.map(|c| c[old as usize]));
            }
            *slot
        }));
    }
    let whole = Mesh::new(positions, out).and_then(|m| {
        if colours.is_some() {
            m.with_colours(kept_colours)
        } else {
            Ok(m)
        }
    });
    // The indices were made just above and the positions come from a checked mesh.
    match whole {
        Ok(reduced) => (reduced, normals),
        Err(_) => (mesh.clone(), all_normals),
    }
}

/// Two-sided: every vertex of each, and points spread over the triangles of each.
fn deviation(a: &Mesh, b: &Mesh) -> Deviation {
    let (tree_a, tree_b) = (Tree::build(a), Tree::build(b));
    let mut distances = distances(&spread(a), &tree_b);
    distances.extend(self::distances(&spread(b), &tree_a));
    distances.sort_by(f64::total_cmp);
    let samples = distances.len();
    #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
    let mean_square = distances.iter().map(|d| d * d).sum::<f64>() / samples.max(1) as f64;
    Deviation {
        max_mm: distances.last().copied().unwrap_or(0.0),
        rms_mm: mean_square.sqrt(),
        p95_mm: distances.get(samples * 95 / 100).copied().unwrap_or(0.0),
        samples,
    }
}

fn distances(points: &[DVec3], tree: &Tree) -> Vec<f64> {
    points
        .par_iter()
        .filter_map(|p| tree.closest(*p).map(|c| c.distance_mm))
        .collect()
}

/// Corners, middles of edges and the middle of every triangle.
fn spread(mesh: &Mesh) -> Vec<DVec3> {
    let mut points: Vec<DVec3> = mesh.positions().iter().map(|p| p.as_dvec3()).collect();
    for face in (0u32..).take(mesh.triangles().len()) {
        let [a, b, c] = mesh.corners(face);
        points.extend([
            (a + b + c) / 3.0,
            (a + b) / 2.0,
            (b + c) / 2.0,
            (c + a) / 2.0,
        ]);
    }
    points
}
