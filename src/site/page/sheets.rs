//! Pages that are made for paper: the handout, and drawings for fingers.

use super::{Frame, KeyEntry, ObjectHead, Plate};
use serde::Serialize;

/// A square code that leads to a page.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Code {
    /// Address of an SVG file.
    pub(crate) src: String,
    pub(crate) alt: String,
    /// The same address in words, to be printed beneath.
    pub(crate) address: String,
}

/// Plate and key on one sheet of A4.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct HandoutPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    pub(crate) standing: String,
    /// "The replica": the body that is drawn.
    pub(crate) heading: String,
    pub(crate) plate: Plate,
    pub(crate) sides: Vec<Plate>,
    pub(crate) key: Vec<KeyEntry>,
    /// Whether the key is so long that its sentences would not fit on the sheet.
    pub(crate) long_key: bool,
    pub(crate) code: Code,
}

/// Raised-line drawings and their key.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct RaisedLinesPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    /// Scale and measures in words.
    pub(crate) scale: String,
    pub(crate) measures: String,
    pub(crate) drawings: Vec<RaisedDrawing>,
    pub(crate) symbols: Vec<SymbolMeaning>,
    /// The key in short plain lines, for a braille transcriber.
    pub(crate) key_text: String,
    pub(crate) key_href: String,
}

/// One drawing.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct RaisedDrawing {
    pub(crate) number: usize,
    /// "Drawing 1: the replica, seen from the front."
    pub(crate) title: String,
    pub(crate) href: String,
    pub(crate) alt: String,
    /// Which details found no room, when any did not.
    pub(crate) left_out: Option<String>,
}

/// What a form stands for.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SymbolMeaning {
    pub(crate) form: String,
    pub(crate) kind_word: String,
}
