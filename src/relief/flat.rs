//! Lays charts flat, and takes apart those that would lie on themselves.
//!
//! A chart is first seen along its axis. Then, its border held fast, every vertex moves to a mean of
//! its neighbours (Floater, "Mean value coordinates", Computer Aided Geometric Design 20, 2003), so
//! that the steep walls of letters, seen edge on, open out.

use super::charts::Chart;
use crate::mesh::Mesh;
use glam::{DVec2, DVec3};
use std::collections::{BTreeMap, HashMap};

/// A chart in its own plane.
#[derive(Debug, Clone)]
pub(super) struct Flat {
    pub(super) faces: Vec<u32>,
    /// Place of each vertex from the lowest corner, millimetres in the plane.
    places: HashMap<u32, DVec2>,
    /// Size of the box around it, millimetres.
    pub(super) size: DVec2,
}

impl Flat {
    pub(super) fn place(&self, vertex: u32) -> DVec2 {
        self.places.get(&vertex).copied().unwrap_or_default()
    }

    pub(super) fn corners(&self, mesh: &Mesh, face: u32) -> [DVec2; 3] {
        mesh.triangles()[face as usize].map(|v| self.place(v))
    }
}

/// Steps of a quarter turn that are tried for the smallest box.
const TURNS: u32 = 24;
/// Rounds of moving vertices: enough for a wall to open, too few to move a whole chart.
const ROUNDS: usize = 60;
/// The longest weight is at most so many times the mean.
const STEEPEST: f64 = 1e3;

/// Lays charts of a welded mesh flat. `texel_mm` is about the width of a texel: what overlaps by
/// less is let be.
pub(super) fn lay(mesh: &Mesh, charts: Vec<Chart>, texel_mm: f64) -> Vec<Flat> {
    let mut waiting = charts;
    let mut out = Vec::new();
    while let Some(chart) = waiting.pop() {
        let places = relaxed(mesh, &chart);
        let (kept, over) = apart(mesh, &chart.faces, &places, texel_mm);
        if !over.is_empty() {
            waiting.extend(again(mesh, over, chart.axis));
        }
        out.push(turned(mesh, kept, &places));
    }
    out
}

/// What lay over something else, as a chart of its own, seen along its own mean direction.
fn again(mesh: &Mesh, faces: Vec<u32>, axis: DVec3) -> Option<Chart> {
    let across = faces.iter().map(|f| {
        let [a, b, c] = mesh.corners(*f);
        (b - a).cross(c - a)
    });
    let axis = across.sum::<DVec3>().normalize_or(axis);
    Some(Chart { faces, axis })
}

/// The chart seen along its axis, then opened out.
fn relaxed(mesh: &Mesh, chart: &Chart) -> HashMap<u32, DVec2> {
    let (a, b) = chart.axis.any_orthonormal_pair();
    let mut places: HashMap<u32, DVec2> = HashMap::new();
    let mut edges: HashMap<(u32, u32), u32> = HashMap::new();
    let mut weights: BTreeMap<u32, Vec<(u32, f64)>> = BTreeMap::new();
    for &face in &chart.faces {
        let vertices = mesh.triangles()[face as usize];
        let corners = mesh.corners(face);
        for k in 0..3 {
            let (next, last) = ((k + 1) % 3, (k + 2) % 3);
            let here = corners[k];
            places.insert(vertices[k], DVec2::new(here.dot(a), here.dot(b)));
            let pair = (
                vertices[k].min(vertices[next]),
                vertices[k].max(vertices[next]),
            );
            *edges.entry(pair).or_default() += 1;
            let (one, other) = (corners[next] - here, corners[last] - here);
            let half = (one.angle_between(other) / 2.0).tan();
            for (edge, to) in [(one, next), (other, last)] {
                let weight = half / edge.length();
                if weight.is_finite() && weight > 0.0 {
                    weights
                        .entry(vertices[k])
                        .or_default()
                        .push((vertices[to], weight));
                }
            }
        }
    }
    for ((one, other), count) in edges {
        if count != 2 {
            weights.remove(&one);
            weights.remove(&other);
        }
    }
    for _ in 0..ROUNDS {
        for (vertex, around) in &weights {
            #[expect(clippy::cast_precision_loss, reason = "a few neighbours")]
            let mean = around.iter().map(|w| w.1).sum::<f64>() / around.len() as f64;
            let (sum, all) = around
                .iter()
                .fold((DVec2::ZERO, 0.0), |(sum, all), (to, weight)| {
                    let weight = weight.min(mean * STEEPEST);
                    (sum + places[to] * weight, all + weight)
                });
            places.insert(*vertex, sum / all);
        }
    }
    places
}

/// The plane turned so that the box around the chart is smallest.
fn turned(mesh: &Mesh, faces: Vec<u32>, places: &HashMap<u32, DVec2>) -> Flat {
    let vertices: Vec<u32> = faces
        .iter()
        .flat_map(|f| mesh.triangles()[*f as usize])
        .collect();
    let around = |turn: DVec2| {
        let turned = vertices.iter().map(|v| turn.rotate(places[v]));
        turned.fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(low, high), p| {
            (low.min(p), high.max(p))
        })
    };
    let best = (0..TURNS)
        .map(|step| {
            DVec2::from_angle(f64::from(step) * std::f64::consts::FRAC_PI_2 / f64::from(TURNS))
        })
        .min_by(|one, other| {
            let area = |turn: &DVec2| {
                let (low, high) = around(*turn);
                (high - low).element_product()
            };
            area(one).total_cmp(&area(other))
        })
        .unwrap_or(DVec2::X);
    let (low, high) = around(best);
    Flat {
        places: vertices
            .iter()
            .map(|v| (*v, best.rotate(places[v]) - low))
            .collect(),
        faces,
        size: high - low,
    }
}

/// Triangles that lie beside one another, and those that are turned over or would lie on others.
fn apart(
    mesh: &Mesh,
    faces: &[u32],
    places: &HashMap<u32, DVec2>,
    texel_mm: f64,
) -> (Vec<u32>, Vec<u32>) {
    let low = places.values().fold(DVec2::INFINITY, |low, p| low.min(*p));
    let mut taken: HashMap<(u32, u32), u32> = HashMap::new();
    let (mut kept, mut over) = (Vec::new(), Vec::new());
    for &face in faces {
        let corners = mesh.triangles()[face as usize].map(|v| (places[&v] - low) / texel_mm);
        let [a, b, c] = corners;
        let mut free = (b - a).perp_dot(c - a) > 0.0;
        texels(corners, |at, _| free &= !taken.contains_key(&at));
        // The first is always kept, so that this comes to an end.
        if free || kept.is_empty() {
            texels(corners, |at, _| {
                taken.insert(at, face);
            });
            kept.push(face);
        } else {
            over.push(face);
        }
    }
    (kept, over)
}

/// Calls for every texel whose middle lies in a triangle, with the weights of its corners. A middle
/// on an edge belongs to one of the two triangles beside it.
pub(super) fn texels(corners: [DVec2; 3], mut take: impl FnMut((u32, u32), [f64; 3])) {
    let [a, b, c] = corners;
    let twice = (b - a).perp_dot(c - a);
    if twice == 0.0 || !twice.is_finite() {
        return;
    }
    let low = a.min(b).min(c).max(DVec2::ZERO);
    let high = a.max(b).max(c).max(DVec2::ZERO);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "not negative, and within a picture"
    )]
    let (x0, y0, x1, y1) = (
        (low.x - 0.5).ceil().max(0.0) as u32,
        (low.y - 0.5).ceil().max(0.0) as u32,
        (high.x + 0.5).floor() as u32,
        (high.y + 0.5).floor() as u32,
    );
    // The same sum for both triangles of an edge, whichever way they run along it.
    let side = |from: DVec2, to: DVec2, p: DVec2| {
        if (from.x, from.y) < (to.x, to.y) {
            (to - from).perp_dot(p - from)
        } else {
            -(from - to).perp_dot(p - to)
        }
    };
    let owns = |value: f64, from: DVec2, to: DVec2| {
        value > 0.0 || (value == 0.0 && (to.y > from.y || (to.y == from.y && to.x < from.x)))
    };
    let mirrored = twice < 0.0;
    let (b, c) = if mirrored { (c, b) } else { (b, c) };
    for y in y0..y1 {
        for x in x0..x1 {
            let p = DVec2::new(f64::from(x) + 0.5, f64::from(y) + 0.5);
            let (ab, bc, ca) = (side(a, b, p), side(b, c, p), side(c, a, p));
            if owns(ab, a, b) && owns(bc, b, c) && owns(ca, c, a) {
                let [wa, wb, wc] = [bc, ca, ab].map(|w| w / twice.abs());
                take((x, y), if mirrored { [wa, wc, wb] } else { [wa, wb, wc] });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square cut along its diagonal: no texel twice, none missed, weights that give the place.
    #[test]
    fn every_texel_belongs_to_one_triangle() {
        let square =
            [(0.0, 0.0), (8.0, 0.0), (8.0, 8.0), (0.0, 8.0)].map(|(x, y)| DVec2::new(x, y));
        for halves in [[[0, 1, 2], [0, 2, 3]], [[2, 1, 0], [3, 0, 2]]] {
            let mut count = [[0; 8]; 8];
            for half in halves {
                let corners = half.map(|i: usize| square[i]);
                texels(corners, |(x, y), weights| {
                    count[y as usize][x as usize] += 1;
                    let back: DVec2 = corners.iter().zip(weights).map(|(c, w)| *c * w).sum();
                    assert!(
                        back.distance(DVec2::new(f64::from(x) + 0.5, f64::from(y) + 0.5)) < 1e-12
                    );
                });
            }
            assert_eq!(count, [[1; 8]; 8]);
        }
    }
}
