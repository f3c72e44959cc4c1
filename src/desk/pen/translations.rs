//! Saying from what a note was translated, so that it is known when it is older than its source.

use super::amend::{Change, Step, Value, amended};
use super::{Fresh, Inside, Moment, Pen, Refusal, Version};
use crate::record::{Freshness, TRANSLATIONS, Translations};

/// So often is tried anew when somebody else changes the list at the same moment.
const ATTEMPTS: usize = 4;

impl Pen {
    /// What is said of all translations; nothing when there is no such file yet.
    pub fn translations(&self) -> Result<Translations, Refusal> {
        Ok(self.list()?.1)
    }

    /// How a note stands to what it was translated from.
    pub fn freshness(&self, note: &Inside) -> Result<Freshness, Refusal> {
        let mut failed = None;
        let state = self.translations()?.state(note.as_str(), |name| {
            let read = Inside::new(name).and_then(|file| self.read(&file));
            match read {
                Ok(leaf) => leaf.map(|l| l.text),
                Err(refusal) => {
                    failed = Some(refusal);
                    None
                }
            }
        });
        failed.map_or(Ok(state), Err)
    }

    /// Writes a translated note, and from which wording it was made: both or neither. `digest` is
    /// [`crate::record::wording_digest`] of the source as the translator saw it. A text that is as it
    /// was may be given, to say that it is up to date.
    pub fn write_translation(
        &self,
        note: &Fresh,
        source: &Inside,
        digest: &str,
        why: &str,
        at: Moment,
    ) -> Result<Version, Refusal> {
        if source.ancestors() != note.file.ancestors() || source == &note.file {
            return Err(Refusal::Outside {
                path: source.to_string(),
                why: format!("is no other note in the folder of {}", note.file),
            });
        }
        let entry = |key: &str, value: &str| Change::Set {
            key: way(&note.file, Some(key)),
            value: Value::from(value),
        };
        let changes = [entry("source", source.name()), entry("digest", digest)];
        self.with_list(&changes, Some(note), why, at)?;
        Ok(Version::of(note.text.as_bytes()))
    }

    /// Takes out what is said of a note, because it is no translation or is there no more.
    pub fn forget_translation(&self, note: &Inside, why: &str, at: Moment) -> Result<(), Refusal> {
        let key = way(note, None);
        self.with_list(&[Change::Remove { key }], None, why, at)
    }

    fn with_list(
        &self,
        changes: &[Change],
        note: Option<&Fresh>,
        why: &str,
        at: Moment,
    ) -> Result<(), Refusal> {
        let file = Inside::new(TRANSLATIONS)?;
        let mut attempt = 0;
        loop {
            attempt += 1;
            let (text, _, expected) = self.list()?;
            let list = Fresh {
                file: file.clone(),
                expected,
                text: amended(&file, &text, changes)?,
            };
            let leaves: Vec<Fresh> = note.cloned().into_iter().chain([list]).collect();
            match self.write_all(&leaves, why, at) {
                Err(Refusal::Clash { file: clashed, .. })
                    if clashed == file && attempt < ATTEMPTS => {}
                done => return done.map(drop),
            }
        }
    }

    fn list(&self) -> Result<(String, Translations, Option<Version>), Refusal> {
        let file = Inside::new(TRANSLATIONS)?;
        let Some(leaf) = self.read(&file)? else {
            return Ok(("format = 1\n".to_owned(), Translations::default(), None));
        };
        let text = leaf.text.strip_prefix('\u{feff}').unwrap_or(&leaf.text);
        let read = toml::from_str(text)
            .map_err(|e: toml::de::Error| Refusal::not_toml(&file, text, e.span(), e.message()))?;
        Ok((leaf.text, read, Some(leaf.version)))
    }
}

fn way(note: &Inside, key: Option<&str>) -> Vec<Step> {
    let entry = ["notes", note.as_str()].into_iter();
    entry.chain(key).map(Step::from).collect()
}
