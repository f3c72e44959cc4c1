//! Fewer triangles, by meshoptimizer (quadric error metrics with attributes).

use super::Focus;
use super::deviation::{Measured, deviation};
use crate::mesh::{Mesh, area_mm2, vertex_normals};
use crate::space::Tree;
use glam::Vec3;
use rayon::prelude::*;

/// A reduced mesh.
#[derive(Debug, Clone)]
pub struct Reduced {
    /// The reduced mesh, colours in its vertices.
    pub mesh: Mesh,
    /// The full mesh's unit normals at the vertices that were kept: they carry relief that the
    /// fewer triangles no longer have.
    pub normals: Vec<Vec3>,
}

/// Weight of a colour difference of black to white, as a share of the object's size: colour edges
/// matter, shape matters more.
const COLOUR_WEIGHT: f32 = 0.02;
/// Inside a detail a distance counts this many times as much as elsewhere.
const FOCUS_WEIGHT: f32 = 4.0;
/// The weight fades out over this share of the radius, so that no edge shows.
const FADE: f64 = 0.3;
/// Attempts at a tolerance, each stricter than the last.
const ATTEMPTS: usize = 5;
/// A vertex further off than this many times the mean is held fast.
const OUTLIER: f64 = 6.0;
/// Rounds of holding vertices fast.
const ROUNDS: usize = 2;
/// One vertex in so many is looked at.
const LOOKED_AT: usize = 4;
/// At most this share of the budget goes to vertices that are held fast.
const HELD: f64 = 0.02;

/// Reduces a mesh to about this many triangles, keeping more of them where the visitors look:
/// fewer if there are fewer, sometimes some more, when no edge can go without tearing a border.
pub fn simplify(mesh: &Mesh, triangles: usize, focuses: &[Focus]) -> Reduced {
    let reducer = Reducer::new(mesh, focuses, triangles);
    reducer.reduced(&reducer.to_budget(triangles))
}

/// Reduces a mesh to as few triangles as stay within this distance of it, millimetres, by the
/// bound that is measured. When that cannot be had, it is left as it is.
pub fn simplify_within(
    mesh: &Mesh,
    tree: &Tree,
    most_mm: f64,
    focuses: &[Focus],
) -> (Reduced, Measured) {
    let reducer = Reducer::new(mesh, focuses, mesh.triangles().len() / 8);
    let free = vec![false; mesh.positions().len()];
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a tolerance in single precision"
    )]
    let mut stop = most_mm as f32;
    for _ in 0..ATTEMPTS {
        let kept = reducer.run(&free, 0, stop);
        let found = reducer.reduced(&kept);
        let measured = deviation(mesh, tree, &found.mesh, focuses);
        let strays = measured.whole.max_mm;
        if strays <= most_mm {
            return (found, measured);
        }
        // The reducer counts a mean over the surface, so its own limit says little of the
        // maximum: tighten it by as much as was missed.
        #[expect(clippy::cast_possible_truncation, reason = "a ratio below one")]
        let tighter = (0.9 * most_mm / strays) as f32;
        stop *= tighter;
    }
    let found = reducer.reduced(mesh.triangles());
    let measured = deviation(mesh, tree, &found.mesh, focuses);
    (found, measured)
}

/// The full mesh as the library wants it.
struct Reducer<'a> {
    mesh: &'a Mesh,
    colours: Option<Vec<[u8; 4]>>,
    bytes: Vec<u8>,
    attributes: Vec<f32>,
    weights: Vec<f32>,
}

impl<'a> Reducer<'a> {
    /// `expected` is about how many triangles will be left.
    fn new(mesh: &'a Mesh, focuses: &[Focus], expected: usize) -> Self {
        let colours = mesh.vertex_colours();
        let flat = mesh.positions().iter().flat_map(|p| p.to_array());
        let (mut attributes, mut weights) = (Vec::new(), Vec::new());
        if colours.is_some() {
            weights.extend([COLOUR_WEIGHT; 3]);
        }
        if !focuses.is_empty() {
            weights.extend([1.0; 3]);
        }
        let bounds = mesh.bounds();
        let (origin, size) = bounds.map_or((Vec3::ZERO, 1.0), |b| {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "single precision, as the mesh"
            )]
            let size = b.size().max_element() as f32;
            (b.centre().as_vec3(), size.max(f32::MIN_POSITIVE))
        });
        let strength = focus_strength(mesh, size, expected);
        for (i, p) in mesh.positions().iter().enumerate() {
            if let Some(colours) = &colours {
                let [r, g, b, _] = colours[i];
                attributes.extend([r, g, b].map(|c| f32::from(c) / 255.0));
            }
            if !focuses.is_empty() {
                // The position once more, as an attribute: an attribute that is linear over a
                // triangle costs just the distance from its plane, times its weight.
                let weight = strength * focus_share(*p, focuses);
                attributes.extend(((*p - origin) / size * weight).to_array());
            }
        }
        Self {
            bytes: flat.flat_map(f32::to_ne_bytes).collect(),
            mesh,
            colours,
            attributes,
            weights,
        }
    }

    /// A needle or a thin flap costs the library no more than its thickness, however far it sticks
    /// out, since a tip may slide along its own sides. What was lost so is looked for, its furthest
    /// points are held fast, and the mesh is reduced again.
    fn to_budget(&self, budget: usize) -> Vec<[u32; 3]> {
        let mut locks = vec![false; self.mesh.positions().len()];
        let mut reduced = self.run(&locks, budget, f32::MAX);
        for _ in 0..ROUNDS {
            let lost = self.outliers(&reduced, budget);
            if lost.is_empty() {
                break;
            }
            // A vertex alone can lose all its triangles when its neighbours fall together, so a
            // whole triangle is held.
            for triangle in self.mesh.triangles() {
                if triangle.iter().any(|i| lost.binary_search(i).is_ok()) {
                    for i in triangle {
                        locks[*i as usize] = true;
                    }
                }
            }
            reduced = self.run(&locks, budget, f32::MAX);
        }
        reduced
    }

    /// Vertices that lie far from the reduced surface, the furthest first, no two of them nearer to
    /// one another than the first to the surface; in ascending order.
    fn outliers(&self, reduced: &[[u32; 3]], budget: usize) -> Vec<u32> {
        let Ok(surface) = Mesh::new(self.mesh.positions().to_vec(), reduced.to_vec()) else {
            return Vec::new();
        };
        let tree = Tree::build(&surface);
        // Whatever is worth keeping has several vertices.
        let count = u32::try_from(self.mesh.positions().len()).unwrap_or(u32::MAX);
        let used = (0..count).into_par_iter().step_by(LOOKED_AT);
        let place = |i: u32| self.mesh.positions()[i as usize].as_dvec3();
        let mut far: Vec<(f64, u32)> = used
            .filter_map(|i| Some((tree.closest(place(i))?.distance_mm, i)))
            .collect();
        #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
        let mean = far.iter().map(|f| f.0).sum::<f64>() / far.len().max(1) as f64;
        far.retain(|f| f.0 > OUTLIER * mean);
        far.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a share of a count"
        )]
        let most = (budget as f64 * HELD) as usize;
        let mut held: Vec<u32> = Vec::new();
        for (distance, vertex) in far {
            if held.len() >= most {
                break;
            }
            let here = place(vertex);
            if held
                .iter()
                .all(|&other| place(other).distance(here) > distance)
            {
                held.push(vertex);
            }
        }
        held.sort_unstable();
        held
    }

    /// Triangles over the full mesh's vertices. `stop_mm` is a limit on the library's own measure.
    fn run(&self, locks: &[bool], budget: usize, stop_mm: f32) -> Vec<[u32; 3]> {
        let triangles = self.mesh.triangles();
        if triangles.len() <= budget {
            return triangles.to_vec();
        }
        // The stride is 12 and the data a whole number of vertices, so the adapter cannot refuse.
        let Ok(vertices) = meshopt::VertexDataAdapter::new(&self.bytes, 12, 0) else {
            return triangles.to_vec();
        };
        let kept = meshopt::simplify_with_attributes_and_locks(
            triangles.as_flattened(),
            &vertices,
            &self.attributes,
            &self.weights,
            self.weights.len() * size_of::<f32>(),
            locks,
            budget * 3,
            stop_mm,
            meshopt::SimplifyOptions::ErrorAbsolute,
            None,
        );
        kept.as_chunks().0.to_vec()
    }

    fn reduced(&self, triangles: &[[u32; 3]]) -> Reduced {
        let (mesh, normals) = compact(self.mesh, self.colours.as_deref(), triangles);
        Reduced { mesh, normals }
    }
}

/// How strongly an attribute must vary for a distance to count [`FOCUS_WEIGHT`] times.
///
/// The library divides the squared distance by the area around a vertex, but not the squared
/// difference of an attribute (`quadricError` in its simplifier.cpp). That area, of all triangles
/// at a vertex that stands for many, is some six times the area of a triangle that will be left.
fn focus_strength(mesh: &Mesh, size: f32, expected: usize) -> f32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_precision_loss,
        reason = "a weight"
    )]
    let area = (area_mm2(mesh) / expected.max(1) as f64) as f32;
    FOCUS_WEIGHT * size / (6.0 * area.max(f32::MIN_POSITIVE)).sqrt()
}

/// One inside a detail, fading to nothing outside.
fn focus_share(p: Vec3, focuses: &[Focus]) -> f32 {
    let p = p.as_dvec3();
    let share = focuses
        .iter()
        .map(|f| 1.0 - (p.distance(f.centre) / f.radius_mm.max(f64::MIN_POSITIVE) - 1.0) / FADE)
        .fold(0.0, f64::max)
        .clamp(0.0, 1.0);
    #[expect(clippy::cast_possible_truncation, reason = "between 0 and 1")]
    let share = share as f32;
    share
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
