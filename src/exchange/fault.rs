//! What is wrong with a received file, what was left out of it, and what came of it.

use super::{Bounds, Item};
use std::collections::BTreeMap;
use std::fmt;

/// Something wrong in a received file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Where: "line 7", "row 3 (line 7), column ‘name.cy’".
    pub place: String,
    /// What, and what to do: whole sentences.
    pub what: String,
}

impl Fault {
    pub(super) fn at(place: impl Into<String>, what: impl Into<String>) -> Self {
        Self {
            place: place.into(),
            what: what.into(),
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.place.is_empty() {
            true => f.write_str(&self.what),
            false => write!(f, "{}: {}", self.place, self.what),
        }
    }
}

/// What a record holds that was not taken over: by column or path, and how often.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Left(pub BTreeMap<String, usize>);

impl Left {
    pub(super) fn one(&mut self, path: impl Into<String>) {
        *self.0.entry(path.into()).or_default() += 1;
    }
}

/// One record of a received file.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// What was understood.
    pub item: Item,
    /// What was not.
    pub left: Left,
    /// The record as it was received, as a file of its own.
    pub received: String,
}

/// A received file.
#[derive(Debug, Clone, PartialEq)]
pub struct Received {
    /// How it was read: "a table, separated by semicolons", "LIDO".
    pub how: String,
    /// Ending of a file of this kind.
    pub ending: &'static str,
    /// Its records.
    pub records: Vec<Taken>,
}

/// The text of a file, or why it is none.
pub(super) fn text<'b>(bytes: &'b [u8], bounds: &Bounds) -> Result<&'b str, Vec<Fault>> {
    let refuse = |place: String, what: &str| Err(vec![Fault::at(place, what)]);
    if bytes.len() as u64 > bounds.bytes {
        let what = format!(
            "The file is larger than {} MB. Divide it.",
            bounds.bytes >> 20
        );
        return refuse(String::new(), &what);
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return refuse(
            "byte 1".into(),
            "The file is UTF-16. Save it as UTF-8: spreadsheets call it “CSV UTF-8” or ask for the character set.",
        );
    }
    if bytes.contains(&0) {
        return refuse(
            String::new(),
            "The file holds zero bytes, so it is no text. If it is a spreadsheet, save it as “CSV UTF-8”.",
        );
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => {
            let text = text.strip_prefix('\u{feff}').unwrap_or(text);
            match text.trim().is_empty() {
                true => refuse(String::new(), "The file is empty."),
                false => Ok(text),
            }
        }
        Err(error) => {
            let good = &bytes[..error.valid_up_to()];
            let line = good.iter().filter(|b| **b == b'\n').count() + 1;
            let start = good
                .iter()
                .rposition(|b| *b == b'\n')
                .map_or(0, |at| at + 1);
            let before = String::from_utf8_lossy(&good[start..]);
            let words = format!(
                "The byte {:02X} is not UTF-8. The file was perhaps saved as Windows-1252 or Latin-1: save it as UTF-8. Before it stands ‘{}’.",
                bytes[error.valid_up_to()],
                tail(&before)
            );
            let place = format!("line {line}, character {}", before.chars().count() + 1);
            refuse(place, &words)
        }
    }
}

/// The last few characters.
fn tail(text: &str) -> String {
    let all: Vec<char> = text.chars().collect();
    all[all.len().saturating_sub(24)..].iter().collect()
}
