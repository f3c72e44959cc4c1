//! One TOML file beside its shape: every fault in it becomes a finding, and every value that a
//! later check may point at is kept with its span.

use super::shape::{Key, Refers, Shape};
use crate::record::{Day, Findings, Lang, SourceFile, StatementUri, ids, nearest};
use serde::de::DeserializeOwned;
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

/// A record: its file, the places in it, and the typed facts unless something is wrong.
#[derive(Debug)]
pub(crate) struct Record<T> {
    pub(crate) file: SourceFile,
    pub(crate) facts: Option<T>,
    pub(crate) places: Places,
}

/// Places by path of keys: `bodies.original.parts.0.model`.
#[derive(Debug, Default)]
pub(crate) struct Places {
    spans: BTreeMap<String, Range<usize>>,
    leaves: BTreeMap<String, Leaf>,
    pub(crate) mentions: Vec<(Refers, String, Leaf)>,
    pub(crate) localised: Vec<LocalisedPlace>,
    /// Keys of tables whose keys are ids, such as `people`.
    names: BTreeMap<String, BTreeSet<String>>,
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

/// Reads the facts of one file, reporting all that is wrong in it.
pub(crate) fn read<T: DeserializeOwned>(
    file: SourceFile,
    keys: &[Key],
    findings: &mut Findings,
) -> Record<T> {
    let (root, faults) = DeTable::parse_recoverable(&file.text);
    let mut walk = Walk {
        file: &file,
        places: Places::default(),
        findings: Findings::none(),
    };
    for fault in &faults {
        let what = format!(
            "This is not TOML: {}.",
            fault.message().trim_end_matches('.').replace('\n', "; ")
        );
        let remedy = "Write one ‘key = value’ on a line, text in double quotes, and close every bracket and quote.";
        walk.findings
            .push(file.error("toml-syntax", fault.span().unwrap_or(0..0), what, remedy));
    }
    // After a syntax error, keys that seem to be missing may only be unreadable.
    walk.table("", 0..0, root.get_ref(), keys, faults.is_empty());
    let Walk {
        places,
        findings: mut found,
        ..
    } = walk;
    let facts = if found.refuse() {
        None
    } else {
        match toml::from_str(&file.text) {
            Ok(facts) => Some(facts),
            Err(fault) => {
                let what = format!(
                    "This cannot be read: {}.",
                    fault.message().trim_end_matches('.')
                );
                let span = fault.span().unwrap_or(0..0);
                found.push(file.error(
                    "wrong-type",
                    span,
                    what,
                    "Write a value of the kind described.",
                ));
                None
            }
        }
    };
    findings.extend(found);
    Record {
        file,
        facts,
        places,
    }
}

struct Walk<'f> {
    file: &'f SourceFile,
    places: Places,
    findings: Findings,
}

impl Walk<'_> {
    fn table(
        &mut self,
        path: &str,
        span: Range<usize>,
        table: &DeTable<'_>,
        keys: &[Key],
        whole: bool,
    ) {
        for (name, value) in table {
            match keys.iter().find(|k| k.name == name.get_ref()) {
                Some(key) => self.value(&join(path, key.name), value, &key.shape, whole),
                None => self.unknown(name.get_ref(), name.span(), keys),
            }
        }
        let missing = keys
            .iter()
            .filter(|k| k.needed && !table.keys().any(|n| n.get_ref() == k.name));
        for key in missing.filter(|_| whole) {
            let at = if path.is_empty() {
                "the record".into()
            } else {
                format!("‘{path}’")
            };
            let what = format!("The key ‘{}’ is missing from {at}.", key.name);
            let remedy = format!("Add {}.", example(key));
            self.fault("missing-key", span.clone(), what, remedy);
        }
    }

    fn unknown(&mut self, name: &str, span: Range<usize>, keys: &[Key]) {
        let known: Vec<&str> = keys.iter().map(|k| k.name).collect();
        let remedy = match nearest(name, known.iter().copied()) {
            Some(near) => format!("Did you mean ‘{near}’?"),
            None => format!("The keys here are: {}.", known.join(", ")),
        };
        self.fault(
            "unknown-key",
            span,
            format!("The key ‘{name}’ is not known here."),
            remedy,
        );
    }

    fn value(&mut self, path: &str, value: &Spanned<DeValue<'_>>, shape: &Shape, whole: bool) {
        let span = value.span();
        self.places.spans.insert(path.to_owned(), span.clone());
        match (shape, value.get_ref()) {
            (Shape::Table(keys), DeValue::Table(table)) => {
                self.table(path, span, table, keys, whole)
            }
            (Shape::List(inner), DeValue::Array(values)) => {
                for (number, value) in values.iter().enumerate() {
                    self.value(&join(path, &number.to_string()), value, inner, whole);
                }
            }
            (Shape::ById(inner), DeValue::Table(table)) => {
                let names = table
                    .keys()
                    .map(|name| name.get_ref().to_string())
                    .collect();
                self.places.names.insert(path.to_owned(), names);
                for (name, value) in table {
                    self.id(name.get_ref(), name.span());
                    self.value(&join(path, name.get_ref()), value, inner, whole);
                }
            }
            (Shape::Localised, DeValue::Table(table)) => self.localised(path, span, table),
            (Shape::Numbers(count), DeValue::Array(values)) if values.len() == *count => {
                for (number, value) in values.iter().enumerate() {
                    self.value(
                        &join(path, &number.to_string()),
                        value,
                        &Shape::Number,
                        whole,
                    );
                }
            }
            (_, DeValue::String(text)) => self.text(
                path,
                Leaf {
                    text: text.to_string(),
                    span,
                },
                shape,
            ),
            (Shape::Format, DeValue::Integer(number)) if number.as_str() == "1" => {}
            (Shape::Format, _) => {
                let what = "The format is not one this version of counterpart reads.".into();
                self.fault("format", span, what, "Write ‘format = 1’.".into());
            }
            (Shape::Whole, DeValue::Integer(number))
                if u32::from_str_radix(number.as_str(), number.radix()).is_ok() => {}
            (Shape::Number, DeValue::Integer(_)) | (Shape::Flag, DeValue::Boolean(_)) => {}
            (Shape::Number, DeValue::Float(number)) => {
                if !number.as_str().parse::<f64>().is_ok_and(f64::is_finite) {
                    let what = format!(
                        "‘{}’ is not a number that can be measured.",
                        number.as_str()
                    );
                    self.fault(
                        "not-finite",
                        span,
                        what,
                        "Write the measured number, such as 12.5.".into(),
                    );
                }
            }
            (Shape::Day, DeValue::Datetime(day)) => {
                if day.time.is_some()
                    || day.offset.is_some()
                    || day.to_string().parse::<Day>().is_err()
                {
                    let what = format!("‘{day}’ is not a day alone.");
                    self.fault(
                        "wrong-type",
                        span,
                        what,
                        "Write a day such as 2025-03-04, without quotes.".into(),
                    );
                }
            }
            (shape, found) => self.wrong(path, span, shape, found.type_str()),
        }
    }

    /// A text where `shape` is wanted.
    fn text(&mut self, path: &str, leaf: Leaf, shape: &Shape) {
        match shape {
            Shape::Text => {
                if leaf.text.trim().is_empty() {
                    let what = format!("The text of ‘{path}’ is empty.");
                    self.fault(
                        "empty-text",
                        leaf.span.clone(),
                        what,
                        "Write it, or leave the key out if it may be left out.".into(),
                    );
                }
            }
            Shape::Id => self.id(&leaf.text, leaf.span.clone()),
            Shape::Mention(refers) => {
                self.places
                    .mentions
                    .push((*refers, path.to_owned(), leaf.clone()))
            }
            Shape::Lang => self.lang(&leaf),
            Shape::Statement => {
                if let Err(cause) = StatementUri::try_from(leaf.text.clone()) {
                    let (what, remedy) = cause.split_once("; ").unwrap_or((&cause, ""));
                    self.fault(
                        "unknown-statement",
                        leaf.span.clone(),
                        format!("{what}."),
                        format!("{}.", capital(remedy)),
                    );
                }
            }
            Shape::Choice(words) if words.contains(&leaf.text.as_str()) => {}
            Shape::Choice(words) => {
                let remedy = match nearest(&leaf.text, words.iter().copied()) {
                    Some(near) => format!(
                        "Did you mean \"{near}\"? Possible are: {}.",
                        words.join(", ")
                    ),
                    None => format!("Write one of: {}.", words.join(", ")),
                };
                let what = format!(
                    "‘{}’ is not one of the words for ‘{}’.",
                    leaf.text,
                    last(path)
                );
                self.fault("unknown-word", leaf.span.clone(), what, remedy);
            }
            other => return self.wrong(path, leaf.span, other, "string"),
        }
        self.places.leaves.insert(path.to_owned(), leaf);
    }

    fn localised(&mut self, path: &str, span: Range<usize>, table: &DeTable<'_>) {
        let mut place = LocalisedPlace {
            path: path.to_owned(),
            span,
            texts: Vec::new(),
        };
        for (lang, value) in table {
            let lang_leaf = Leaf {
                text: lang.get_ref().to_string(),
                span: lang.span(),
            };
            self.lang(&lang_leaf);
            match value.get_ref() {
                DeValue::String(text) => {
                    let leaf = Leaf {
                        text: text.to_string(),
                        span: value.span(),
                    };
                    place.texts.push((lang_leaf.text, lang_leaf.span, leaf));
                }
                other => self.wrong(
                    &join(path, lang.get_ref()),
                    value.span(),
                    &Shape::Text,
                    other.type_str(),
                ),
            }
        }
        self.places.localised.push(place);
    }

    fn lang(&mut self, leaf: &Leaf) {
        if Lang::try_from(leaf.text.clone()).is_err() {
            let what = format!("‘{}’ is not a language tag (BCP 47).", leaf.text);
            self.fault(
                "bad-language",
                leaf.span.clone(),
                what,
                "Write a tag such as \"en\", \"cy\" or \"pt-BR\".".into(),
            );
        }
    }

    fn id(&mut self, id: &str, span: Range<usize>) {
        if let Err(cause) = ids::check(id) {
            self.fault(
                "unsafe-id",
                span,
                format!("The id {cause}."),
                format!("Write \"{}\".", ids::suggest(id)),
            );
        }
    }

    fn wrong(&mut self, path: &str, span: Range<usize>, shape: &Shape, found: &str) {
        let wanted = wanted(shape);
        let found = match found {
            "string" => "text",
            "integer" | "float" => "a number",
            "boolean" => "true or false",
            "datetime" => "a day or time",
            "array" => "a list",
            _ => "a table",
        };
        let what = format!("‘{}’ wants {}; here stands {found}.", last(path), wanted.0);
        self.fault(
            "wrong-type",
            span,
            what,
            format!("Write for example {}.", wanted.1),
        );
    }

    fn fault(&mut self, rule: &'static str, span: Range<usize>, what: String, remedy: String) {
        self.findings
            .push(self.file.error(rule, span, what, remedy));
    }
}

/// What a shape wants, and how it is written.
fn wanted(shape: &Shape) -> (String, &'static str) {
    let (what, example) = match shape {
        Shape::Text => ("text in quotes", "\"Brackwater Museum\""),
        Shape::Format => ("the number 1", "1"),
        Shape::Whole => ("a whole number, 0 or more", "3"),
        Shape::Number => ("a number", "12.5"),
        Shape::Flag => ("true or false", "true"),
        Shape::Day => ("a day without quotes", "2025-03-04"),
        Shape::Lang => ("a language tag in quotes", "\"en\""),
        Shape::Statement => (
            "an address in quotes",
            "\"https://creativecommons.org/licenses/by/4.0/\"",
        ),
        Shape::Choice(words) => {
            return (
                format!("one of: {}", words.join(", ")),
                "one of these words in quotes",
            );
        }
        Shape::Id | Shape::Mention(_) => ("an id in quotes", "\"bell-metal\""),
        Shape::Localised => (
            "text for each language",
            "{ en = \"bell\", cy = \"cloch\" }",
        ),
        Shape::Numbers(2) => ("two numbers, the lowest and the highest", "[8.6, 8.7]"),
        Shape::Numbers(count) => return (format!("{count} numbers"), "[0.0, 12.5, 40.0]"),
        Shape::Table(_) => (
            "a table of keys",
            "{ key = \"value\" }, or a section with its name in brackets",
        ),
        Shape::List(_) => ("a list", "[ … ]"),
        Shape::ById(_) => ("a table with an id for each entry", "[people.an-id]"),
    };
    (what.to_owned(), example)
}

fn example(key: &Key) -> String {
    match &key.shape {
        Shape::Table(_) => format!("the section ‘{}’", key.name),
        Shape::List(Shape::Table(_)) => format!("at least one section ‘[[{}]]’", key.name),
        Shape::ById(_) => format!("a section ‘[{}.an-id]’", key.name),
        Shape::Choice(words) => format!(
            "‘{} = \"{}\"’, or another of: {}",
            key.name,
            words[0],
            words.join(", ")
        ),
        shape => format!("it, for example ‘{} = {}’", key.name, wanted(shape).1),
    }
}

fn join(path: &str, step: &str) -> String {
    if path.is_empty() {
        step.to_owned()
    } else {
        format!("{path}.{step}")
    }
}

/// The key at the end of a path, without numbers in lists.
fn last(path: &str) -> &str {
    path.rsplit('.')
        .find(|s| s.parse::<usize>().is_err())
        .unwrap_or(path)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or(String::new(), |c| c.to_uppercase().chain(letters).collect())
}
