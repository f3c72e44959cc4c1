//! A surface cut by a plane.

use super::{Line, Plane};
use glam::{DVec2, DVec3};
use rayon::prelude::*;

/// Outlines of a cut. Seen as the plane is seen, what is solid lies to the left of every line.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cut {
    /// Closed outlines; the last point is not the first again.
    pub closed: Vec<Line>,
    /// Outlines that end at a rim of the surface.
    pub open: Vec<Line>,
}

/// One triangle's piece: the edges at which it begins and ends. Edges are named by their corners,
/// the lower first.
#[derive(Debug, Clone, Copy)]
struct Piece {
    begins: [u32; 2],
    ends: [u32; 2],
}

/// Cuts the triangles over these places, which neighbours must share. A corner that lies in the
/// plane counts as before it, so that no triangle is met in a single point.
pub fn cut(places: &[DVec3], triangles: &[[u32; 3]], plane: &Plane) -> Cut {
    let toward = plane.toward_eye();
    let heights: Vec<f64> = places
        .par_iter()
        .map(|p| (*p - plane.origin).dot(toward))
        .collect();
    let mut pieces: Vec<Piece> = triangles
        .par_iter()
        .filter_map(|t| piece(t, &heights))
        .collect();
    pieces.sort_unstable_by_key(|p| (p.begins, p.ends));
    let point = |[a, b]: [u32; 2]| {
        let (low, high) = (heights[a as usize], heights[b as usize]);
        // One end is before the plane and the other behind it, so that the two differ.
        let share = low / (low - high);
        plane.place(places[a as usize].lerp(places[b as usize], share))
    };
    let chains = joined(&pieces);
    let mut found = Cut::default();
    for chain in chains {
        let closed = chain.closed;
        let line: Vec<DVec2> = chain.edges.into_iter().map(point).collect();
        if closed {
            found.closed.push(line);
        } else {
            found.open.push(line);
        }
    }
    found
}

/// The piece of a triangle that has corners before and behind the plane. It begins where the
/// triangle's own outline goes behind the plane and ends where it comes back.
fn piece(t: &[u32; 3], heights: &[f64]) -> Option<Piece> {
    let before = t.map(|i| heights[i as usize] >= 0.0);
    let side = |from: bool| {
        (0..3).find_map(|k| {
            let next = (k + 1) % 3;
            (before[k] == from && before[next] != from)
                .then(|| [t[k].min(t[next]), t[k].max(t[next])])
        })
    };
    Some(Piece {
        begins: side(true)?,
        ends: side(false)?,
    })
}

struct Chain {
    edges: Vec<[u32; 2]>,
    closed: bool,
}

/// Joins pieces, sorted by their beginnings, from edge to edge.
fn joined(pieces: &[Piece]) -> Vec<Chain> {
    let mut used = vec![false; pieces.len()];
    // Where more than two triangles share an edge, several pieces begin at it: each is taken once.
    let following = |edge: [u32; 2], used: &[bool]| {
        let first = pieces.partition_point(|p| p.begins < edge);
        (first..pieces.len())
            .take_while(|i| pieces[*i].begins == edge)
            .find(|i| !used[*i])
    };
    let mut ends: Vec<[u32; 2]> = pieces.iter().map(|p| p.ends).collect();
    ends.sort_unstable();
    let comes_from_nowhere = |i: &usize| ends.binary_search(&pieces[*i].begins).is_err();
    // Lines with an end are walked from it; what is left after them is closed.
    let order: Vec<usize> = (0..pieces.len())
        .filter(comes_from_nowhere)
        .chain(0..pieces.len())
        .collect();
    let mut chains = Vec::new();
    for start in order {
        if used[start] {
            continue;
        }
        used[start] = true;
        let mut edges = vec![pieces[start].begins];
        let mut at = pieces[start].ends;
        while let Some(next) = following(at, &used) {
            used[next] = true;
            edges.push(at);
            at = pieces[next].ends;
        }
        let closed = at == pieces[start].begins;
        if !closed {
            edges.push(at);
        }
        chains.push(Chain { edges, closed });
    }
    chains
}

#[cfg(test)]
mod tests {
    use super::super::area_mm2;
    use super::*;
    use std::f64::consts::{PI, TAU};

    /// A ring: rows around the tube, columns around the axis Y. Its tube has radius `r`.
    fn ring(big: f64, small: f64, rows: u32, columns: u32) -> (Vec<DVec3>, Vec<[u32; 3]>) {
        let angle = |i: u32, n: u32| f64::from(i) / f64::from(n) * TAU;
        let places = (0..columns)
            .flat_map(|j| {
                (0..rows).map(move |i| {
                    let (u, v) = (angle(i, rows), angle(j, columns));
                    let out = big + small * u.cos();
                    DVec3::new(out * v.sin(), small * u.sin(), out * v.cos())
                })
            })
            .collect();
        let id = |i: u32, j: u32| (j % columns) * rows + i % rows;
        let triangles = (0..columns)
            .flat_map(|j| (0..rows).map(move |i| (i, j)))
            .flat_map(|(i, j)| {
                let [a, b, c, d] = [id(i, j), id(i, j + 1), id(i + 1, j + 1), id(i + 1, j)];
                [[a, b, c], [a, c, d]]
            })
            .collect();
        (places, triangles)
    }

    /// Polygons of `n` corners on circles: area n/2 · sin(2π/n) · r².
    #[test]
    fn a_ring_is_cut_into_circles() {
        let (rows, columns) = (48, 96);
        let (places, triangles) = ring(30.0, 8.0, rows, columns);
        let polygon = |n: u32, r: f64| f64::from(n) / 2.0 * (TAU / f64::from(n)).sin() * r * r;
        let upright = cut(&places, &triangles, &Plane::upright(DVec3::ZERO, 0.0));
        assert_eq!((upright.closed.len(), upright.open.len()), (2, 0));
        for line in &upright.closed {
            let area = area_mm2(line);
            assert!((area - polygon(rows, 8.0)).abs() < 1e-9, "{area}");
        }
        let level = Plane {
            origin: DVec3::ZERO,
            right: DVec3::X,
            up: DVec3::NEG_Z,
        };
        let flat = cut(&places, &triangles, &level);
        let mut areas: Vec<f64> = flat.closed.iter().map(|l| area_mm2(l)).collect();
        areas.sort_by(f64::total_cmp);
        // The inner outline is a hole: what is solid lies to its left too.
        assert_eq!(areas.len(), 2);
        assert!(
            (areas[0] + polygon(columns, 22.0)).abs() < 1e-9,
            "{areas:?}"
        );
        assert!(
            (areas[1] - polygon(columns, 38.0)).abs() < 1e-9,
            "{areas:?}"
        );
        assert!((areas[0] + areas[1] - PI * (38.0f64.powi(2) - 22.0f64.powi(2))).abs() < 5.0);
    }

    #[test]
    fn a_hole_leaves_the_outline_open_and_a_miss_gives_nothing() {
        let (places, mut triangles) = ring(30.0, 8.0, 24, 48);
        let plane = Plane::upright(DVec3::ZERO, 0.0);
        let lifted = |i: u32| (places[i as usize] - plane.origin).dot(plane.toward_eye());
        let met = triangles.iter().position(|t| {
            let before = t.map(|i| lifted(i) >= 0.0);
            before.contains(&true) && before.contains(&false)
        });
        triangles.remove(met.unwrap());
        let found = cut(&places, &triangles, &plane);
        assert_eq!((found.closed.len(), found.open.len()), (1, 1));
        assert_eq!(found.open[0].len(), 48, "one piece of 48 is gone");
        let beside = Plane::upright(DVec3::Z * 100.0, 0.0);
        assert_eq!(cut(&places, &triangles, &beside), Cut::default());
    }
}
