//! What the program says, in other languages: message catalogues.
//!
//! A message is written in English where its cause is known, with whatever it is about in it. A catalogue
//! holds such sentences with blanks, `"There is no note {1}."`, and the same in another language. When a message
//! is about to be shown, the sentence that it was made of is found again and told in that language. So a catalogue
//! changes nothing in what makes messages, may lack any of them (these stay English, for all to see), and is a
//! plain table that a translator can write.
//!
//! Words between ‘ and ’ are the keeper's own and are never translated.

mod asked;
mod sentence;

pub use asked::{by_header, by_locale};

use sentence::{Blank, Sentence};
use serde::Deserialize;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Languages with a catalogue, beside English.
const CATALOGUES: [(&str, &str); 1] = [("cy", include_str!("cy.toml"))];

/// Sentences with fewer letters of their own than this hold of a text only if all in their blanks is told too, or is
/// a single word where there are not fewer than the second: “{1} and {2}.” would hold of half of all sentences.
const TELLING_LETTERS: (usize, usize) = (8, 4);

/// A catalogue as it is written: tables of sentences, English to the left.
#[derive(Deserialize)]
struct Written(BTreeMap<String, BTreeMap<String, String>>);

/// The messages of one language.
#[derive(Debug, Default)]
pub struct Messages {
    said: Vec<Said>,
}

/// One sentence in both languages.
#[derive(Debug)]
struct Said {
    english: Sentence,
    other: Sentence,
}

impl Messages {
    /// Messages as they are written in the program.
    pub fn english() -> &'static Self {
        static ENGLISH: Messages = Messages { said: Vec::new() };
        &ENGLISH
    }

    /// Whether they are told as they are written.
    pub fn are_english(&self) -> bool {
        self.said.is_empty()
    }

    /// The tags of all languages that messages can be told in (BCP 47).
    pub fn languages() -> impl Iterator<Item = &'static str> {
        std::iter::once("en").chain(CATALOGUES.iter().map(|(tag, _)| *tag))
    }

    /// The messages of a language, or `None` if there is no catalogue for it. A tag with more to say, such as
    /// `cy-GB`, is content with its language.
    pub fn of(tag: &str) -> Option<&'static Self> {
        static READ: [OnceLock<Messages>; CATALOGUES.len()] =
            [const { OnceLock::new() }; CATALOGUES.len()];
        let language = tag.split('-').next()?.to_ascii_lowercase();
        if language == "en" {
            return Some(Self::english());
        }
        let at = CATALOGUES.iter().position(|(tag, _)| *tag == language)?;
        // It is part of the program, and its own tests read it.
        let read = || Self::read(CATALOGUES[at].1).unwrap_or_default();
        Some(READ[at].get_or_init(read))
    }

    fn read(text: &str) -> Result<Self, toml::de::Error> {
        let Written(tables) = toml::from_str(text)?;
        let said = tables.into_values().flatten();
        let said = said.map(|(english, other)| Said {
            english: Sentence::of(&english),
            other: Sentence::of(&other),
        });
        Ok(Self {
            said: said.collect(),
        })
    }

    /// A message in this language; what the catalogue has no sentence for stays as it is.
    ///
    /// A text is one sentence of the catalogue, or lines of sentences that are.
    pub fn say<'t>(&self, text: &'t str) -> Cow<'t, str> {
        if self.said.is_empty() {
            return Cow::Borrowed(text);
        }
        if let Some(whole) = self.whole(text) {
            return Cow::Owned(whole);
        }
        let lines = text.split('\n').map(|line| self.line(line));
        Cow::Owned(lines.collect::<Vec<_>>().join("\n"))
    }

    /// Whether nothing of a message would stay English.
    pub fn knows(&self, text: &str) -> bool {
        let known = |text: &str| text.trim().is_empty() || self.whole(text).is_some();
        known(text)
            || text
                .split('\n')
                .all(|line| known(line.trim()) || sentences(line.trim()).all(known))
    }

    fn line(&self, line: &str) -> String {
        let inner = line.trim();
        let (before, after) = line.split_once(inner).unwrap_or(("", ""));
        let sentence = |s: &str| self.whole(s).or_else(|| self.behind_colon(s));
        let told = self.whole(inner).unwrap_or_else(|| {
            let each = sentences(inner).map(|s| sentence(s).unwrap_or_else(|| s.to_owned()));
            each.collect::<Vec<_>>().join(" ")
        });
        format!("{before}{told}{after}")
    }

    /// A text that is one sentence of the catalogue, told in the other language: of several, the one with
    /// the most words of its own.
    fn whole(&self, text: &str) -> Option<String> {
        let fitting = self.said.iter().filter_map(|said| {
            let blanks = said.english.blanks_in(text)?;
            self.telling(&said.english, &blanks)
                .then_some((said, blanks))
        });
        let (said, blanks) = fitting.max_by_key(|(said, _)| said.english.letters())?;
        Some(said.other.filled(|name| {
            let blank = blanks.iter().find(|b| b.name == name);
            blank.map_or(Cow::Borrowed(""), |b| self.blank(b))
        }))
    }

    /// The name of a file, and what is said of it.
    fn behind_colon(&self, text: &str) -> Option<String> {
        let (name, said) = text.split_once(": ")?;
        Some(format!("{name}: {}", self.whole(said)?))
    }

    /// What stands in a blank may be made of words of the program, too.
    fn blank<'t>(&self, blank: &Blank<'t>) -> Cow<'t, str> {
        let own = !blank.quoted && !blank.text.is_empty();
        let told = own.then(|| self.whole(blank.text)).flatten();
        told.map_or(Cow::Borrowed(blank.text), Cow::Owned)
    }

    fn telling(&self, sentence: &Sentence, blanks: &[Blank<'_>]) -> bool {
        let (much, little) = TELLING_LETTERS;
        let letters = sentence.letters();
        letters >= much
            || blanks.iter().all(|b| {
                let short = letters >= little && !b.text.contains(' ');
                let name = b.quoted || !b.text.contains(char::is_alphabetic);
                short || name || self.whole(b.text).is_some()
            })
    }
}

/// The sentences of a line, cut where one ends and another begins.
fn sentences(line: &str) -> impl Iterator<Item = &str> {
    let mut rest = Some(line);
    std::iter::from_fn(move || {
        let text = rest.take()?;
        let Some(end) = text.find(". ").map(|at| at + 1) else {
            return Some(text);
        };
        let (sentence, more) = text.split_at(end);
        rest = Some(more.trim_start());
        Some(sentence)
    })
}

#[cfg(test)]
mod tests;
