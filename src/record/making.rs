//! `making/<NN-step>/record.toml`: one step of the making.

use super::{Day, Evidence, Lang, Localised, Note, PersonId, Photograph, StepId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// One step.
#[derive(Debug, Clone)]
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
    pub notes: BTreeMap<Lang, Note>,
}

/// The facts of a step's `record.toml`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepRecord {
    /// Version of the record format; always 1.
    pub format: u32,
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
    /// A caution shown beside the step where the work can hurt someone.
    pub caution: Option<Localised>,
    /// How it is known.
    pub evidence: Evidence,
    /// Photographs.
    #[serde(default)]
    pub photographs: Vec<Photograph>,
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
}
