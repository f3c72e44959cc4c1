//! `making/<NN-step>/record.toml`: one step of the making.

use super::{
    ByLang, Day, Evidence, Localised, Note, PersonId, Photograph, Recording, StepId, Talk,
};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// One step.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Step {
    /// Folder name without its ordering number.
    pub id: StepId,
    /// The ordering number of the folder.
    pub number: u32,
    /// Folder, for resolving files.
    pub folder: PathBuf,
    /// The facts.
    pub record: StepRecord,
    /// Title and words, one per language of the site.
    pub notes: ByLang<Note>,
    /// The texts of its recordings.
    pub talk: Talk,
}

/// The facts of a step's `record.toml`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepRecord {
    /// Version of the record format; always 1.
    pub format: u32,
    /// Names that its folder had before, without their numbers: their addresses lead on to it.
    #[serde(default)]
    pub formerly: Vec<StepId>,
    /// Day it was done or finished.
    pub date: Option<Day>,
    /// Hours of work.
    pub hours: Option<f64>,
    /// Who did it.
    #[serde(default)]
    pub people: Vec<PersonId>,
    /// Named quantities: tool, layer thickness, temperature, powder.
    #[serde(default)]
    pub quantities: Vec<Quantity>,
    /// Direction in which the layers were laid, in the frame of the replica's models; any length.
    pub build_up: Option<[f64; 3]>,
    /// A caution shown beside the step where the work can hurt someone.
    pub caution: Option<Localised>,
    /// How it is known.
    pub evidence: Evidence,
    /// Photographs.
    #[serde(default)]
    pub photographs: Vec<Photograph>,
    /// Recordings of sound or film.
    #[serde(default)]
    pub recordings: Vec<Recording>,
}

/// A quantity stated by whoever did the step.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Quantity {
    /// What it is: "layer thickness".
    pub name: Localised,
    /// Its number.
    pub value: f64,
    /// Its unit, as written after the number: `µm`, `g`, `h`.
    pub unit: String,
    /// Which quantity it is, where counterpart reckons with it.
    pub is: Option<QuantityKind>,
}

impl Quantity {
    /// Its value in the unit in which this kind is reckoned: layers in micrometres, time in
    /// hours, masses in grams. `None` for a quantity of no such kind; reading refuses units that
    /// the kind does not have.
    pub fn reckoned(&self) -> Option<(QuantityKind, f64)> {
        let kind = self.is?;
        let (_, in_unit) = kind.units().iter().find(|(unit, _)| *unit == self.unit)?;
        Some((kind, self.value * in_unit))
    }
}

/// Quantities that counterpart reckons with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum QuantityKind {
    /// Thickness of one layer.
    LayerThickness,
    /// How long the machine ran.
    MachineTime,
    /// Powder that is gone from the store: melted or lost, and not sieved to be used again.
    PowderUsed,
    /// Mass of the parts as built, without supports.
    PartsMass,
    /// Mass of the supports.
    SupportsMass,
    /// Mass of what else was used up: failed pieces, spatter, what the filter caught.
    ScrapMass,
}

impl QuantityKind {
    /// Its name in records.
    pub fn word(self) -> &'static str {
        match self {
            Self::LayerThickness => "layer-thickness",
            Self::MachineTime => "machine-time",
            Self::PowderUsed => "powder-used",
            Self::PartsMass => "parts-mass",
            Self::SupportsMass => "supports-mass",
            Self::ScrapMass => "scrap-mass",
        }
    }

    /// Units in which it may be given, each with its size in the unit that is reckoned in. The
    /// micro sign and the Greek letter look alike; both are taken.
    pub fn units(self) -> &'static [(&'static str, f64)] {
        match self {
            Self::LayerThickness => &[("\u{b5}m", 1.0), ("\u{3bc}m", 1.0), ("mm", 1000.0)],
            Self::MachineTime => &[("h", 1.0), ("min", 1.0 / 60.0)],
            Self::PowderUsed | Self::PartsMass | Self::SupportsMass | Self::ScrapMass => {
                &[("g", 1.0), ("kg", 1000.0)]
            }
        }
    }
}
