//! Welsh words change at both ends: "copi", "gopi" and "chopi" are one word, and so are "dolen"
//! and "dolenni".
//!
//! The mutations are those of every grammar of Welsh (table from memory); endings are the usual
//! ones of plurals and of verbs, no more than can be undone by cutting (from memory). Both are only
//! believed where the texts themselves bear them out: a changed beginning is undone when the word
//! without the change is there as well, an ending is cut when another form has the same stem.

use std::collections::{BTreeMap, BTreeSet};

/// What a beginning may have been before it was changed: soft, nasal and aspirate mutation, and
/// the h that some words put before a vowel.
const BEGINNINGS: [(&str, &[&str]); 16] = [
    ("ngh", &["c"]),
    ("mh", &["p"]),
    ("nh", &["t"]),
    ("ng", &["g"]),
    ("ch", &["c"]),
    ("ph", &["p"]),
    ("th", &["t"]),
    ("dd", &["d"]),
    ("b", &["p"]),
    ("d", &["t"]),
    ("g", &["c"]),
    ("f", &["b", "m"]),
    ("l", &["ll", "gl"]),
    ("r", &["rh", "gr"]),
    ("m", &["b"]),
    ("n", &["d"]),
];

/// The same the other way: what a beginning becomes.
const BEFORE: [(&str, &[&str]); 9] = [
    ("ll", &["l"]),
    ("rh", &["r"]),
    ("p", &["b", "mh", "ph"]),
    ("t", &["d", "nh", "th"]),
    ("c", &["g", "ngh", "ch"]),
    ("b", &["f", "m"]),
    ("d", &["dd", "n"]),
    ("g", &["", "ng"]),
    ("m", &["f"]),
];

/// Shortest word that is looked for under its changed beginnings, letters.
const SAID: usize = 4;

/// Endings of plurals and of verbs, the longest first.
const ENDINGS: [&str; 28] = [
    "iadau", "asant", "asom", "odd", "oedd", "iaid", "iwyd", "wyd", "iau", "ion", "ydd", "edd",
    "feydd", "ent", "ant", "wch", "wyr", "ni", "au", "on", "io", "ir", "ai", "wr", "en", "od", "i",
    "o",
];

/// Shortest stem that an ending is cut from, letters.
const STEM: usize = 4;

/// The name of the family of each form.
pub(super) fn families<'a>(forms: &BTreeSet<&'a str>) -> BTreeMap<&'a str, String> {
    let radical = |form: &str| -> String {
        for (changed, before) in BEGINNINGS {
            let Some(rest) = form.strip_prefix(changed) else {
                continue;
            };
            for first in before {
                let whole = format!("{first}{rest}");
                if rest.chars().count() >= 2 && forms.contains(whole.as_str()) {
                    return whole;
                }
            }
        }
        // The soft mutation of g is nothing at all.
        let whole = format!("g{form}");
        if form.chars().count() >= 3 && forms.contains(whole.as_str()) {
            return whole;
        }
        form.to_owned()
    };
    let radicals: BTreeMap<&str, String> = forms.iter().map(|f| (*f, radical(f))).collect();
    let mut sharing: BTreeMap<&str, usize> = BTreeMap::new();
    let distinct: BTreeSet<&String> = radicals.values().collect();
    for form in &distinct {
        *sharing.entry(stem(form)).or_default() += 1;
    }
    radicals
        .iter()
        .map(|(form, radical)| {
            let stem = stem(radical);
            let shared = sharing.get(stem).is_some_and(|n| *n > 1);
            let name = if shared { stem } else { radical };
            (*form, name.to_owned())
        })
        .collect()
}

/// How a word may begin after others, whether or not the texts have it so: a reader may look for
/// what was heard in a sentence.
pub(super) fn changed(radical: &str) -> Vec<String> {
    let plain = ["ch", "ph", "th", "dd", "ff", "ng"];
    if plain.iter().any(|two| radical.starts_with(two)) || radical.chars().count() < SAID {
        return Vec::new();
    }
    let double = BEFORE.iter().find(|(first, _)| radical.starts_with(first));
    let Some((first, after)) = double else {
        return Vec::new();
    };
    let rest = &radical[first.len()..];
    after.iter().map(|c| format!("{c}{rest}")).collect()
}

fn stem(form: &str) -> &str {
    let mut endings = ENDINGS
        .iter()
        .filter_map(|ending| form.strip_suffix(ending));
    let cut = endings.find(|stem| stem.chars().count() >= STEM);
    cut.unwrap_or(form)
}
