//! A large mesh cut into blocks that are reduced side by side.
//!
//! What two blocks share is held fast, so that they fit together again. Triangles name vertices of
//! the whole mesh throughout.

use super::share;
use crate::mesh::{Mesh, Welded};
use glam::Vec3;
use rayon::prelude::*;

/// Triangles of a block, at most: its working memory then stays in a processor's cache.
const MOST: usize = 60_000;

/// Blocks of a mesh, and what they have in common.
#[derive(Debug)]
pub(super) struct Blocks {
    /// Triangles of each.
    pub(super) triangles: Vec<Vec<[u32; 3]>>,
    /// Whether a place lies in more than one block.
    pub(super) shared: Vec<bool>,
}

/// Cuts some of a mesh's triangles across their longest side until the blocks are small enough.
/// `first` is the share of the triangles on one side of the first cut: another share, and the same
/// mesh is cut elsewhere.
pub(super) fn cut(mesh: &Mesh, triangles: &[[u32; 3]], welded: &Welded, first: f64) -> Blocks {
    let middle = |t: &[u32; 3]| {
        let [a, b, c] = t.map(|i| mesh.positions()[i as usize]);
        (a + b + c) / 3.0
    };
    let mut faces: Vec<(Vec3, [u32; 3])> = triangles.par_iter().map(|t| (middle(t), *t)).collect();
    let triangles = halve(&mut faces, first);
    Blocks {
        shared: shared(welded, &triangles),
        triangles,
    }
}

fn halve(faces: &mut [(Vec3, [u32; 3])], first: f64) -> Vec<Vec<[u32; 3]>> {
    if faces.len() <= MOST {
        return vec![faces.iter().map(|f| f.1).collect()];
    }
    let (low, high) = faces
        .iter()
        .fold((Vec3::INFINITY, Vec3::NEG_INFINITY), |(low, high), f| {
            (low.min(f.0), high.max(f.0))
        });
    let size = high - low;
    let axis = (0..3)
        .max_by(|a, b| size[*a].total_cmp(&size[*b]))
        .unwrap_or(0);
    let half = share(faces.len(), first);
    // Equal middles are told apart by their vertices, so that the cut does not depend on order.
    faces.select_nth_unstable_by(half, |a, b| {
        a.0[axis].total_cmp(&b.0[axis]).then(a.1.cmp(&b.1))
    });
    let (one, other) = faces.split_at_mut(half);
    let (mut blocks, more) = rayon::join(|| halve(one, 0.5), || halve(other, 0.5));
    blocks.extend(more);
    blocks
}

/// Vertices at one place count as one: a seam must not open because it lies between blocks.
fn shared(welded: &Welded, blocks: &[Vec<[u32; 3]>]) -> Vec<bool> {
    const NONE: u32 = u32::MAX;
    const MANY: u32 = u32::MAX - 1;
    let mut block_of = vec![NONE; welded.places.len()];
    for (block, triangles) in (0u32..).zip(blocks) {
        for vertex in triangles.as_flattened() {
            let slot = &mut block_of[welded.place_of[*vertex as usize] as usize];
            if *slot == NONE {
                *slot = block;
            } else if *slot != block {
                *slot = MANY;
            }
        }
    }
    block_of.iter().map(|block| *block == MANY).collect()
}
