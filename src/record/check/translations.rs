//! Translations that are older than what they were made from, and entries that cannot be right.

use crate::record::read::draft::Draft;
use crate::record::read::places::Places;
use crate::record::translations::{beside, is_digest};
use crate::record::{Findings, Freshness, SourceFile};
use std::collections::BTreeMap;

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    let Some(record) = &draft.translations else {
        return;
    };
    let files = draft.files_of_notes();
    for note in record.places.names("notes") {
        let entry = Entry {
            note: &note,
            file: &record.file,
            places: &record.places,
        };
        if entry.fault(&files, findings) {
            continue;
        }
        let read = |name: &str| files.get(name).map(|file| file.text.clone());
        let state = record.facts.as_ref().map(|facts| facts.state(&note, read));
        if let (Some(Freshness::Older), Some(file)) = (state, files.get(note.as_str())) {
            let source = entry.source().unwrap_or_default();
            findings.push(file.advice(
                "translation-older",
                0..0,
                format!("This translation is older than its source: {source} was changed since."),
                format!("Compare it with {source} and mend it; then say at the desk that it is up to date, or take its entry out of translations.toml."),
            ));
        }
    }
}

/// One entry, and where it is written.
struct Entry<'e> {
    note: &'e str,
    file: &'e SourceFile,
    places: &'e Places,
}

impl Entry<'_> {
    fn source(&self) -> Option<String> {
        let leaf = self.places.text(&format!("notes.{}.source", self.note))?;
        Some(beside(self.note, &leaf.text))
    }

    /// Reports what cannot be right. Whether there was anything.
    fn fault(&self, files: &BTreeMap<&str, &SourceFile>, findings: &mut Findings) -> bool {
        let at = |key: &str| self.places.at(&format!("notes.{}{key}", self.note));
        if !files.contains_key(self.note) {
            findings.push(self.file.advice(
                "translation-unknown",
                at(""),
                format!("There is no note {}.", self.note),
                "Take this entry out, or correct the path to that of a note in the content folder.",
            ));
            return true;
        }
        if let Some(source) = self.source()
            && (source == self.note || !files.contains_key(source.as_str()))
        {
            findings.push(self.file.error(
                "translation-source",
                at(".source"),
                format!(
                    "{source} is no note from which {} could be translated.",
                    self.note
                ),
                "Name a note of the same folder in another language, such as \"en.md\".",
            ));
            return true;
        }
        if let Some(digest) = self.places.text(&format!("notes.{}.digest", self.note))
            && !is_digest(&digest.text)
        {
            findings.push(self.file.error(
                "translation-digest",
                at(".digest"),
                "This is no digest: 64 hexadecimal digits in lower case are wanted.",
                "Take this entry out, and say at the desk again from what the note was translated.",
            ));
            return true;
        }
        false
    }
}
