//! The places of a record's values, kept so that later checks can point at them.

use super::shape::Refers;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A text of a record, with its span (for text in quotes: with the quotes).
#[derive(Debug, Clone)]
pub(crate) struct Leaf {
    pub(crate) text: String,
    pub(crate) span: Range<usize>,
}

/// A text in several languages.
#[derive(Debug)]
pub(crate) struct LocalisedPlace {
    /// Path of keys: `label`, `photographs.0.alt`.
    pub(crate) path: String,
    pub(crate) span: Range<usize>,
    /// Language as written, span of the language, text.
    pub(crate) texts: Vec<(String, Range<usize>, Leaf)>,
}

/// Places by path of keys: `bodies.original.parts.0.model`.
#[derive(Debug, Default)]
pub(crate) struct Places {
    pub(super) spans: BTreeMap<String, Range<usize>>,
    pub(super) leaves: BTreeMap<String, Leaf>,
    pub(crate) mentions: Vec<(Refers, String, Leaf)>,
    pub(crate) localised: Vec<LocalisedPlace>,
    /// Keys of tables whose keys are ids, such as `people`.
    pub(super) names: BTreeMap<String, BTreeSet<String>>,
}

impl Places {
    /// The span at a path, or of the nearest table around it that is written.
    pub(crate) fn at(&self, path: &str) -> Range<usize> {
        let mut path = path;
        loop {
            if let Some(span) = self.spans.get(path) {
                return span.clone();
            }
            match path.rsplit_once('.') {
                Some((outer, _)) => path = outer,
                None => return 0..0,
            }
        }
    }

    /// Whether something is written at this path.
    pub(crate) fn has(&self, path: &str) -> bool {
        self.spans.contains_key(path)
    }

    /// The text at a path.
    pub(crate) fn text(&self, path: &str) -> Option<&Leaf> {
        self.leaves.get(path)
    }

    /// The texts at `list.0.key`, `list.1.key` and so on, with their place in the list.
    pub(crate) fn each(&self, list: &str, key: &str) -> Vec<(usize, &Leaf)> {
        let mut out: Vec<(usize, &Leaf)> = self
            .leaves
            .iter()
            .filter_map(|(path, leaf)| {
                let rest = path.strip_prefix(list)?.strip_prefix('.')?;
                let (number, name) = rest.split_once('.').unwrap_or((rest, ""));
                (name == key).then_some((number.parse().ok()?, leaf))
            })
            .collect();
        out.sort_by_key(|(number, _)| *number);
        out
    }

    /// The texts of a table of texts, by their key.
    pub(crate) fn below(&self, path: &str) -> Vec<(&str, &Leaf)> {
        self.leaves
            .iter()
            .filter_map(|(leaf, text)| {
                let key = leaf.strip_prefix(path)?.strip_prefix('.')?;
                (!key.contains('.')).then_some((key, text))
            })
            .collect()
    }

    /// The ids that are keys of the table at `path`.
    pub(crate) fn names(&self, path: &str) -> BTreeSet<String> {
        self.names.get(path).cloned().unwrap_or_default()
    }

    /// Paths of all tables called `evidence`.
    pub(crate) fn evidence(&self) -> impl Iterator<Item = &str> {
        self.spans
            .keys()
            .filter(|path| *path == "evidence" || path.ends_with(".evidence"))
            .map(String::as_str)
    }
}

/// The span of one value of a TOML text, for stages that come after the reading.
pub(super) fn span_of(text: &str, path: &[&str]) -> Range<usize> {
    let (table, _): (Spanned<DeTable<'_>>, _) = DeTable::parse_recoverable(text);
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
                .and_then(|i| items.get(i))
                .map(|item| (item.span(), item)),
            _ => None,
        };
    }
    span
}
