//! What was reckoned of the two bodies, as the page of differences tells it.

use super::{Fact, KnownBy};
use serde::Serialize;

/// How the replica was built.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Built {
    /// The answer first.
    pub(crate) sentences: Vec<String>,
    pub(crate) layers: Vec<LayerRow>,
    pub(crate) hours: Vec<HourRow>,
    pub(crate) powder: Vec<PowderRow>,
    /// How layers, hours and powder are known.
    pub(crate) known: Vec<KnownBy>,
    /// Where the making is told, with its cautions.
    pub(crate) making: String,
}

/// The layers of one part.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LayerRow {
    pub(crate) part: String,
    pub(crate) height: String,
    pub(crate) thickness: String,
    pub(crate) count: String,
    /// Fewest and most that the height allows.
    pub(crate) between: Option<String>,
}

/// The hours of one step, or of all of them.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct HourRow {
    pub(crate) step: String,
    /// Where the step is told; `None` for the sum.
    pub(crate) href: Option<String>,
    pub(crate) people: Option<String>,
    pub(crate) machine: Option<String>,
}

/// One share of the powder.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct PowderRow {
    pub(crate) went: String,
    pub(crate) mass: String,
    pub(crate) share: Option<String>,
}

/// Callipers beside the models.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Callipers {
    pub(crate) sentences: Vec<String>,
    pub(crate) rows: Vec<CalliperRow>,
}

/// One distance.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct CalliperRow {
    pub(crate) distance: String,
    pub(crate) evidence: Option<KnownBy>,
    pub(crate) body: String,
    pub(crate) read: String,
    pub(crate) model: String,
    pub(crate) difference: String,
    /// Whether the two agree, in words.
    pub(crate) verdict: String,
    pub(crate) consistent: bool,
}

/// How the parts meet, and how thick their walls are.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Assembly {
    pub(crate) bodies: Vec<AssembledBody>,
    /// The histograms once more, in numbers.
    pub(crate) thickness: Vec<ThicknessRow>,
}

/// One body.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct AssembledBody {
    pub(crate) heading: String,
    /// In plain words first.
    pub(crate) sentences: Vec<String>,
    pub(crate) facts: Vec<Fact>,
    pub(crate) known: Option<KnownBy>,
    pub(crate) histogram: Option<Histogram>,
}

/// A histogram as it is drawn: view-box units, ready for the template.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Histogram {
    /// What it shows, in a sentence.
    pub(crate) alt: String,
    pub(crate) bars: Vec<Bar>,
    pub(crate) across: Vec<Tick>,
    /// Below the last bar, which takes in all that is thicker.
    pub(crate) open: Tick,
    pub(crate) up: Vec<Tick>,
    /// Where half of the area has a thinner wall.
    pub(crate) median: Tick,
}

/// One bar.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Bar {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
}

/// A mark on an axis.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Tick {
    pub(crate) at: f64,
    pub(crate) text: String,
}

/// One bar of every body, in numbers.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ThicknessRow {
    pub(crate) thickness: String,
    /// One share for every body, in the order of the bodies.
    pub(crate) shares: Vec<ThicknessShare>,
}

/// The share of one body's measured area.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ThicknessShare {
    pub(crate) body: String,
    pub(crate) share: String,
}

/// What went into one figure.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct WentIn {
    pub(crate) figure: String,
    /// Of which body or part.
    pub(crate) of: Option<String>,
    pub(crate) value: String,
    /// The largest share first.
    pub(crate) from: Vec<String>,
}
