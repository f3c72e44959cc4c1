//! Openings: closed chains of edges that belong to one triangle only.

use super::Spot;
use super::edges::{Table, examine};
use crate::mesh::{Mesh, Welded, weld};
use glam::DVec3;
use std::collections::BTreeMap;

/// One boundary loop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// Ball around it.
    pub spot: Spot,
    /// Length of its edge, millimetres.
    pub length_mm: f64,
    /// Number of edges.
    pub edges: usize,
    /// Area of a fan of triangles from its middle, square millimetres.
    pub area_mm2: f64,
    /// Whether it touches no other opening.
    pub simple: bool,
    /// Signed volume between that fan and the origin of the sums, cubic millimetres: what
    /// the fan adds to the sum over the triangles.
    pub(super) fan_volume_mm3: f64,
}

/// All openings of a mesh, the longest first.
pub fn openings(mesh: &Mesh) -> Vec<Opening> {
    let welded = weld(mesh);
    trace(&welded, &examine(&welded).1, super::solid::origin(mesh))
}

/// `origin` is the point that [`super::solid`] sums from.
pub(super) fn trace(welded: &Welded, table: &Table, origin: DVec3) -> Vec<Opening> {
    // A triangle's side from a to b borders an opening that is run along from b to a.
    let mut onward: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for edge in table.edges() {
        if let [side] = edge {
            let (from, to) = if side.upward {
                (side.high, side.low)
            } else {
                (side.low, side.high)
            };
            onward.entry(from).or_default().push(to);
        }
    }
    let crossroads: Vec<u32> = onward
        .iter()
        .filter(|(_, next)| next.len() > 1)
        .map(|(at, _)| *at)
        .collect();
    let mut found = Vec::new();
    while let Some((&start, _)) = onward.first_key_value() {
        let mut chain = vec![start];
        let mut here = start;
        while let Some(next) = onward.get_mut(&here) {
            let to = next.pop();
            if next.is_empty() {
                onward.remove(&here);
            }
            match to {
                Some(to) if to != start => {
                    chain.push(to);
                    here = to;
                }
                _ => break,
            }
        }
        let simple = !chain.iter().any(|v| crossroads.binary_search(v).is_ok());
        found.push(opening(welded, &chain, simple, origin));
    }
    found.sort_by(|a, b| b.length_mm.total_cmp(&a.length_mm));
    found
}

fn opening(welded: &Welded, chain: &[u32], simple: bool, origin: DVec3) -> Opening {
    let points: Vec<DVec3> = chain
        .iter()
        .map(|&i| welded.places[i as usize].as_dvec3() - origin)
        .collect();
    #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
    let hub = points.iter().sum::<DVec3>() / points.len() as f64;
    let next = points.iter().cycle().skip(1);
    let (mut length_mm, mut area_mm2, mut volume) = (0.0, 0.0, 0.0);
    for (a, b) in points.iter().zip(next) {
        length_mm += a.distance(*b);
        area_mm2 += (*a - hub).cross(*b - hub).length() / 2.0;
        volume += hub.dot(a.cross(*b)) / 6.0;
    }
    Opening {
        spot: Spot::around(points.iter().map(|p| *p + origin)),
        length_mm,
        edges: points.len(),
        area_mm2,
        simple,
        fan_volume_mm3: volume,
    }
}
