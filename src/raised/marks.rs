//! Where each detail's symbol and letter stand.

use super::braille::{cells_of_letters, size_mm};
use super::clear::off_closed;
use super::shape::Outlines;
use super::{CLEAR_MM, OUTLINE_MM, Role, SYMBOL_MM, Stroke, Subject};
use glam::DVec2;
use std::f64::consts::TAU;

/// A symbol may stand so far from its place, so that it keeps clear. Further would mislead.
const FURTHEST_MM: f64 = 16.0;
/// Places are tried so far apart.
const TRY_MM: f64 = 1.0;
/// Half of the square that holds any symbol, its lines' width included.
const HALF_MM: f64 = 4.0;

/// Forms that fingers tell apart: filled or open, round or cornered, or of bars. One to each kind
/// of detail; crosses and plus signs are not both used, since they differ by a turn only.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Symbol {
    /// A filled circle.
    Disc,
    /// Two bars, one above the other.
    Bars,
    /// A filled square.
    FilledSquare,
    /// Two lines that meet above.
    Roof,
    /// Two bars, one across the other.
    Plus,
    /// A circle.
    Ring,
    /// A square.
    Square,
    /// A triangle that stands on its point.
    Triangle,
}

/// A detail to be marked.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Of the key: `a`, `ab`.
    pub letters: String,
    /// By its kind.
    pub symbol: Symbol,
    /// Place on the drawing, millimetres of the object from the middle.
    pub at: DVec2,
}

/// A box on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Around {
    low: DVec2,
    high: DVec2,
}

impl Around {
    /// Distance of a point from the box; nought within.
    pub(super) fn off_mm(&self, p: DVec2) -> f64 {
        (self.low - p).max(p - self.high).max(DVec2::ZERO).length()
    }

    /// Distance between two boxes.
    fn apart_mm(&self, other: &Self) -> f64 {
        let gap = (self.low - other.high).max(other.low - self.high);
        gap.max(DVec2::ZERO).length()
    }
}

/// Where a mark stands.
pub(super) struct Placed {
    /// Middle of the symbol.
    pub(super) symbol: DVec2,
    /// Lower left corner of the letter's box.
    pub(super) letters: DVec2,
    pub(super) around: Around,
}

/// The nearest place to its own for every mark, the symbol and its letter within the outline and
/// clear of it and of every mark before; `None` where there is no room.
pub(super) fn place(subject: &Subject<'_>, outlines: &Outlines<'_>) -> Vec<Option<Placed>> {
    let mut taken: Vec<Around> = Vec::new();
    let offsets = offsets();
    subject
        .marks
        .iter()
        .map(|mark| {
            let own = mark.at * subject.scale;
            let letters = size_mm(cells_of_letters(&mark.letters).len());
            let placed = offsets
                .iter()
                .flat_map(|offset| layouts(own + *offset, letters))
                .find(|placed| fits(placed, outlines, &taken))?;
            taken.push(placed.around);
            Some(placed)
        })
        .collect()
}

/// Ways to try, the nearest first.
fn offsets() -> Vec<DVec2> {
    let mut out = Vec::new();
    let reach = (FURTHEST_MM / TRY_MM).floor();
    let mut y = -reach;
    while y <= reach {
        let mut x = -reach;
        while x <= reach {
            let offset = DVec2::new(x, y) * TRY_MM;
            if offset.length() <= FURTHEST_MM {
                out.push(offset);
            }
            x += 1.0;
        }
        y += 1.0;
    }
    out.sort_by(|a, b| a.length_squared().total_cmp(&b.length_squared()));
    out
}

/// The letter to the right, to the left, below or above.
fn layouts(symbol: DVec2, letters: DVec2) -> [Placed; 4] {
    let aside = HALF_MM + CLEAR_MM;
    [
        symbol + DVec2::new(aside, -letters.y / 2.0),
        symbol + DVec2::new(-aside - letters.x, -letters.y / 2.0),
        symbol + DVec2::new(-letters.x / 2.0, -aside - letters.y),
        symbol + DVec2::new(-letters.x / 2.0, aside),
    ]
    .map(|corner| Placed {
        symbol,
        letters: corner,
        around: Around {
            low: corner.min(symbol - HALF_MM),
            high: (corner + letters).max(symbol + HALF_MM),
        },
    })
}

fn fits(placed: &Placed, outlines: &Outlines<'_>, taken: &[Around]) -> bool {
    let around = &placed.around;
    let from_outline = CLEAR_MM + OUTLINE_MM / 2.0;
    // Quick and coarse: the middle of the symbol is well within.
    let within = outlines.grid.cell(placed.symbol);
    if within.is_none_or(|i| outlines.within_mm[i] < HALF_MM) {
        return false;
    }
    taken.iter().all(|other| around.apart_mm(other) >= CLEAR_MM)
        && outlines.lines.iter().all(|line| {
            let ends = line.iter().skip(1).chain(line.first());
            line.iter()
                .zip(ends)
                .all(|(a, b)| segment_off_mm(around, *a, *b) >= from_outline)
        })
}

/// Distance between a box and a segment: nought where they meet, else between a corner of one and
/// the other.
fn segment_off_mm(around: &Around, a: DVec2, b: DVec2) -> f64 {
    let corners = [
        around.low,
        DVec2::new(around.high.x, around.low.y),
        around.high,
        DVec2::new(around.low.x, around.high.y),
    ];
    let ends = around.off_mm(a).min(around.off_mm(b));
    if ends == 0.0 {
        return 0.0;
    }
    let of_corners = corners.map(|c| off_closed(c, &[a, b]));
    // A segment that runs through the box parts its corners, and passes the box's own reach.
    let turns = corners.map(|c| (b - a).perp_dot(c - a));
    let parted = turns.iter().any(|t| *t > 0.0) && turns.iter().any(|t| *t < 0.0);
    let meets = parted && a.min(b).cmple(around.high).all() && a.max(b).cmpge(around.low).all();
    if meets {
        return 0.0;
    }
    of_corners.into_iter().fold(ends, f64::min)
}

impl Symbol {
    /// The symbol's strokes about a place on paper.
    pub(super) fn strokes(self, middle: DVec2) -> Vec<Stroke> {
        let half = HALF_MM - SYMBOL_MM / 2.0;
        let stroke = |points: &[[f64; 2]], closed, filled| Stroke {
            role: Role::Symbol,
            line: points.iter().map(|p| middle + DVec2::from(*p)).collect(),
            closed,
            filled,
            width_mm: SYMBOL_MM,
        };
        let round = |r: f64| -> Vec<[f64; 2]> {
            (0..48)
                .map(|i| (DVec2::from_angle(TAU * f64::from(i) / 48.0) * r).to_array())
                .collect()
        };
        let square = |h: f64| [[-h, -h], [h, -h], [h, h], [-h, h]];
        match self {
            Self::Disc => vec![stroke(&round(half - 0.4), true, true)],
            Self::Ring => vec![stroke(&round(half), true, false)],
            Self::FilledSquare => vec![stroke(&square(half - 0.6), true, true)],
            Self::Square => vec![stroke(&square(half - 0.2), true, false)],
            Self::Triangle => {
                let corners = [[-half, half], [half, half], [0.0, -half]];
                vec![stroke(&corners, true, false)]
            }
            Self::Roof => {
                let corners = [[-half, -half], [0.0, half - 0.6], [half, -half]];
                vec![stroke(&corners, false, false)]
            }
            Self::Plus => vec![
                stroke(&[[-half, 0.0], [half, 0.0]], false, false),
                stroke(&[[0.0, -half], [0.0, half]], false, false),
            ],
            Self::Bars => {
                let up = (CLEAR_MM + SYMBOL_MM) / 2.0;
                [up, -up]
                    .map(|y| stroke(&[[-half, y], [half, y]], false, false))
                    .to_vec()
            }
        }
    }
}
