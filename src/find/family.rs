//! Families of inflected forms: "hare", "hares" and "hare’s" are found by one another.
//!
//! The Snowball algorithms (snowballstem.org) do it for the languages that they know; Welsh has
//! rules of our own ([`super::welsh`]). In any other language a word is its own family, and the
//! browser still finds words by their beginnings.

use super::{fold, welsh};
use crate::record::Lang;
use rust_stemmers::{Algorithm, Stemmer};
use std::collections::{BTreeMap, BTreeSet};

/// To which family each form belongs.
#[derive(Debug, Clone, Default)]
pub struct Families {
    /// Only forms that are not the name of their own family; some stand in no text.
    others: BTreeMap<String, String>,
}

impl Families {
    /// The families of these folded forms.
    pub fn of(forms: &BTreeSet<&str>, lang: &Lang) -> Self {
        let named: BTreeMap<&str, String> = if lang.primary() == "cy" {
            welsh::families(forms)
        } else if let Some(algorithm) = algorithm(lang) {
            let stemmer = Stemmer::create(algorithm);
            let stem = |form: &&'_ str| fold(&stemmer.stem(form));
            forms.iter().map(|form| (*form, stem(form))).collect()
        } else {
            BTreeMap::new()
        };
        // A stem that is no word of its own is named by the shortest form of the family: what
        // stands in the index are words that are in the texts.
        let mut shortest: BTreeMap<&String, &str> = BTreeMap::new();
        for (form, family) in &named {
            let name = shortest.entry(family).or_insert(form);
            if (form.len(), *form) < (name.len(), *name) {
                *name = form;
            }
        }
        let mut others = BTreeMap::new();
        if lang.primary() == "cy" {
            for (form, family) in &named {
                let said = welsh::changed(form).into_iter();
                let said = said.filter(|other| !forms.contains(other.as_str()));
                others.extend(
                    said.filter_map(|other| Some((other, (*shortest.get(family)?).to_owned()))),
                );
            }
        }
        others.extend(named.iter().filter_map(|(form, family)| {
            let name = shortest.get(family).filter(|name| *name != form)?;
            Some(((*form).to_owned(), (*name).to_owned()))
        }));
        Self { others }
    }

    /// The family of a form.
    pub fn of_form<'a>(&'a self, form: &'a str) -> &'a str {
        self.others.get(form).map_or(form, String::as_str)
    }

    /// Forms that have another's name, with that name.
    pub fn others(&self) -> impl Iterator<Item = (&str, &str)> {
        self.others.iter().map(|(f, n)| (f.as_str(), n.as_str()))
    }
}

fn algorithm(lang: &Lang) -> Option<Algorithm> {
    Some(match lang.primary() {
        "ar" => Algorithm::Arabic,
        "da" => Algorithm::Danish,
        "de" => Algorithm::German,
        "el" => Algorithm::Greek,
        "en" => Algorithm::English,
        "es" => Algorithm::Spanish,
        "fi" => Algorithm::Finnish,
        "fr" => Algorithm::French,
        "hu" => Algorithm::Hungarian,
        "it" => Algorithm::Italian,
        "nb" | "nn" | "no" => Algorithm::Norwegian,
        "nl" => Algorithm::Dutch,
        "pt" => Algorithm::Portuguese,
        "ro" => Algorithm::Romanian,
        "ru" => Algorithm::Russian,
        "sv" => Algorithm::Swedish,
        "ta" => Algorithm::Tamil,
        "tr" => Algorithm::Turkish,
        _ => return None,
    })
}
