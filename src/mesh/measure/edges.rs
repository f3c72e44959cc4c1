//! Edges, and the triangles that do not fit together at them.

use super::Spot;
use crate::mesh::{Mesh, Welded, weld};
use rayon::prelude::*;

/// Flaws of the connections, each with its place.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct EdgeFlaws {
    /// Edges at which three or more triangles meet.
    pub non_manifold: Vec<Spot>,
    /// Edges that two triangles run along in the same sense: one of them faces the wrong way.
    pub ill_wound: Vec<Spot>,
    /// Triangles without area: two corners in one place, or all in a line.
    pub degenerate: Vec<Spot>,
    /// Triangles that are there twice or more, whichever way they face.
    pub duplicate: Vec<Spot>,
}

/// One side of a triangle: its ends in ascending order, the triangle, and whether it is run along
/// upward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Side {
    pub(super) low: u32,
    pub(super) high: u32,
    pub(super) face: u32,
    pub(super) upward: bool,
}

/// All sides, sorted so that those of one edge stand together.
pub(super) struct Table {
    sides: Vec<Side>,
}

impl Table {
    /// The sides of each edge.
    pub(super) fn edges(&self) -> impl Iterator<Item = &[Side]> {
        self.sides
            .chunk_by(|a, b| (a.low, a.high) == (b.low, b.high))
    }

    /// Mean length of an edge, millimetres.
    pub(super) fn mean_length(&self, welded: &Welded) -> f64 {
        let (mut sum, mut count) = (0.0, 0.0f64);
        for edge in self.edges() {
            let [a, b] = [edge[0].low, edge[0].high].map(|i| welded.places[i as usize].as_dvec3());
            sum += a.distance(b);
            count += 1.0;
        }
        sum / count.max(1.0)
    }
}

/// The flaws of a mesh's connections.
pub fn edge_flaws(mesh: &Mesh) -> EdgeFlaws {
    examine(&weld(mesh)).0
}

pub(super) fn examine(welded: &Welded) -> (EdgeFlaws, Table) {
    let at = |i: u32| welded.places[i as usize].as_dvec3();
    let mut flaws = EdgeFlaws::default();
    let spot = |t: &[u32; 3]| Spot::around(t.map(at).into_iter());
    let mut sides = Vec::with_capacity(welded.triangles.len() * 3);
    for (face, triangle) in (0u32..).zip(&welded.triangles) {
        let [a, b, c] = *triangle;
        if a == b || b == c || c == a {
            flaws.degenerate.push(spot(triangle));
            continue;
        }
        let [pa, pb, pc] = triangle.map(at);
        if (pb - pa).cross(pc - pa).length_squared() == 0.0 {
            flaws.degenerate.push(spot(triangle));
        }
        sides.extend([(a, b), (b, c), (c, a)].map(|(from, to)| Side {
            low: from.min(to),
            high: from.max(to),
            face,
            upward: from < to,
        }));
    }
    sides.par_sort_unstable();
    let table = Table { sides };
    for edge in table.edges() {
        let here = || Spot::around([at(edge[0].low), at(edge[0].high)].into_iter());
        match edge {
            [_] => {}
            [a, b] if a.upward != b.upward => {}
            [_, _] => flaws.ill_wound.push(here()),
            _ => flaws.non_manifold.push(here()),
        }
    }
    flaws.duplicate = duplicates(welded).iter().map(spot).collect();
    (flaws, table)
}

/// Triangles that another one with the same corners stands before.
fn duplicates(welded: &Welded) -> Vec<[u32; 3]> {
    let mut sorted: Vec<[u32; 3]> = welded
        .triangles
        .iter()
        .filter(|[a, b, c]| a != b && b != c && c != a)
        .map(|t| {
            let mut t = *t;
            t.sort_unstable();
            t
        })
        .collect();
    sorted.par_sort_unstable();
    sorted
        .windows(2)
        .filter(|pair| pair[0] == pair[1])
        .map(|pair| pair[0])
        .collect()
}
