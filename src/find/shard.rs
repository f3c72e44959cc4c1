//! The index cut into files: each small, whatever it holds.

use super::{Families, Places, encode};
use serde::Serialize;
use std::collections::BTreeMap;

/// Largest file of words, bytes; a single word with all its places may be larger.
const LARGEST: usize = 6_000;

/// What a word leads to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(untagged)]
pub(super) enum Entry {
    /// Another form, under whose name the family stands.
    Form(String),
    /// Documents that are named so, and documents that say so.
    Places([String; 2]),
}

pub(super) type Part = BTreeMap<String, Entry>;

/// All words with what they lead to.
pub(super) fn entries(
    families: &Families,
    places: &BTreeMap<String, Places>,
    documents: usize,
) -> Part {
    let forms = families.others();
    let forms = forms.map(|(form, name)| (form.to_owned(), Entry::Form(name.to_owned())));
    let places = places.iter().map(|(name, places)| {
        let sets = [&places.named, &places.said].map(|set| encode(set, documents));
        (name.clone(), Entry::Places(sets))
    });
    forms.chain(places).collect()
}

/// Parts by the letters with which all their words begin.
pub(super) fn split(entries: Part) -> BTreeMap<String, Part> {
    let mut parts = BTreeMap::new();
    cut(String::new(), entries, &mut parts);
    parts
}

fn cut(beginning: String, entries: Part, parts: &mut BTreeMap<String, Part>) {
    let whole = !beginning.is_empty() && size(&entries) <= LARGEST;
    if entries.is_empty() {
        return;
    }
    if whole || entries.len() == 1 {
        parts.insert(beginning, entries);
        return;
    }
    let mut longer: BTreeMap<String, Part> = BTreeMap::new();
    let mut own = Part::new();
    for (word, entry) in entries {
        match word[beginning.len()..].chars().next() {
            None => {
                own.insert(word, entry);
            }
            Some(next) => {
                let group = longer.entry(format!("{beginning}{next}")).or_default();
                group.insert(word, entry);
            }
        }
    }
    if !own.is_empty() {
        parts.insert(beginning, own);
    }
    for (beginning, entries) in longer {
        cut(beginning, entries, parts);
    }
}

fn size(part: &Part) -> usize {
    let entry = |entry: &Entry| match entry {
        Entry::Form(name) => name.len() + 2,
        Entry::Places([named, said]) => named.len() + said.len() + 7,
    };
    part.iter().map(|(word, e)| word.len() + 4 + entry(e)).sum()
}

/// A script that hands its content over, since a page on a disk can load nothing else.
pub(super) fn script<T: Serialize + ?Sized>(numbering: &str, name: &str, content: &T) -> Vec<u8> {
    // Plain maps, lists and texts can always be written.
    let json = serde_json::to_string(content).unwrap_or_default();
    // Two signs that end a line in old scripts and not in JSON.
    let json = json
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029");
    format!("found(\"{numbering}\",\"{name}\",{json})\n").into_bytes()
}
