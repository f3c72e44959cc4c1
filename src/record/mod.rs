//! What the keeper wrote.
//!
//! Takes a content folder (TOML facts, Markdown words) and today's date; hands on a
//! [`Catalogue`] in which every id resolves, every language is present, every path stays inside
//! the folder, and every asset shown is permitted today; beside it the [`Findings`], all of them,
//! each with file, line, column and remedy. When an error stands in the way of a whole
//! catalogue, there is none, only findings. Nothing is repaired silently.

mod by_lang;
pub mod captions;
mod check;
mod collation;
mod day;
mod detail;
mod evidence;
mod finding;
mod gate;
mod ids;
mod lang;
mod making;
pub mod media;
mod nearest;
mod object;
mod read;
mod recording;
pub mod report;
mod rights;
mod site;
mod translations;
pub mod words;

pub use by_lang::ByLang;
pub use collation::{AcceptedDifference, Collation, DifferenceKind, PairedPlace, PlacePair};
pub use day::Day;
pub use detail::{
    Anchor, Bearing, BodyKind, Detail, DetailRecord, Kind, Patch, Photograph, Stands, StillWords,
};
pub use evidence::{Evidence, Ground};
pub use finding::{Finding, Findings, Place, Rule, Severity, SourceFile, content_name};
pub(crate) use gate::photographs;
pub use gate::{Asset, Why, Withheld, withheld};
pub use ids::{
    DetailId, IdError, MaterialId, ObjectId, PartId, PersonId, RightsId, SourceId, StepId, TermId,
    suggest,
};
pub use lang::{Dir, Lang, Localised};
pub use making::{Quantity, QuantityKind, Step, StepRecord};
pub use object::{
    Bodies, Body, Caliper, DeclaredDifference, Identification, LengthUnit, Material, Object,
    ObjectRecord, Part, Scan, Source, UpAxis, ViewFrom, Weighed,
};
pub(crate) use read::read_but;
pub use read::{Known, Reading, Sources, read};
pub use recording::{FilesByLang, Recording, Talk};
pub use rights::{Otherwise, Rights, StatementUri, Use};
pub use site::{Kiosk, Look, Person, Site};
pub use translations::{Freshness, MadeFrom, TRANSLATIONS, Translations, wording_digest};
pub use words::Note;

pub(crate) use nearest::nearest;
#[cfg(unix)]
pub(crate) use read::tree::steps as relative_steps;

use serde::{Deserialize, Serialize};
use std::path::PathBuf;
use std::sync::Arc;

/// A glossary term.
#[derive(Debug, Clone)]
pub struct Term {
    /// Folder name.
    pub id: TermId,
    /// The facts; most terms have none.
    pub record: TermRecord,
    /// Title and words, one per language of the site.
    pub notes: ByLang<Note>,
}

/// The facts of a term's `record.toml`, which it has only when its folder was renamed.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TermRecord {
    /// Version of the record format; always 1.
    pub format: u32,
    /// Names that its folder had before: their addresses lead on to it.
    #[serde(default)]
    pub formerly: Vec<TermId>,
}

/// The whole content folder, read and checked.
#[derive(Debug, Clone)]
pub struct Catalogue {
    /// The content folder.
    pub folder: PathBuf,
    /// Publisher, languages, people.
    pub site: Site,
    /// Objects in the order of their ids.
    pub objects: Vec<Arc<Object>>,
    /// Glossary by id.
    pub terms: Vec<Term>,
    /// Which note was translated from which.
    pub translations: Translations,
    /// The day for which rights were judged.
    pub today: Day,
}

impl Catalogue {
    /// The same with these objects.
    pub(crate) fn with(&self, objects: Vec<Arc<Object>>) -> Self {
        Self {
            folder: self.folder.clone(),
            site: self.site.clone(),
            objects,
            terms: self.terms.clone(),
            translations: self.translations.clone(),
            today: self.today,
        }
    }

    /// The object with this id.
    pub fn object(&self, id: &ObjectId) -> Option<&Object> {
        let place = self.objects.binary_search_by(|o| o.id.cmp(id)).ok();
        place.map(|place| &*self.objects[place])
    }
}
