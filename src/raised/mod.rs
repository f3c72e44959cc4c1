//! Raised-line drawings: for paper that swells where it is black, or for an embosser.
//!
//! Takes surfaces, a plane to draw on, a scale and what is to be marked; hands on strokes and dots in
//! millimetres on paper. A finger reads few, thick and well-parted lines: so an outline that fills
//! its own narrow gaps, the longest of the inner edges, a shape for each detail with its letter in
//! braille, and nothing nearer to anything else than [`CLEAR_MM`].
//!
//! Measures follow the *Guidelines and Standards for Tactile Graphics* of the Braille Authority of
//! North America (2010; updated 2022): an eighth of an inch between things, lines of at least two
//! widths, shapes of a quarter of an inch or more. Those figures are from memory. Whether a drawing
//! can be read is for blind readers to say, not for this program.

mod braille;
mod clear;
mod look;
mod marks;
mod shape;

pub use braille::{CELL_MM, DOT_MM, DOT_STEP_MM, cells_of_letters, cells_of_number, dots};
pub use marks::{Mark, Symbol};

use crate::profile::{Line, Plane};
use crate::space::Tree;
use glam::DVec2;

/// Changes whenever the same surfaces and marks would give another drawing.
pub const RAISED_METHOD: &str = "raised 3";

/// Clear space between any two things: an eighth of an inch (Guidelines, from memory).
pub const CLEAR_MM: f64 = 3.2;
/// Width of the outline. At least a millimetre.
pub const OUTLINE_MM: f64 = 1.5;
/// Width of inner lines: plainly thinner, so that a finger tells them from the outline.
pub const INNER_MM: f64 = 0.8;
/// Width of the lines of a symbol and of the scale bar.
pub const SYMBOL_MM: f64 = 1.2;
/// Shorter inner lines are noise to a finger.
pub const SHORTEST_MM: f64 = 8.0;
/// Distance between rays, millimetres on paper: a third of the thinnest wide line.
const STEP_MM: f64 = 0.5;

/// What to draw.
pub struct Subject<'a> {
    /// Surfaces, one to a part: where one ends and another begins there is a line.
    pub trees: &'a [&'a Tree],
    /// The drawing's plane and middle.
    pub plane: Plane,
    /// Half of the width and height to be looked at, millimetres of the object.
    pub half_mm: DVec2,
    /// Millimetres on paper to one of the object.
    pub scale: f64,
    /// A surface that breaks off by more than this has a line there, millimetres of the object.
    pub jump_mm: f64,
    /// What is to be marked, in the order of the key.
    pub marks: &'a [Mark],
}

/// What a stroke stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Where the object ends.
    Outline,
    /// An edge within it.
    Inner,
    /// Part of a detail's symbol.
    Symbol,
}

/// A line on paper, millimetres to the right and upward from the middle of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// What it stands for.
    pub role: Role,
    /// Its points.
    pub line: Line,
    /// Whether the last point is tied to the first.
    pub closed: bool,
    /// Whether the inside is raised too.
    pub filled: bool,
    /// Of the line.
    pub width_mm: f64,
}

/// A drawing, ready for paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Outlines, symbols, inner lines.
    pub strokes: Vec<Stroke>,
    /// Middles of braille dots.
    pub dots: Vec<DVec2>,
    /// Which of the marks found no room, by their place in the list.
    pub left_out: Vec<usize>,
}

/// Draws.
pub fn draw(subject: &Subject<'_>) -> Drawing {
    let seen = look::look(subject, STEP_MM);
    let outlines = shape::outlines(&seen);
    let mut drawing = Drawing {
        strokes: Vec::new(),
        dots: Vec::new(),
        left_out: Vec::new(),
    };
    let stroke = |line: Line, closed, role, width_mm| Stroke {
        role,
        line,
        closed,
        filled: false,
        width_mm,
    };
    for line in &outlines.lines {
        drawing
            .strokes
            .push(stroke(line.clone(), true, Role::Outline, OUTLINE_MM));
    }
    let placed = marks::place(subject, &outlines);
    let mut boxes = Vec::new();
    for (i, (mark, place)) in subject.marks.iter().zip(&placed).enumerate() {
        let Some(place) = place else {
            drawing.left_out.push(i);
            continue;
        };
        boxes.push(place.around);
        drawing.strokes.extend(mark.symbol.strokes(place.symbol));
        drawing
            .dots
            .extend(dots(&cells_of_letters(&mark.letters), place.letters));
    }
    let inner = clear::cleared(seen.edges(subject.jump_mm), &outlines.lines, &boxes);
    for (line, closed) in inner {
        drawing
            .strokes
            .push(stroke(line, closed, Role::Inner, INNER_MM));
    }
    drawing
}

#[cfg(test)]
mod tests;
