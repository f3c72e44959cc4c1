//! Languages (BCP 47) and text that exists once per language.

use super::ByLang;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A language tag, checked against BCP 47 (RFC 5646) and kept in its canonical case.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Lang(String);

/// The direction in which a language is written, for the `dir` attribute.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Dir {
    /// Left to right.
    Ltr,
    /// Right to left.
    Rtl,
}

impl Lang {
    /// The tag as text, for example `cy` or `en-GB`.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The primary language subtag: `en` of `en-GB`.
    pub fn primary(&self) -> &str {
        self.0.split('-').next().unwrap_or(&self.0)
    }

    /// The writing direction, from the script subtag or else the language's usual script
    /// (CLDR likely subtags, right-to-left scripts).
    pub fn dir(&self) -> Dir {
        let script =
            self.0.split('-').skip(1).find(|subtag| {
                subtag.len() == 4 && subtag.chars().all(|c| c.is_ascii_alphabetic())
            });
        let rtl = match script {
            Some(script) => matches!(
                script,
                "Arab" | "Hebr" | "Syrc" | "Thaa" | "Nkoo" | "Adlm" | "Rohg" | "Samr" | "Mand"
            ),
            None => matches!(
                self.primary(),
                "ar" | "arc"
                    | "ckb"
                    | "dv"
                    | "fa"
                    | "he"
                    | "nqo"
                    | "ps"
                    | "sd"
                    | "syr"
                    | "ug"
                    | "ur"
                    | "yi"
            ),
        };
        if rtl { Dir::Rtl } else { Dir::Ltr }
    }
}

impl TryFrom<String> for Lang {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        oxilangtag::LanguageTag::parse_and_normalize(&text)
            .map(|tag| Self(tag.into_inner()))
            .map_err(|e| format!("‘{text}’ is not a language tag: {e}"))
    }
}

impl std::str::FromStr for Lang {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        Self::try_from(text.to_owned())
    }
}

impl From<Lang> for String {
    fn from(lang: Lang) -> String {
        lang.0
    }
}

impl fmt::Display for Lang {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A short text given once per language, as a TOML table: `{ en = "lip", cy = "min" }`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Localised(pub ByLang<String>);

impl Localised {
    /// The text in this language. Reading has checked that every language of the site is there.
    pub fn get(&self, lang: &Lang) -> Option<&str> {
        self.0.get(lang).map(String::as_str)
    }
}
