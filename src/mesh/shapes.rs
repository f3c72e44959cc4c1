//! A shape for the tests of all rooms.

use super::Mesh;
use glam::Vec3;

/// An upright box between two corners, in twelve triangles that face outward.
pub(crate) fn block(low: Vec3, high: Vec3) -> Mesh {
    let corner = |i: u32| {
        let side = |k: usize| if i >> k & 1 == 1 { high[k] } else { low[k] };
        Vec3::new(side(0), side(1), side(2))
    };
    let sides: [[u32; 4]; 6] = [
        [0, 4, 6, 2],
        [1, 3, 7, 5],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 2, 3, 1],
        [4, 5, 7, 6],
    ];
    let halves = |&[a, b, c, d]: &[u32; 4]| [[a, b, c], [a, c, d]];
    let triangles = sides.iter().flat_map(halves).collect();
    Mesh::new((0..8).map(corner).collect(), triangles).expect("a box is a mesh")
}
