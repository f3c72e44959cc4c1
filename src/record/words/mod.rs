//! Markdown notes: read once, checked with places, turned into HTML when the addresses are known.
//!
//! Raw HTML in a note is shown as it is written, never obeyed. Links are ordinary Markdown with
//! schemes of our own (`detail:`, `step:`, `term:`, `object:`); `[ave](lang:la)` marks a passage in
//! another language. An inscription is three fenced blocks: `leiden`, `expanded`, `translation`.

mod ease;
mod gather;
mod html;
mod inscription;
pub mod leiden;
mod note;
mod picture;
mod plain;
mod quotes;

pub use ease::{Ease, ease};
pub use html::{Passage, Resolve, Unresolved, to_html};
pub use inscription::{Inscription, Wording};
pub use leiden::SpokenWords;
pub use note::{Heading, LinkTarget, Note, NoteLink, NotePicture};
pub use picture::ResolvedPicture;
pub use plain::{Block, to_text};
