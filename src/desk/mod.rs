//! The desk: a page on this machine alone, in which the keeper does the whole job while the files
//! stay plain text.

pub mod pen;
