//! Markdown notes: read once, checked with places, turned into HTML when the addresses are known.

mod ease;
mod html;
pub mod leiden;
mod note;
mod quotes;

pub use ease::{Ease, flesch};
pub use html::{Resolve, ResolvedPicture, to_html, to_plain};
pub use note::{Heading, LinkTarget, NoteLink, NotePicture, Note};
