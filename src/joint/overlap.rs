//! The space that two parts both fill: measured along parallel lines.
//!
//! Lines run across the box that the parts share, along its shortest side, one through the middle
//! of each cell of a square grid. Along a line, going in counts one up and coming out one down, for
//! each part; both parts fill the stretches where both counts are above zero. A line whose count
//! falls below zero or does not end at zero has passed through a hole, or through a surface that
//! faces the wrong way: it says nothing, is left out, and is counted. A line that passes through
//! two holes of one part, in and out, cannot be told from one that passes by.

use super::Part;
use crate::mesh::{Bounds, Sets, Spot};
use crate::space::Crossed;
use glam::DVec3;
use rayon::prelude::*;

/// One connected space that both parts fill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverlapPlace {
    /// Ball around the ends of the lines' stretches in it.
    pub spot: Spot,
    /// Cubic millimetres.
    pub volume_mm3: f64,
    /// How deep a point of one surface was met inside the other part: its distance from the other
    /// surface, millimetres. The truth is no less, and no more than about a step of the grid or
    /// an edge of a triangle beyond.
    pub deepest_mm: f64,
    /// That point.
    pub deepest_at: DVec3,
}

/// What two parts both fill.
#[derive(Debug, Clone, PartialEq)]
pub struct Overlap {
    /// Cubic millimetres, over the lines that were not left out.
    pub volume_mm3: f64,
    /// Standard error of the volume that comes from the grid, cubic millimetres, as if each line
    /// had been drawn by lot within its cell (stratified sampling; Cochran, *Sampling Techniques*,
    /// 3rd edition, 1977, chapter 5; from memory). What varies within a cell is taken from the
    /// differences d between neighbouring lines: d²/12 where the length changes evenly, d²/6
    /// where it breaks off somewhere in between; the larger is used for all. Lines through the
    /// middles of cells are mostly better than that. How far the meshes are from the things is
    /// not in it.
    pub standard_error_mm3: f64,
    /// Each connected place, the largest first.
    pub places: Vec<OverlapPlace>,
    /// Between neighbouring lines, millimetres. Zero when the parts' boxes do not meet.
    pub step_mm: f64,
    /// Lines that met both parts.
    pub lines: usize,
    /// The share of those that were left out, 0 to 1.
    pub left_out: f64,
}

/// A stretch of a line within both parts.
struct Stretch {
    cell: [u32; 2],
    from_mm: f64,
    to_mm: f64,
    ends: [End; 2],
}

/// Where a stretch ends: on a triangle of the first part or of the other.
#[derive(Clone, Copy)]
struct End {
    point: DVec3,
    on_first: bool,
    face: u32,
}

/// The grid of lines.
struct Grid {
    low: DVec3,
    axes: [usize; 3],
    counts: [u32; 2],
    from_mm: f64,
    length_mm: f64,
}

impl Grid {
    fn over(one: Bounds, other: Bounds, lines: u32) -> Option<Self> {
        let (low, high) = (one.min.max(other.min), one.max.min(other.max));
        let size = high - low;
        if size.min_element() <= 0.0 {
            return None;
        }
        let mut axes = [0, 1, 2];
        axes.sort_by(|&a, &b| size[b].total_cmp(&size[a]));
        let step_mm = size[axes[0]] / f64::from(lines.max(2));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most the number of lines along the longer side"
        )]
        let counts = [axes[0], axes[1]].map(|k| (size[k] / step_mm).round().max(1.0) as u32);
        // The lines begin and end outside both parts, or nothing could be counted.
        let all = one.union(other);
        let margin = all.size().max_element();
        let from_mm = all.min[axes[2]] - margin;
        Some(Self {
            low,
            axes,
            counts,
            from_mm,
            length_mm: all.size()[axes[2]] + 2.0 * margin,
        })
    }

    /// The cells' sides: along the second axis they are stretched a little to fit the box.
    fn cell(&self, one: Bounds, other: Bounds) -> [f64; 2] {
        let size = one.max.min(other.max) - self.low;
        [0, 1].map(|k| size[self.axes[k]] / f64::from(self.counts[k]))
    }
}

/// Measures what two parts both fill, by `lines` lines along the longer side of the box that they
/// share.
pub fn overlap(one: Part, other: Part, lines: u32) -> Overlap {
    let nothing = Overlap {
        volume_mm3: 0.0,
        standard_error_mm3: 0.0,
        places: Vec::new(),
        step_mm: 0.0,
        lines: 0,
        left_out: 0.0,
    };
    let (Some(a), Some(b)) = (one.mesh.bounds(), other.mesh.bounds()) else {
        return nothing;
    };
    let Some(grid) = Grid::over(a, b, lines) else {
        return nothing;
    };
    let cell = grid.cell(a, b);
    let met: Vec<Option<Option<Vec<Stretch>>>> = (0..grid.counts[0] * grid.counts[1])
        .into_par_iter()
        .map(|i| {
            let at = [i / grid.counts[1], i % grid.counts[1]];
            along(one, other, &grid, cell, at)
        })
        .collect();
    let lines = met.iter().flatten().count();
    let told = met.iter().flatten().flatten().count();
    let told_lines: Vec<bool> = met.iter().map(|m| !matches!(m, Some(None))).collect();
    let stretches: Vec<Stretch> = met.into_iter().flatten().flatten().flatten().collect();
    let area_mm2 = cell[0] * cell[1];
    let lengths = lengths(&grid, &told_lines, &stretches);
    let volume_mm3 = lengths.iter().flatten().sum::<f64>() * area_mm2;
    let squares = differences(&lengths, grid.counts[1] as usize);
    Overlap {
        volume_mm3,
        standard_error_mm3: (squares / 6.0).sqrt() * area_mm2,
        places: places(one, other, &stretches, area_mm2),
        step_mm: cell[0].max(cell[1]),
        lines,
        #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
        left_out: (lines - told) as f64 / lines.max(1) as f64,
    }
}

/// The length that both parts fill along each line, millimetres; `None` for lines left out.
fn lengths(grid: &Grid, told: &[bool], stretches: &[Stretch]) -> Vec<Option<f64>> {
    let mut lengths: Vec<Option<f64>> = told.iter().map(|t| t.then_some(0.0)).collect();
    for s in stretches {
        let line = (s.cell[0] * grid.counts[1] + s.cell[1]) as usize;
        if let Some(length) = &mut lengths[line] {
            *length += s.to_mm - s.from_mm;
        }
    }
    lengths
}

/// The sum of the squares of what neighbouring lines differ by; rows of `across` lines.
fn differences(lengths: &[Option<f64>], across: usize) -> f64 {
    let square = |a: usize, b: usize| match (lengths[a], lengths[b]) {
        (Some(a), Some(b)) => (a - b) * (a - b),
        _ => 0.0,
    };
    (0..lengths.len())
        .map(|i| {
            let beside = if (i + 1) % across == 0 {
                0.0
            } else {
                square(i, i + 1)
            };
            let below = if i + across < lengths.len() {
                square(i, i + across)
            } else {
                0.0
            };
            beside + below
        })
        .sum()
}

/// The stretches of one line. `None` when it does not meet both parts; `Some(None)` when it must be
/// left out.
fn along(
    one: Part,
    other: Part,
    grid: &Grid,
    cell: [f64; 2],
    at: [u32; 2],
) -> Option<Option<Vec<Stretch>>> {
    let mut origin = DVec3::ZERO;
    for k in 0..2 {
        let axis = grid.axes[k];
        origin[axis] = grid.low[axis] + (f64::from(at[k]) + 0.5) * cell[k];
    }
    origin[grid.axes[2]] = grid.from_mm;
    let mut way = DVec3::ZERO;
    way[grid.axes[2]] = 1.0;
    let first = one.tree.crossings_along(origin, way, grid.length_mm);
    if first.is_empty() {
        return None;
    }
    let second = other.tree.crossings_along(origin, way, grid.length_mm);
    if second.is_empty() {
        return None;
    }
    let mut both: Vec<(bool, Crossed)> = first.into_iter().map(|c| (true, c)).collect();
    both.extend(second.into_iter().map(|c| (false, c)));
    both.sort_by(|a, b| a.1.distance_mm.total_cmp(&b.1.distance_mm));
    let mut depth = [0i32; 2];
    let mut begun: Option<(f64, End)> = None;
    let mut found = Vec::new();
    for (on_first, crossed) in both {
        let count = &mut depth[usize::from(!on_first)];
        *count += if crossed.enters { 1 } else { -1 };
        if *count < 0 {
            return Some(None);
        }
        let end = End {
            point: origin + way * crossed.distance_mm,
            on_first,
            face: crossed.face,
        };
        match (begun, depth.iter().all(|d| *d > 0)) {
            (None, true) => begun = Some((crossed.distance_mm, end)),
            (Some((from_mm, start)), false) => {
                begun = None;
                if crossed.distance_mm > from_mm {
                    found.push(Stretch {
                        cell: at,
                        from_mm,
                        to_mm: crossed.distance_mm,
                        ends: [start, end],
                    });
                }
            }
            _ => {}
        }
    }
    Some((depth == [0, 0]).then_some(found))
}

/// Stretches of neighbouring lines that lie beside one another are one place.
fn places(one: Part, other: Part, stretches: &[Stretch], area_mm2: f64) -> Vec<OverlapPlace> {
    let mut sets = Sets::new(stretches.len());
    let index = |s: usize| u32::try_from(s).unwrap_or(u32::MAX);
    // Stretches stand in the order of their cells, so those of a cell are found by halving.
    for (i, s) in stretches.iter().enumerate() {
        let [x, y] = s.cell;
        let near = [Some([x, y + 1]), y.checked_sub(1).map(|y| [x + 1, y])];
        let beside = near
            .into_iter()
            .flatten()
            .chain([[x + 1, y], [x + 1, y + 1]]);
        for cell in beside {
            let start = stretches.partition_point(|o| o.cell < cell);
            let there = stretches[start..].iter().take_while(|o| o.cell == cell);
            for (j, o) in (start..).zip(there) {
                if o.from_mm <= s.to_mm && s.from_mm <= o.to_mm {
                    sets.join(index(i), index(j));
                }
            }
        }
    }
    let deepest: Vec<(f64, DVec3)> = stretches
        .par_iter()
        .map(|s| deepest(one, other, s))
        .collect();
    let mut keyed: Vec<(u32, usize)> = (0..stretches.len())
        .map(|i| (sets.find(index(i)), i))
        .collect();
    keyed.sort_unstable();
    let mut found: Vec<OverlapPlace> = keyed
        .chunk_by(|a, b| a.0 == b.0)
        .map(|group| {
            let inside = || group.iter().map(|(_, i)| *i);
            let ends = inside().flat_map(|i| stretches[i].ends.map(|e| e.point));
            let deep = inside().map(|i| deepest[i]);
            let most = deep.reduce(|a, b| if b.0 > a.0 { b } else { a });
            let (deepest_mm, deepest_at) = most.unwrap_or((0.0, DVec3::ZERO));
            let length: f64 = inside()
                .map(|i| stretches[i].to_mm - stretches[i].from_mm)
                .sum();
            OverlapPlace {
                spot: Spot::around(ends),
                volume_mm3: length * area_mm2,
                deepest_mm,
                deepest_at,
            }
        })
        .collect();
    found.sort_by(|a, b| b.volume_mm3.total_cmp(&a.volume_mm3));
    found
}

/// The deepest point of either surface at the ends of a stretch: the ends themselves, which lie
/// inside the other part, and those corners of their triangles that nothing of the other parts
/// from them.
fn deepest(one: Part, other: Part, stretch: &Stretch) -> (f64, DVec3) {
    let mut best = (0.0, stretch.ends[0].point);
    for end in stretch.ends {
        let (own, far) = if end.on_first {
            (one, other)
        } else {
            (other, one)
        };
        let mut offer = |p: DVec3| {
            if let Some(c) = far.tree.closest(p)
                && c.distance_mm > best.0
            {
                best = (c.distance_mm, p);
            }
        };
        offer(end.point);
        for corner in own.mesh.corners(end.face) {
            let way = corner - end.point;
            let parted = far.tree.first_along(end.point, way, way.length(), |_| true);
            if parted.is_none() {
                offer(corner);
            }
        }
    }
    best
}

#[cfg(test)]
mod tests;
