//! The outline: what is covered, without gaps and spurs that a finger cannot tell apart.

use super::look::Grid;
use super::{CLEAR_MM, OUTLINE_MM};
use crate::profile::{Line, area_mm2, simplified};

/// Half of the least distance between two stretches of outline, middle to middle, and nearly two
/// cells of the grid on top: stairs on either side are smoothed afterwards.
const ROUND_MM: f64 = (CLEAR_MM + OUTLINE_MM) / 2.0 + 0.9;
/// What is thicker than twice this is no bridge: less than [`ROUND_MM`] by more than a cell, so that
/// the stairs of a rounded corner do not count as thin.
const THICK_MM: f64 = ROUND_MM - 0.7;
/// A handful of rounds is enough; the bound only guards against stairs that flicker.
const ROUNDS: usize = 24;
/// Smaller islands and holes are no shapes to a finger: 8 mm across.
const LEAST_MM2: f64 = 50.0;
/// A line leaves out what is finer than this.
const FINE_MM: f64 = 0.05;

/// Outlines, and how far within them each place is.
pub(super) struct Outlines<'g> {
    pub(super) grid: &'g Grid,
    pub(super) lines: Vec<Line>,
    /// Distance of each cell from the nearest uncovered one, millimetres; nought outside.
    pub(super) within_mm: Vec<f64>,
}

/// Takes away spurs thinner than twice [`ROUND_MM`], then closes gaps narrower than that: the opening
/// and closing of Matheron (*Random Sets and Integral Geometry*, 1975) with a disc, by distances.
/// Closing two neighbours leaves a thin bridge, on which an outline would near itself from within:
/// bridges are thickened, until no gap and no bridge is left. Each round only adds, so it ends.
pub(super) fn outlines(grid: &Grid) -> Outlines<'_> {
    let mut covered = opened(grid, &grid.covered(), ROUND_MM);
    for _ in 0..ROUNDS {
        covered = closed(grid, &covered, ROUND_MM);
        let thick = opened(grid, &covered, THICK_MM);
        let thin: Vec<bool> = covered.iter().zip(&thick).map(|(c, t)| *c && !t).collect();
        if !thin.contains(&true) {
            break;
        }
        let bridges = dilated(grid, &thin, ROUND_MM);
        covered = covered
            .iter()
            .zip(&bridges)
            .map(|(c, b)| *c || *b)
            .collect();
    }
    let is = |x: i32, y: i32| grid.index(x, y).is_some_and(|i| covered[i]);
    let lines = grid
        .lines(|[_, here, next, _]| is(here.x, here.y) != is(next.x, next.y))
        .into_iter()
        .filter(|(line, _)| area_mm2(line).abs() >= LEAST_MM2)
        .map(|(line, closed)| simplified(&line, closed, FINE_MM))
        .collect();
    let outside: Vec<bool> = covered.iter().map(|c| !c).collect();
    Outlines {
        grid,
        lines,
        within_mm: distances_mm(grid, &outside),
    }
}

fn closed(grid: &Grid, covered: &[bool], mm: f64) -> Vec<bool> {
    eroded(grid, &dilated(grid, covered, mm), mm)
}

fn opened(grid: &Grid, covered: &[bool], mm: f64) -> Vec<bool> {
    dilated(grid, &eroded(grid, covered, mm), mm)
}

fn dilated(grid: &Grid, covered: &[bool], mm: f64) -> Vec<bool> {
    let off = distances_mm(grid, covered);
    off.iter().map(|off| *off <= mm).collect()
}

fn eroded(grid: &Grid, covered: &[bool], mm: f64) -> Vec<bool> {
    let outside: Vec<bool> = covered.iter().map(|c| !c).collect();
    let off = distances_mm(grid, &outside);
    off.iter().map(|off| *off > mm).collect()
}

/// Distance of every cell from the nearest that is `set`, exact: the lower envelope of parabolas,
/// first by columns, then by rows (Felzenszwalb and Huttenlocher, "Distance transforms of sampled
/// functions", Theory of Computing 8, 2012). Infinite where nothing is set.
fn distances_mm(grid: &Grid, set: &[bool]) -> Vec<f64> {
    let columns = grid.columns.unsigned_abs() as usize;
    let rows = grid.rows.unsigned_abs() as usize;
    let mut squares: Vec<f64> = set
        .iter()
        .map(|s| if *s { 0.0 } else { f64::INFINITY })
        .collect();
    for x in 0..columns {
        let column: Vec<f64> = (0..rows).map(|y| squares[y * columns + x]).collect();
        for (y, square) in lowest(&column).into_iter().enumerate() {
            squares[y * columns + x] = square;
        }
    }
    for row in squares.chunks_mut(columns.max(1)) {
        let found = lowest(row);
        row.copy_from_slice(&found);
    }
    squares
        .into_iter()
        .map(|square| square.sqrt() * grid.step_mm)
        .collect()
}

/// For each place i the least of `heights[j]` + (i − j)².
fn lowest(heights: &[f64]) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "a place on a sheet")]
    let at = |i: usize| i as f64;
    // Feet of the parabolas of the envelope, and where each begins to be the lowest.
    let mut feet: Vec<(usize, f64)> = Vec::new();
    for (i, height) in heights.iter().enumerate() {
        if height.is_infinite() {
            continue;
        }
        let mut from = f64::NEG_INFINITY;
        while let Some(&(foot, begins)) = feet.last() {
            let (a, b) = (heights[foot] + at(foot).powi(2), height + at(i).powi(2));
            from = (b - a) / (2.0 * (at(i) - at(foot)));
            if from > begins {
                break;
            }
            feet.pop();
            from = f64::NEG_INFINITY;
        }
        feet.push((i, from));
    }
    let mut out = vec![f64::INFINITY; heights.len()];
    let mut which = 0;
    for (i, out) in out.iter_mut().enumerate() {
        while feet
            .get(which + 1)
            .is_some_and(|(_, begins)| *begins < at(i))
        {
            which += 1;
        }
        if let Some((foot, _)) = feet.get(which) {
            *out = heights[*foot] + (at(i) - at(*foot)).powi(2);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::lowest;

    /// Against trying every place.
    #[test]
    fn the_envelope_is_the_least_of_all_parabolas() {
        let mut state = 11u64;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            state >> 40
        };
        for _ in 0..200 {
            let heights: Vec<f64> = (0..40)
                .map(|_| match next() % 3 {
                    0 => f64::INFINITY,
                    _ => (next() % 500) as f64,
                })
                .collect();
            let found = lowest(&heights);
            for (i, found) in found.iter().enumerate() {
                let tried = heights
                    .iter()
                    .enumerate()
                    .map(|(j, h)| h + (i as f64 - j as f64).powi(2));
                assert_eq!(*found, tried.fold(f64::INFINITY, f64::min));
            }
        }
        assert!(lowest(&[f64::INFINITY; 3]).iter().all(|v| v.is_infinite()));
    }
}
