//! How a claim is known (paradata, London Charter 2.1, principle 4).

use super::{Day, PersonId, SourceId};
use serde::{Deserialize, Serialize};

/// The ground on which a claim stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Ground {
    /// An instrument gave it.
    Measured,
    /// Somebody looked and saw.
    Observed,
    /// A document says so.
    Documented,
    /// A considered guess.
    Conjectured,
}

/// Ground, and who, when and from what.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// The ground.
    pub ground: Ground,
    /// Who measured, saw, read or guessed.
    pub by: Option<PersonId>,
    /// When.
    pub date: Option<Day>,
    /// From what.
    pub source: Option<SourceId>,
}
