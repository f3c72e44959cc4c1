//! The text files that were read, for turning a key of a record into a place.

use super::{Place, SourceFile};
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Text files by their name within the content folder.
#[derive(Debug, Clone, Default)]
pub struct Sources(BTreeMap<String, SourceFile>);

impl Sources {
    /// Keeps a file.
    pub(super) fn add(&mut self, file: SourceFile) {
        self.0.insert(file.name.clone(), file);
    }

    /// The file of this name.
    pub fn get(&self, name: &str) -> Option<&SourceFile> {
        self.0.get(name)
    }

    /// Where a value stands in a TOML file: `path` gives keys, and numbers for places in arrays.
    /// When the value is not there, the place of the nearest table that should hold it.
    pub fn place_of(&self, name: &str, path: &[&str]) -> Place {
        let Some(file) = self.0.get(name) else {
            return SourceFile::whole(name);
        };
        let (table, _) = DeTable::parse_recoverable(&file.text);
        file.place(span_of(&table, path))
    }
}

fn span_of(table: &Spanned<DeTable<'_>>, path: &[&str]) -> Range<usize> {
    let mut span = 0..0;
    let Some((first, mut rest)) = path.split_first() else {
        return span;
    };
    let mut here = table
        .get_ref()
        .iter()
        .find(|(key, _)| key.get_ref() == first)
        .map(|(key, value)| (key.span(), value));
    while let Some((key, value)) = here {
        // The value itself where it is the end of the path, else the key of its table.
        span = if rest.is_empty() { value.span() } else { key };
        let Some((next, tail)) = rest.split_first() else {
            break;
        };
        rest = tail;
        here = match value.get_ref() {
            DeValue::Table(table) => table
                .iter()
                .find(|(k, _)| k.get_ref() == next)
                .map(|(k, v)| (k.span(), v)),
            DeValue::Array(items) => next
                .parse::<usize>()
                .ok()
                .and_then(|i| items.iter().nth(i))
                .map(|item| (item.span(), item)),
            _ => None,
        };
    }
    span
}
