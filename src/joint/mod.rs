//! How the parts of a body meet, and how thick their walls are.
//!
//! Takes the parts of one body as [`Part`]s, in one frame, in millimetres; hands on a [`Meeting`]
//! of two of them (least gap, overlap, seat) and the [`Walls`] of all of them together. Scans have
//! holes: what could not be measured because of one is counted and said, never made up.
//!
//! Thickness and overlap are estimates from surfaces; they do not know what the material bears.
//! Whether a wall or a joint is strong enough for a public space a conservator, an engineer or a
//! mount-maker must judge.

mod gap;
mod meeting;
mod overlap;
mod places;
mod sample;
mod seat;
#[cfg(test)]
mod shapes;
mod walls;

pub use gap::{Gap, gap};
pub use meeting::{Asked, Meeting, meeting};
pub use overlap::{Overlap, OverlapPlace, overlap};
pub use seat::{Askew, Seat, seat};
pub use walls::{Bin, ThinPlace, WallAsked, Walls, walls};

use crate::mesh::Mesh;
use crate::space::Tree;

/// A part: its surface, and the tree over it.
#[derive(Debug, Clone, Copy)]
pub struct Part<'a> {
    /// The surface.
    pub mesh: &'a Mesh,
    /// The tree built over `mesh`.
    pub tree: &'a Tree,
}
