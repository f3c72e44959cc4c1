//! The collation as text, as data and as files for other programs.

mod json;
mod plain;
mod tables;

pub(crate) use json::json;
pub use plain::plain;
pub use tables::{csv, ply};
