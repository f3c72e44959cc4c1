//! Finding: an index of words that a browser searches by itself, without a server.
//!
//! Takes [`Document`]s, each with its words, and hands on an [`Index`]: small files of which one
//! question needs few. What language asks for is done here, once: words are folded ([`fold`]) and
//! gathered into families of inflected forms ([`family`]); the browser's part only folds what is
//! typed, looks its forms up, and joins sets of numbers ([`set`]). So a phone loads a few thousand
//! bytes for a word, whatever the size of the catalogue.

mod family;
mod fold;
mod set;
mod shard;
mod welsh;

pub use family::Families;
pub use fold::{fold, words};
pub use set::encode;

#[cfg(test)]
mod tests;

use crate::record::Lang;
use hashbrown::HashMap;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Entries of a file of results: what is listed is fetched in such pieces.
pub const LISTED_TOGETHER: usize = 8;

/// Something that can be found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Document {
    /// Its address, relative to the root of the site.
    pub href: String,
    /// Its title.
    pub title: String,
    /// What it is, and of what: "Detail of The Brackwater mortar".
    pub line: String,
    /// Its first words.
    pub teaser: String,
    /// Words that count as much as a title: names, numbers, makers, places.
    #[serde(skip)]
    pub names: Vec<String>,
    /// All other words.
    #[serde(skip)]
    pub words: Vec<String>,
}

/// The index of one language: files of a folder of their own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Index {
    /// How many documents there are.
    pub documents: usize,
    /// Another whenever documents are numbered otherwise or words lie in other files: a file of
    /// another numbering must not be joined with one of this.
    pub numbering: String,
    /// First letters of the words in each file `w/0.js`, `w/1.js` …; a word lies in the file with
    /// the longest that it begins with.
    pub beginnings: Vec<String>,
    /// All files by name, scripts that hand their content to `found`.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// Where the words of one family stand.
#[derive(Debug, Clone, Default)]
struct Places {
    /// Numbers of documents in their order, each once.
    named: Vec<usize>,
    said: Vec<usize>,
}

impl Places {
    /// Together with those of another form.
    fn join(&mut self, other: &Self) {
        for (own, more) in [
            (&mut self.named, &other.named),
            (&mut self.said, &other.said),
        ] {
            own.extend(more);
            own.sort_unstable();
            own.dedup();
        }
    }
}

/// Adds a number that is not below those before.
fn add(numbers: &mut Vec<usize>, number: usize) {
    if numbers.last() != Some(&number) {
        numbers.push(number);
    }
}

/// Makes the index of documents in a language.
pub fn index(documents: &[Document], lang: &Lang) -> Index {
    let mut spoken: HashMap<String, Places> = HashMap::new();
    for (number, document) in documents.iter().enumerate() {
        let named = std::iter::once(&document.title).chain(&document.names);
        for text in named {
            fold::each_word(text, |word| {
                add(&mut spoken.entry_ref(word).or_default().named, number);
            });
        }
        for text in &document.words {
            fold::each_word(text, |word| {
                add(&mut spoken.entry_ref(word).or_default().said, number);
            });
        }
    }
    let forms: BTreeSet<&str> = spoken.keys().map(String::as_str).collect();
    let families = Families::of(&forms, lang);
    let mut places: BTreeMap<String, Places> = BTreeMap::new();
    for (form, own) in &spoken {
        let family = places.entry(families.of_form(form).to_owned()).or_default();
        family.join(own);
    }
    let entries = shard::entries(&families, &places, documents.len());
    let parts = shard::split(entries);
    let beginnings: Vec<String> = parts.keys().cloned().collect();
    let numbering = numbering(documents, &beginnings);
    let mut files = BTreeMap::new();
    for (at, part) in parts.values().enumerate() {
        let name = format!("w/{at}.js");
        let text = shard::script(&numbering, &name, part);
        files.insert(name, text);
    }
    for (at, listed) in documents.chunks(LISTED_TOGETHER).enumerate() {
        let name = format!("t/{at}.js");
        let text = shard::script(&numbering, &name, listed);
        files.insert(name, text);
    }
    Index {
        documents: documents.len(),
        numbering,
        beginnings,
        files,
    }
}

impl Index {
    /// Adds a set of documents that can be asked for by name; gives the name of its file.
    pub fn add_set(&mut self, name: &str, set: &BTreeSet<usize>) -> String {
        let file = format!("s/{name}.js");
        let text = shard::script(&self.numbering, &file, &encode(set, self.documents));
        self.files.insert(file.clone(), text);
        file
    }
}

fn numbering(documents: &[Document], beginnings: &[String]) -> String {
    let mut hash = blake3::Hasher::new();
    for text in documents.iter().map(|d| &d.href).chain(beginnings) {
        hash.update(&(text.len() as u64).to_le_bytes());
        hash.update(text.as_bytes());
    }
    hash.finalize().to_hex()[..8].to_owned()
}
