//! What rays meet, on a grid of the paper.

use super::Subject;
use crate::profile::{Line, breaks_off, smoothed, walked};
use glam::{DVec2, IVec2};
use rayon::prelude::*;

/// Room around what is looked at, so that widening a shape never meets the border, millimetres.
const BORDER_MM: f64 = 12.0;

/// A grid over the paper; its first point is the lower left one.
pub(super) struct Grid {
    pub(super) columns: i32,
    pub(super) rows: i32,
    pub(super) step_mm: f64,
    /// Middle of the first cell, millimetres on paper.
    low: DVec2,
    /// How far off the surface is, and of which part, at the middle of every cell.
    met: Vec<Option<(f64, usize)>>,
}

pub(super) fn look(subject: &Subject<'_>, step_mm: f64) -> Grid {
    let half = subject.half_mm * subject.scale + BORDER_MM;
    let size = (half * 2.0 / step_mm).ceil().as_ivec2();
    let low = -half + step_mm / 2.0;
    let plane = &subject.plane;
    let toward = plane.toward_eye();
    // Outside everything, on the eye's side.
    let reach = subject.trees.iter().map(|tree| tree.reach_mm());
    let away = reach.fold(plane.origin.length(), f64::max) * 4.0;
    let met = (0..size.x * size.y)
        .into_par_iter()
        .map(|i| {
            let at = low + IVec2::new(i % size.x, i / size.x).as_dvec2() * step_mm;
            let on = at / subject.scale;
            let eye = plane.origin + plane.right * on.x + plane.up * on.y + toward * away;
            let hits = subject
                .trees
                .iter()
                .enumerate()
                .filter_map(|(part, tree)| Some((tree.ray(eye, -toward)?.distance_mm, part)));
            hits.reduce(|a, b| if b.0 < a.0 { b } else { a })
        })
        .collect();
    Grid {
        columns: size.x,
        rows: size.y,
        step_mm,
        low,
        met,
    }
}

impl Grid {
    pub(super) fn index(&self, x: i32, y: i32) -> Option<usize> {
        let within = (0..self.columns).contains(&x) && (0..self.rows).contains(&y);
        within.then(|| usize::try_from(y * self.columns + x).ok())?
    }

    fn at(&self, x: i32, y: i32) -> Option<(f64, usize)> {
        self.met[self.index(x, y)?]
    }

    /// Whether anything is met, cell by cell.
    pub(super) fn covered(&self) -> Vec<bool> {
        self.met.iter().map(Option::is_some).collect()
    }

    /// A corner of cells on paper: corner (x, y) is the lower left one of cell (x, y).
    fn corner(&self, at: IVec2) -> DVec2 {
        self.low + (at.as_dvec2() - 0.5) * self.step_mm
    }

    /// The cell that holds a place on paper.
    pub(super) fn cell(&self, at: DVec2) -> Option<usize> {
        let cell = ((at - self.low) / self.step_mm).round().as_ivec2();
        self.index(cell.x, cell.y)
    }

    /// Lines along the sides between cells that `parted` names, the longest first; each with
    /// whether it closes.
    pub(super) fn lines(&self, parted: impl Fn([IVec2; 4]) -> bool) -> Vec<(Line, bool)> {
        let mut sides = Vec::new();
        for y in -1..=self.rows {
            for x in -1..=self.columns {
                let cell = |dx: i32, dy: i32| IVec2::new(x + dx, y + dy);
                if parted([cell(-1, 0), cell(0, 0), cell(1, 0), cell(2, 0)]) {
                    sides.push([cell(1, 0), cell(1, 1)]);
                }
                if parted([cell(0, -1), cell(0, 0), cell(0, 1), cell(0, 2)]) {
                    sides.push([cell(0, 1), cell(1, 1)]);
                }
            }
        }
        let mut lines: Vec<(Line, bool)> = walked(&sides)
            .into_iter()
            .filter(|walk| walk.len() > 2)
            .map(|walk| {
                let closed = walk.first() == walk.last();
                let line = walk.iter().map(|at| self.corner(*at)).collect();
                let mut line = smoothed(line, closed);
                if closed {
                    line.pop();
                }
                (line, closed)
            })
            .collect();
        lines.sort_by_key(|(line, _)| std::cmp::Reverse(line.len()));
        lines
    }

    /// Where one part ends before another, or the surface breaks off by more than so much.
    pub(super) fn edges(&self, jump_mm: f64) -> Vec<(Line, bool)> {
        self.lines(|four| {
            let four = four.map(|at| self.at(at.x, at.y));
            let (Some((_, part)), Some((_, next))) = (four[1], four[2]) else {
                return false;
            };
            part != next || breaks_off(four.map(|met| met.map(|(depth, _)| depth)), jump_mm)
        })
    }
}
