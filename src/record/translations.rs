//! `translations.toml`: which note was translated from which, and from which wording. A source whose
//! words have changed since makes its translations older than it; dates of files say nothing,
//! since copying and fetching change them.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The file's name, in the content folder.
pub const TRANSLATIONS: &str = "translations.toml";

/// The whole of `translations.toml`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Translations {
    /// Version of the record format; always 1.
    pub format: u32,
    /// By the path of the translated note in the content folder: `mortar/cy.md`.
    #[serde(default)]
    pub notes: BTreeMap<String, MadeFrom>,
}

/// What a translation was made from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MadeFrom {
    /// Name of the source, a note in the same folder: `en.md`.
    pub source: String,
    /// Digest of the source's text at that time, see [`wording_digest`].
    pub digest: String,
}

/// How a note stands to what it was translated from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Freshness {
    /// The source says what it said then.
    Fresh,
    /// The source was changed since.
    Older,
    /// The source is not there any more.
    SourceGone,
    /// Nothing is written of it: it may be no translation.
    NotSaid,
}

impl Translations {
    /// How the note at this path stands; `read` gives the text of another one.
    pub fn state(&self, note: &str, read: impl FnOnce(&str) -> Option<String>) -> Freshness {
        let Some(made) = self.notes.get(note) else {
            return Freshness::NotSaid;
        };
        match read(&beside(note, &made.source)) {
            None => Freshness::SourceGone,
            Some(text) if wording_digest(&text) == made.digest => Freshness::Fresh,
            Some(_) => Freshness::Older,
        }
    }
}

/// The path of a file in the folder of a note.
pub(crate) fn beside(note: &str, name: &str) -> String {
    match note.rsplit_once('/') {
        Some((folder, _)) => format!("{folder}/{name}"),
        None => name.to_owned(),
    }
}

/// Digest of a text, the same for the line ends and the mark of every system: BLAKE3 of the text with
/// plain line ends, as 64 hexadecimal digits.
pub fn wording_digest(text: &str) -> String {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let plain = text.replace("\r\n", "\n");
    blake3::hash(plain.as_bytes()).to_hex().to_string()
}

/// Whether a text is such a digest.
pub(crate) fn is_digest(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}
