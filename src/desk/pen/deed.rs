//! What was done, as it is kept: the same record is the journal while the work goes on and the
//! history once it is done.

use super::{Inside, Moment, Version};
use serde::{Deserialize, Serialize};
use std::fmt;

/// One change of one file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Altered {
    pub(super) file: Inside,
    /// What it held; none when it was not there.
    pub(super) before: Option<Version>,
    /// What it holds then; none when it is taken away.
    pub(super) after: Option<Version>,
}

impl Altered {
    pub(super) fn reversed(&self) -> Self {
        Self {
            file: self.file.clone(),
            before: self.after.clone(),
            after: self.before.clone(),
        }
    }
}

/// What was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub(super) enum Deed {
    /// Texts were written or taken away, all or none.
    Wrote { files: Vec<Altered> },
    /// A photograph, a model or a recording came in.
    TookIn { file: Inside, version: Version },
    /// Something went to the bin.
    Binned { bin: BinId, place: Inside },
    /// Something came back from the bin.
    Restored { bin: BinId, place: Inside },
}

/// A deed with all that is needed to finish it or take it back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Record {
    pub(super) format: u32,
    pub(super) id: u64,
    pub(super) at: Moment,
    pub(super) why: String,
    pub(super) deed: Deed,
    /// Folders that were made for it, outermost first.
    pub(super) made: Vec<String>,
    /// Folders that go with it if nothing is left in them, outermost first.
    pub(super) unmade: Vec<String>,
    /// The deed that this one took back.
    pub(super) undoes: Option<u64>,
}

impl Record {
    pub(super) fn history_name(&self) -> String {
        format!("history/{:010}.json", self.id)
    }

    /// Name of the file that is written beside `file` meanwhile.
    pub(super) fn beside(&self, file: &Inside) -> String {
        beside(self.id, file)
    }

    pub(super) fn files(&self) -> Vec<Inside> {
        match &self.deed {
            Deed::Wrote { files } => files.iter().map(|f| f.file.clone()).collect(),
            Deed::TookIn { file, .. } => vec![file.clone()],
            Deed::Binned { place, .. } | Deed::Restored { place, .. } => vec![place.clone()],
        }
    }
}

/// Hidden, so that the survey passes it over.
pub(super) fn beside(id: u64, file: &Inside) -> String {
    format!(".{}.{id}.desk", file.name())
}

/// One line of the history.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Entry {
    /// Number, rising.
    pub id: u64,
    /// When.
    pub at: Moment,
    /// Why, in the words given with the change.
    pub why: String,
    /// The files, or the folder, that were changed.
    pub files: Vec<Inside>,
    /// Whether it was taken back.
    pub undone: bool,
    /// The entry that this one took back.
    pub undoes: Option<u64>,
}

/// What was taken back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Undone {
    /// The change that was taken back.
    pub entry: Entry,
}

/// What an interrupted change became when the folder was opened again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Recovered {
    /// Why the change was made.
    pub why: String,
    /// Its files.
    pub files: Vec<Inside>,
    /// Whether it was finished; else it was taken back.
    pub finished: bool,
    /// Whether files had been changed by others, so that its texts were put among the drafts.
    pub drafts: bool,
}

/// A thing in the bin.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct BinId(String);

impl BinId {
    pub(super) fn numbered(id: u64) -> Self {
        Self(format!("{id:010}"))
    }

    /// The id as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for BinId {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        if text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit()) {
            Ok(Self(text))
        } else {
            Err("the name of a thing in the bin is ten digits".to_owned())
        }
    }
}

impl From<BinId> for String {
    fn from(id: BinId) -> String {
        id.0
    }
}

impl fmt::Display for BinId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What lies in the bin, and where it came from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Binned {
    /// By which it is restored.
    pub id: BinId,
    /// Where it stood.
    pub place: Inside,
    /// Whether it is a folder.
    pub folder: bool,
    /// When it was put there.
    pub at: Moment,
}
