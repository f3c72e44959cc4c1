//! Identifiers: each kind its own type, so that a part can never be passed for a detail.
//!
//! An id is also a folder name and a piece of a web address, so it is kept to what every
//! file system and every address bar agrees on: lower-case ASCII letters, digits and single
//! hyphens, 1 to 64 characters, beginning with a letter or digit, and none of the names that
//! Windows reserves.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Longest id, in characters: leaves room for suffixes within a 255-byte file name.
pub(crate) const LONGEST_ID: usize = 64;

/// Device names that Windows refuses as file names, with or without an extension
/// (Microsoft, "Naming Files, Paths, and Namespaces").
const RESERVED: [&str; 22] = [
    "con", "prn", "aux", "nul", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8",
    "com9", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9",
];

/// Why a string cannot be an id; the text is a whole sentence for a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IdError(String);

impl fmt::Display for IdError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for IdError {}

/// Checks one id.
pub(crate) fn check(id: &str) -> Result<(), IdError> {
    let fault = |what: &str| Err(IdError(format!("‘{id}’ {what}")));
    if id.is_empty() {
        return fault("is empty");
    }
    if id.len() > LONGEST_ID {
        return fault("is longer than 64 characters");
    }
    if let Some(bad) = id
        .chars()
        .find(|c| !matches!(c, 'a'..='z' | '0'..='9' | '-'))
    {
        return fault(&format!(
            "contains ‘{}’, where only a to z, digits and hyphens may stand",
            shown(bad)
        ));
    }
    if id.starts_with('-') || id.ends_with('-') || id.contains("--") {
        return fault("begins, ends or doubles its hyphen");
    }
    if RESERVED.contains(&id) {
        return fault("is a name that Windows reserves");
    }
    Ok(())
}

/// A character as it can be shown in a sentence.
fn shown(c: char) -> String {
    if c.is_control() {
        c.escape_default().to_string()
    } else {
        c.to_string()
    }
}

/// The nearest id that would be accepted, for the remedy of a finding.
pub fn suggest(id: &str) -> String {
    use unicode_normalization::UnicodeNormalization;
    let mut out = String::new();
    for c in id.nfkd().flat_map(char::to_lowercase) {
        match c {
            'a'..='z' | '0'..='9' => out.push(c),
            '\u{300}'..='\u{36f}' => {}
            _ if !out.ends_with('-') && !out.is_empty() => out.push('-'),
            _ => {}
        }
    }
    out.truncate(LONGEST_ID - 2);
    let out = out.trim_matches('-').to_owned();
    if out.is_empty() || RESERVED.contains(&out.as_str()) {
        format!("{out}-1").trim_start_matches('-').to_owned()
    } else {
        out
    }
}

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(String);

        impl $name {
            /// The id as text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl TryFrom<String> for $name {
            type Error = IdError;
            fn try_from(text: String) -> Result<Self, IdError> {
                check(&text)?;
                Ok(Self(text))
            }
        }

        impl std::str::FromStr for $name {
            type Err = IdError;
            fn from_str(text: &str) -> Result<Self, IdError> {
                Self::try_from(text.to_owned())
            }
        }

        impl From<$name> for String {
            fn from(id: $name) -> String {
                id.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

id!(/// An object: the name of its folder in `content/`.
    ObjectId);
id!(/// A part of an object; the same id on both bodies means the same part.
    PartId);
id!(/// A detail: the name of its folder in `details/`.
    DetailId);
id!(/// A step of the making, without the number that orders its folder.
    StepId);
id!(/// A glossary term: the name of its folder in `terms/`.
    TermId);
id!(/// A material named in an object's record.
    MaterialId);
id!(/// A source named in an object's record.
    SourceId);
id!(/// A person or group named in `site.toml`.
    PersonId);
id!(/// A statement of rights named in an object's record.
    RightsId);
