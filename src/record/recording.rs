//! `[[recordings]]` of a record: sound or film beside it, with captions, transcript and description.

use super::captions::Captions;
use super::{ByLang, Lang, Localised, Note, PersonId, RightsId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Names of files, one per language; not every language of the site needs one.
pub type FilesByLang = ByLang<String>;

/// Sound or film beside its record.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Recording {
    /// File name, in the same folder as the record.
    pub file: String,
    /// Rights, a key of the object's `[[rights]]`.
    pub rights: RightsId,
    /// What it is, as a heading over it.
    pub title: Localised,
    /// The language spoken; left out when nobody speaks.
    pub language: Option<Lang>,
    /// WebVTT files beside the record, by the language that they are written in.
    #[serde(default)]
    pub captions: FilesByLang,
    /// Markdown files beside the record to be read instead of it; composed from the captions where
    /// there is none.
    #[serde(default)]
    pub transcript: FilesByLang,
    /// What is to be seen, or heard beside words, that nobody says.
    pub description: Option<Localised>,
    /// A photograph of the same record, shown until a film begins.
    pub poster: Option<String>,
    /// Caption under it.
    pub caption: Option<Localised>,
    /// Who speaks.
    #[serde(default)]
    pub speakers: Vec<PersonId>,
    /// Who recorded it.
    pub recorded_by: Option<PersonId>,
}

/// The texts that a record's recordings name, by file name.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Talk {
    /// Captions that could be read.
    pub captions: BTreeMap<String, Captions>,
    /// Transcripts that are written out.
    pub transcripts: BTreeMap<String, Note>,
}
