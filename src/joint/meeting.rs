//! How two parts meet: the door to gap, overlap and seat.

use super::{Gap, Overlap, Part, Seat, gap, overlap, seat};

/// How finely to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// Parallel lines along the longer side of the box that the parts share.
    pub lines: u32,
    /// Surfaces that face one another within this distance belong to the seat, millimetres.
    pub facing_mm: f64,
    /// Places on the first part's surface that are sampled for the seat, at least.
    pub samples: u32,
}

impl Default for Asked {
    fn default() -> Self {
        Self {
            lines: 256,
            facing_mm: 1.0,
            samples: 50_000,
        }
    }
}

/// How two parts meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Meeting {
    /// Where their surfaces are nearest. `None` when a part has no triangle.
    pub gap: Option<Gap>,
    /// What both fill.
    pub overlap: Overlap,
    /// Where they face one another closely; `None` when they do so nowhere.
    pub seat: Option<Seat>,
}

/// Measures how two parts in one frame meet.
pub fn meeting(one: Part, other: Part, asked: Asked) -> Meeting {
    Meeting {
        gap: gap(one, other),
        overlap: overlap(one, other, asked.lines),
        seat: seat(one, other, asked.facing_mm, asked.samples),
    }
}
