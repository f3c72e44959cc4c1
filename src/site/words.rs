//! Interface words: what the site itself says, in every language.
//!
//! `words/` of the theme holds TOML files of flat `key = "text"`; all files whose name ends in
//! `<language>.toml` belong to that language. Every language must have the same keys, and every
//! text the same `{blanks}`: otherwise the site is not built.

use super::SiteError;
use super::theme::Theme;
use crate::record::Lang;
use std::collections::{BTreeMap, BTreeSet};

/// The words of one language.
#[derive(Debug, Clone)]
pub(crate) struct Words {
    texts: BTreeMap<String, String>,
}

impl Words {
    /// A text without blanks.
    pub(crate) fn get(&self, key: &str) -> Result<&str, SiteError> {
        self.texts.get(key).map(String::as_str).ok_or_else(|| {
            SiteError::Words(format!(
                "the interface word ‘{key}’ is missing; add it to every file in words/"
            ))
        })
    }

    /// A text with its `{blanks}` filled in.
    pub(crate) fn fill(&self, key: &str, blanks: &[(&str, &str)]) -> Result<String, SiteError> {
        let text = self.get(key)?;
        let wanted = blanks_of(text);
        let given: BTreeSet<String> = blanks.iter().map(|(name, _)| (*name).to_owned()).collect();
        if !wanted.is_subset(&given) {
            return Err(SiteError::Words(format!(
                "the interface word ‘{key}’ has the blanks {wanted:?}, but the page fills {given:?}"
            )));
        }
        // One pass over the text, so that a value that itself holds braces is never filled again.
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('{') {
            out.push_str(before);
            match after.split_once('}') {
                Some((name, tail)) => {
                    let value = blanks
                        .iter()
                        .find(|(n, _)| *n == name)
                        .map_or("", |(_, v)| v);
                    out.push_str(value);
                    rest = tail;
                }
                None => {
                    out.push('{');
                    rest = after;
                }
            }
        }
        out.push_str(rest);
        Ok(out)
    }

    /// All texts, for the templates.
    pub(crate) fn all(&self) -> &BTreeMap<String, String> {
        &self.texts
    }
}

fn blanks_of(text: &str) -> BTreeSet<String> {
    text.split('{')
        .skip(1)
        .filter_map(|piece| piece.split_once('}').map(|(name, _)| name.to_owned()))
        .collect()
}

/// The words of every language asked for, checked against one another.
pub(crate) fn read(theme: &Theme, languages: &[Lang]) -> Result<BTreeMap<Lang, Words>, SiteError> {
    let mut out = BTreeMap::new();
    for lang in languages {
        let texts = of_language(theme, lang)?;
        if texts.is_empty() {
            return Err(SiteError::Words(format!(
                "the theme has no interface words for the language ‘{lang}’; add words/{lang}.toml with the keys of words/en.toml"
            )));
        }
        out.insert(lang.clone(), Words { texts });
    }
    agree(&out)?;
    Ok(out)
}

fn of_language(theme: &Theme, lang: &Lang) -> Result<BTreeMap<String, String>, SiteError> {
    let mut texts = BTreeMap::new();
    for (name, bytes) in theme.folder("words") {
        let stem = name.trim_end_matches(".toml");
        if stem != lang.as_str() && !stem.ends_with(&format!(".{lang}")) {
            continue;
        }
        let text = std::str::from_utf8(bytes)
            .map_err(|e| SiteError::Words(format!("words/{name} is not UTF-8: {e}")))?;
        let part: BTreeMap<String, String> =
            toml::from_str(text).map_err(|e| SiteError::Words(format!("words/{name}: {e}")))?;
        for (key, value) in part {
            if texts.insert(key.clone(), value).is_some() {
                return Err(SiteError::Words(format!(
                    "the interface word ‘{key}’ is given twice for ‘{lang}’ (again in words/{name})"
                )));
            }
        }
    }
    Ok(texts)
}

fn agree(all: &BTreeMap<Lang, Words>) -> Result<(), SiteError> {
    let mut faults = Vec::new();
    for (lang, words) in all {
        for (other_lang, other) in all {
            for (key, text) in &words.texts {
                match other.texts.get(key) {
                    None => faults.push(format!(
                        "‘{key}’ is missing in ‘{other_lang}’ (it is in ‘{lang}’)"
                    )),
                    Some(theirs) if blanks_of(theirs) != blanks_of(text) && lang < other_lang => {
                        faults.push(format!(
                            "‘{key}’ has different blanks in ‘{lang}’ and ‘{other_lang}’"
                        ));
                    }
                    Some(_) => {}
                }
            }
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(SiteError::Words(faults.join("; ")))
    }
}
