//! What was measured to differ, as pages show it.

use super::{Fact, Picture};
use serde::Serialize;

/// How a viewer is to show measured differences on a model.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DifferencesShown {
    /// Where the three steps begin on either side of 128, in the codes of the sheet.
    pub(crate) steps: [f64; 3],
    /// How to read the hatches, with their millimetres, in a few sentences.
    pub(crate) legend: String,
}

/// A picture of measured differences for the sheet of one level.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DifferenceFile {
    pub(crate) href: String,
    pub(crate) bytes: usize,
}

/// The scale of measured differences, in words and millimetres, for `difference-scale.html`.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DifferenceScale {
    /// What the three steps of more are: "0.10 to 0.20 mm", … "more than 0.50 mm".
    pub(crate) gained: [String; 3],
    /// The same of less.
    pub(crate) lost: [String; 3],
    /// From where to where nothing counts.
    pub(crate) within: String,
    /// What is to be said of the dotted ground; `None` where there is none.
    pub(crate) not_captured: Option<String>,
}

/// One region, for `difference-region.html`.
#[cfg_attr(
    not(test),
    expect(dead_code, reason = "filled once the collation is in the survey")
)]
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DifferenceRegion {
    pub(crate) number: usize,
    /// `gained`, `lost` or `moved`.
    pub(crate) kind: &'static str,
    pub(crate) kind_word: String,
    /// Where it is, as a heading.
    pub(crate) title: String,
    pub(crate) words: String,
    pub(crate) picture: Picture,
    pub(crate) caption: String,
    pub(crate) facts: Vec<Fact>,
    /// The detail that explains it.
    pub(crate) detail: Option<DetailLink>,
}

/// A detail that is pointed at.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DetailLink {
    pub(crate) href: String,
    pub(crate) letter: String,
    pub(crate) title: String,
}
