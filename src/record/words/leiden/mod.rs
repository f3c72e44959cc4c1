//! Inscriptions in the Leiden signs, as a small tree.
//!
//! The signs and their meaning follow the EpiDoc Guidelines (Krummrey-Panciera alignment and the
//! transcription pages). Text is compared after Unicode decomposition, so that a ready-made
//! letter with a dot below and a letter followed by U+0323 are the same.

mod join;
mod parse;
mod show;
mod speak;
mod tree;

pub use parse::{LeidenError, parse};
pub use speak::SpokenWords;
pub use tree::{Extent, Node, Piece, Tree, Why};
