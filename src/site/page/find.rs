//! The page on which words are looked for.

use super::Frame;
use serde::Serialize;

/// Words are looked for by the page's own script, in files that it asks for one by one.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct FindPage {
    pub(crate) frame: Frame,
    /// Address of the script.
    pub(crate) script: String,
    /// How many documents are indexed.
    pub(crate) documents: usize,
    /// Which numbering the files must have.
    pub(crate) numbering: String,
    /// With what the words of each file begin, parted by blanks.
    pub(crate) beginnings: String,
    /// Choices that narrow what is found.
    pub(crate) choices: Vec<Choice>,
}

/// One choice, such as the material.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Choice {
    /// Its name in the page's address.
    pub(crate) name: &'static str,
    /// What it is called.
    pub(crate) label: String,
    /// What may be chosen.
    pub(crate) values: Vec<Value>,
}

/// A value of a choice.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Value {
    /// Its name in the page's address, and in the name of the file that holds its set.
    pub(crate) name: String,
    pub(crate) label: String,
    /// How many objects, or details, have it.
    pub(crate) count: usize,
}
