//! Closed surfaces of revolution given point by point.

use std::f64::consts::TAU;

use glam::DVec3;
use rayon::prelude::*;

use crate::solid::Solid;

/// Builds a closed surface from rows at the arc lengths `rows` and `columns`
/// round the axis; `point` gives the place at an angle and an arc length. The
/// first and last arc length (`ends`) lie on the axis. Extra data rides along.
pub fn turned<T: Send>(
    rows: &[f64],
    ends: [f64; 2],
    columns: usize,
    point: impl Fn(f64, f64) -> (DVec3, T) + Sync,
) -> (Solid, Vec<T>) {
    let point = &point;
    let mut cells: Vec<(DVec3, T)> = rows
        .par_iter()
        .flat_map_iter(|&s| (0..columns).map(move |c| point(TAU * c as f64 / columns as f64, s)))
        .collect();
    let count = columns as u32;
    let mut triangles = Vec::new();
    for row in 0..rows.len() as u32 - 1 {
        for c in 0..count {
            let d = (c + 1) % count;
            let (a, b) = (row * count + c, row * count + d);
            triangles.push([a, b, b + count]);
            triangles.push([a, b + count, a + count]);
        }
    }
    for (first, s) in [(0, ends[0]), ((rows.len() as u32 - 1) * count, ends[1])] {
        let pole = cells.len() as u32;
        cells.push(point(0.0, s));
        for c in 0..count {
            let (a, b) = (first + c, first + (c + 1) % count);
            triangles.push(if first == 0 {
                [pole, b, a]
            } else {
                [pole, a, b]
            });
        }
    }
    let (points, extra) = cells.into_iter().unzip();
    (
        Solid {
            points,
            triangles,
            colours: Vec::new(),
        },
        extra,
    )
}

/// Arc lengths from just after 0 to just before `length`, `step` apart.
pub fn even_rows(length: f64, step: f64) -> Vec<f64> {
    let count = (length / step) as usize;
    (1..count)
        .map(|i| i as f64 * length / count as f64)
        .collect()
}
