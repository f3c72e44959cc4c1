//! What is changed in a record, and to what.

use crate::record::Day;
use serde::{Deserialize, Serialize};
use std::fmt;

/// One step on the way to a value: `["bodies", "original", "parts", 0, "name", "en"]`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Step {
    /// A key of a table.
    Key(String),
    /// A place in a list, from 0.
    At(usize),
}

impl From<&str> for Step {
    fn from(key: &str) -> Self {
        Self::Key(key.to_owned())
    }
}

impl From<usize> for Step {
    fn from(at: usize) -> Self {
        Self::At(at)
    }
}

/// A value of a record; in JSON `{ "text": "…" }`, `{ "list": [ … ] }`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Value {
    /// A text.
    Text(String),
    /// A whole number.
    Whole(i64),
    /// A number.
    Number(f64),
    /// Yes or no.
    Truth(bool),
    /// A calendar day.
    #[serde(with = "day")]
    Day(Day),
    /// A list.
    List(Vec<Value>),
    /// A table, its keys in the order in which they will be written.
    Table(Vec<(String, Value)>),
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

/// A day as text, since JSON has no days.
mod day {
    use super::Day;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub(super) fn serialize<S: Serializer>(day: &Day, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(day)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(d: D) -> Result<Day, D::Error> {
        String::deserialize(d)?.parse().map_err(D::Error::custom)
    }
}

/// One change of a record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// Sets a value. Tables on the way are made when they are missing; a table or list that is
    /// there is changed only where it differs.
    Set {
        /// The way to it.
        key: Vec<Step>,
        /// The value.
        value: Value,
    },
    /// Takes a value away; it must be there.
    Remove {
        /// The way to it.
        key: Vec<Step>,
    },
    /// Adds a table, or another value, at the end of a list, which is begun when it is missing.
    Append {
        /// The way to the list.
        key: Vec<Step>,
        /// What is added.
        table: Value,
    },
}

/// A way as it is shown: `parts[0].name`.
pub(super) fn dotted(key: &[Step]) -> String {
    let mut out = String::new();
    for step in key {
        match step {
            Step::Key(key) if out.is_empty() => out.push_str(key),
            Step::Key(key) => out.push_str(&format!(".{key}")),
            Step::At(at) => out.push_str(&format!("[{at}]")),
        }
    }
    out
}

impl fmt::Display for Change {
    /// For showing what somebody meant to change.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Set { key, value } => write!(f, "{} = {value}", dotted(key)),
            Self::Remove { key } => write!(f, "# without {}", dotted(key)),
            Self::Append { key, table } => write!(f, "{}[] = {table}", dotted(key)),
        }
    }
}

impl fmt::Display for Value {
    /// As TOML.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match super::form::fresh(self) {
            Ok(value) => write!(f, "{value}"),
            Err(fault) => write!(f, "({fault})"),
        }
    }
}
