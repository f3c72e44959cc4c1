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
    /// A picture, or a script that carries it.
    pub(crate) read_from: String,
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

/// Differences that one detail explains or one person answers for, for `difference-region.html`.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DifferenceRegion {
    pub(crate) number: usize,
    /// `gained`, `lost`, `moved` or `mixed`.
    pub(crate) kind: &'static str,
    pub(crate) kind_word: String,
    /// The detail's title, or what else stands for a reason.
    pub(crate) title: String,
    pub(crate) words: String,
    pub(crate) picture: Picture,
    pub(crate) caption: String,
    pub(crate) facts: Vec<Fact>,
    /// The detail that explains it.
    pub(crate) detail: Option<DetailLink>,
    /// Who accepted it.
    pub(crate) evidence: Option<super::KnownBy>,
}

/// A detail that is pointed at.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DetailLink {
    pub(crate) href: String,
    pub(crate) letter: String,
    pub(crate) title: String,
}

/// The comparison of the surfaces.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Comparison {
    /// Both bodies in three tones, same camera.
    pub(crate) bodies: Vec<ComparedBody>,
    pub(crate) scale: DifferenceScale,
    pub(crate) groups: Vec<DifferenceRegion>,
    pub(crate) places: Vec<PlaceRow>,
    /// How it was measured, a sentence or two in each.
    pub(crate) method: Vec<String>,
    /// How the fit is known, and what it takes for granted.
    pub(crate) known: Vec<super::KnownBy>,
}

/// One body in three tones.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ComparedBody {
    pub(crate) heading: String,
    pub(crate) picture: Picture,
}

/// One place that differs.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct PlaceRow {
    pub(crate) number: usize,
    pub(crate) kind_word: String,
    pub(crate) area: String,
    pub(crate) volume: String,
    pub(crate) deepest: String,
    /// Middle in millimetres.
    pub(crate) place: String,
    pub(crate) detail: Option<DetailLink>,
    /// When no detail explains it.
    pub(crate) why: String,
}

/// Both bodies in profile, for `difference-profile.html`. Lengths are millimetres of the object and
/// units of the drawing; its middle is the middle of the original.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Profile {
    pub(crate) view_box: String,
    /// The left upper corner, and the half that the section takes.
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) half: f64,
    pub(crate) height: f64,
    /// The whole drawing, so that it can be printed in true size.
    pub(crate) width_mm: f64,
    pub(crate) height_mm: f64,
    /// Path data: what is cut of the original, where a hole in the scan leaves it open, and the
    /// replica's outline.
    pub(crate) solid: String,
    pub(crate) open: String,
    pub(crate) replica: String,
    /// Path data of the original seen from outside.
    pub(crate) seen: String,
    pub(crate) bar_x: f64,
    pub(crate) bar_y: f64,
    pub(crate) bar_mm: f64,
    pub(crate) bar_text: String,
    pub(crate) text_size: f64,
    pub(crate) title: String,
}
