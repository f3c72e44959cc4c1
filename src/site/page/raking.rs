//! A detail in raking light: one choice for each lamp, with its pictures.

use super::Picture;
use serde::Serialize;

/// All lights of one detail.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Raking {
    /// How the lamps stand, in a sentence.
    pub(crate) lead: String,
    /// In the order of their places round the detail, row by row: the combined picture is in the
    /// middle, even light last.
    pub(crate) lights: Vec<Light>,
}

/// One light, and what it shows.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Light {
    /// In data attributes and style names.
    pub(crate) name: &'static str,
    /// "from the left".
    pub(crate) label: String,
    /// Whether it is shown first.
    pub(crate) first: bool,
    /// Lamps on a circle around the detail, as `(x, y)` of the little drawing: right and down, the
    /// circle having the radius 8.
    pub(crate) lamps: Vec<[f64; 2]>,
    pub(crate) pictures: Vec<LitPicture>,
}

/// One body in one light.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LitPicture {
    /// `original` or `replica`.
    pub(crate) body: &'static str,
    pub(crate) caption: String,
    pub(crate) picture: Picture,
}
