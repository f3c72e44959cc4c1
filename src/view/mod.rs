//! Where to stand to see a place on a surface, and what has to be left out for it to be seen.
//!
//! Takes the parts of a body and a [`Patch`] on one of them; hands on a [`Chosen`] view. Directions
//! are tried all over the sphere ([`lattice`]); each is marked by how much of the patch is seen from
//! it ([`sight`]), how slantingly, how near to the outline, and from how high ([`score`]). The marks
//! are the usual ones of the trade: how much of a surface is seen is the oldest (Plemenos and
//! Benayada, "Intelligent display in scene modeling", GraphiCon 1996), and Polonsky, Patané,
//! Biasotti, Gotsman and Spagnuolo set it beside others ("What's in an image?", The Visual Computer
//! 21, 2005). When the rest of the body hides the patch, other parts are taken away, or its own part
//! is cut open, but only where that shows more ([`choose`]).
//!
//! Every answer is a share of the patch's area, 0 to 1. The same parts give the same view, and parts
//! that are turned about the upright axis turn it with them.

mod choose;
mod front;
mod lattice;
mod outline;
mod patch;
mod score;
#[cfg(test)]
mod shapes;
mod sight;
#[cfg(test)]
mod tests;

pub use choose::{Chosen, ENOUGH, choose};
pub use front::{Keyed, front};
pub use outline::outline;
pub use patch::Patch;
pub use sight::{LeftOut, Scenery, toward_eye};

use crate::mesh::Mesh;
use crate::space::{Sides, Tree};

/// One part of a body.
#[derive(Debug, Clone, Copy)]
pub struct Part<'a> {
    /// Its surface, millimetres.
    pub mesh: &'a Mesh,
    /// Its tree.
    pub tree: &'a Tree,
    /// How its triangles join.
    pub sides: &'a Sides,
}
