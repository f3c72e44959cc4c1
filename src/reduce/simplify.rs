//! Fewer triangles, by meshoptimizer (quadric error metrics with attributes).

use super::blocks::cut;
use super::deviation::{Measured, deviation};
use super::tips::tips;
use super::{Focus, share};
use crate::mesh::{Mesh, area_mm2, weld};
use crate::space::Tree;
use glam::Vec3;
use rayon::prelude::*;

/// Weight of a colour difference of black to white, as a share of the object's size: colour edges
/// matter, shape matters more.
const COLOUR_WEIGHT: f32 = 0.02;
/// Inside a detail a distance counts this many times more than elsewhere. Where details cover much of
/// a small budget's surface, more only makes all the rest worse.
const FOCUS_WEIGHT: f32 = 1.5;
/// The weight fades out over this share of the radius, so that no edge shows.
const FADE: f64 = 0.3;
/// Attempts at a tolerance, each stricter than the last.
const ATTEMPTS: usize = 5;
/// At most this share of the budget goes to tips that are held fast.
const HELD: f64 = 0.02;
/// Side of the cubes that hold one tip each, as a share of the width of a triangle that will be left.
const TIPS_APART: f32 = 0.5;
/// In blocks a large mesh is reduced to twice the triangles that are wanted, and to no fewer than
/// this: what the borders hold fast must not tell.
const HALFWAY: usize = 150_000;
/// A round in blocks that leaves more than this share is the last.
const STUCK: f64 = 0.9;
/// For the same reason one round in blocks leaves this share at least, and the next cuts elsewhere.
const STEP: f64 = 0.17;

/// Reduces a mesh to about this many triangles, keeping more of them where the visitors look:
/// fewer if there are fewer, sometimes some more, when no edge can go without tearing a border.
/// Colours are in its vertices.
pub fn simplify(mesh: &Mesh, triangles: usize, focuses: &[Focus]) -> Mesh {
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
) -> (Mesh, Measured) {
    let reducer = Reducer::new(mesh, focuses, mesh.triangles().len() / 8);
    let free = vec![false; mesh.positions().len()];
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a tolerance in single precision"
    )]
    let mut stop = most_mm as f32;
    for _ in 0..ATTEMPTS {
        let kept = reducer.run(mesh.triangles(), &free, 0, stop);
        let found = reducer.reduced(&kept);
        let measured = deviation(mesh, tree, &found, focuses);
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
    let measured = deviation(mesh, tree, &found, focuses);
    (found, measured)
}

/// The full mesh as the library wants it.
struct Reducer<'a> {
    mesh: &'a Mesh,
    colours: Option<Vec<[u8; 4]>>,
    attributes: Vec<f32>,
    weights: Vec<f32>,
}

impl<'a> Reducer<'a> {
    /// `expected` is about how many triangles will be left.
    fn new(mesh: &'a Mesh, focuses: &[Focus], expected: usize) -> Self {
        let colours = mesh.vertex_colours();
        let (mut attributes, mut weights) = (Vec::new(), Vec::new());
        if colours.is_some() {
            weights.extend([COLOUR_WEIGHT; 3]);
        }
        if !focuses.is_empty() {
            weights.extend([1.0; 3]);
        }
        let bounds = mesh.bounds();
        let size = bounds.map_or(1.0, |b| {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "single precision, as the mesh"
            )]
            let size = b.size().max_element() as f32;
            size.max(f32::MIN_POSITIVE)
        });
        let strength = focus_strength(mesh, size, expected);
        for (i, p) in mesh.positions().iter().enumerate() {
            if let Some(colours) = &colours {
                let [r, g, b, _] = colours[i];
                attributes.extend([r, g, b].map(|c| f32::from(c) / 255.0));
            }
            if !focuses.is_empty() {
                // The position once more, as an attribute: an attribute that is linear over a
                // triangle costs just the distance from its plane, times its weight. It is taken
                // from the detail's own middle, so that the fading costs little.
                attributes.extend((focused(*p, focuses) / size * strength).to_array());
            }
        }
        Self {
            mesh,
            colours,
            attributes,
            weights,
        }
    }

    fn to_budget(&self, budget: usize) -> Vec<[u32; 3]> {
        let welded = weld(self.mesh);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_precision_loss,
            reason = "about a length"
        )]
        let side_mm = (area_mm2(self.mesh) / budget.max(1) as f64).sqrt() as f32;
        let side_mm = (TIPS_APART * side_mm).max(f32::MIN_POSITIVE);
        let held = tips(self.mesh, &welded, share(budget, HELD), side_mm);
        let by_vertex = |by_place: &dyn Fn(usize) -> bool| -> Vec<bool> {
            let places = welded.place_of.iter();
            places.map(|p| by_place(*p as usize)).collect()
        };
        let tips = by_vertex(&|p| held[p]);
        let halfway = budget.saturating_mul(2).max(HALFWAY);
        let mut now = self.mesh.triangles().to_vec();
        for first in [0.5, 0.41].into_iter().cycle() {
            if now.len() < halfway.saturating_mul(2) {
                break;
            }
            let blocks = cut(self.mesh, &now, &welded, first);
            let locks = by_vertex(&|p| held[p] || blocks.shared[p]);
            #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
            let ratio = (halfway as f64 / now.len() as f64).max(STEP);
            let kept: Vec<Vec<[u32; 3]>> = blocks
                .triangles
                .par_iter()
                .map(|block| self.run(block, &locks, share(block.len(), ratio), f32::MAX))
                .collect();
            let fewer = kept.concat();
            // Where little can go, another round would do no better.
            let stuck = fewer.len() > share(now.len(), STUCK);
            now = fewer;
            if stuck {
                break;
            }
        }
        self.run(&now, &tips, budget, f32::MAX)
    }

    /// Fewer of these triangles over the full mesh's vertices. `stop_mm` is a limit on the library's
    /// own measure.
    fn run(
        &self,
        triangles: &[[u32; 3]],
        locks: &[bool],
        budget: usize,
        stop_mm: f32,
    ) -> Vec<[u32; 3]> {
        if triangles.len() <= budget {
            return triangles.to_vec();
        }
        let mut used: Vec<u32> = triangles.as_flattened().to_vec();
        used.sort_unstable();
        used.dedup();
        let local = |i: &u32| {
            #[expect(clippy::cast_possible_truncation, reason = "a place in a list of u32")]
            let place = used.binary_search(i).unwrap_or(0) as u32;
            place
        };
        let indices: Vec<u32> = triangles.as_flattened().iter().map(local).collect();
        let places = used.iter().map(|i| self.mesh.positions()[*i as usize]);
        let bytes: Vec<u8> = places
            .flat_map(|p| p.to_array())
            .flat_map(f32::to_ne_bytes)
            .collect();
        let width = self.weights.len();
        let attributes: Vec<f32> = used
            .iter()
            .flat_map(|i| &self.attributes[*i as usize * width..][..width])
            .copied()
            .collect();
        let locks: Vec<bool> = used.iter().map(|i| locks[*i as usize]).collect();
        // The stride is 12 and the data a whole number of vertices, so the adapter cannot refuse.
        let Ok(vertices) = meshopt::VertexDataAdapter::new(&bytes, 12, 0) else {
            return triangles.to_vec();
        };
        let kept = meshopt::simplify_with_attributes_and_locks(
            &indices,
            &vertices,
            &attributes,
            &self.weights,
            width * size_of::<f32>(),
            &locks,
            budget * 3,
            stop_mm,
            meshopt::SimplifyOptions::ErrorAbsolute,
            None,
        );
        kept.as_chunks()
            .0
            .iter()
            .map(|t: &[u32; 3]| t.map(|i| used[i as usize]))
            .collect()
    }

    fn reduced(&self, triangles: &[[u32; 3]]) -> Mesh {
        compact(self.mesh, self.colours.as_deref(), triangles)
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

/// Sum over the details of the place from their middles, as it is inside, fading to nothing outside.
fn focused(p: Vec3, focuses: &[Focus]) -> Vec3 {
    let p = p.as_dvec3();
    focuses
        .iter()
        .map(|f| {
            let from = p - f.centre;
            let beyond = from.length() / f.radius_mm.max(f64::MIN_POSITIVE) - 1.0;
            from * (1.0 - beyond / FADE).clamp(0.0, 1.0)
        })
        .sum::<glam::DVec3>()
        .as_vec3()
}

/// Only the vertices that are still used, in the order of their first use.
fn compact(mesh: &Mesh, colours: Option<&[[u8; 4]]>, triangles: &[[u32; 3]]) -> Mesh {
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
    whole.unwrap_or_else(|_| mesh.clone())
}
