//! One TOML file beside its shape: every fault in it becomes a finding, and every value that a
//! later check may point at is kept with its span.

use super::places::{Leaf, LocalisedPlace, Places};
use super::shape::{Key, Shape};
use super::wording::{example, join, last, wanted};
use crate::record::{Day, Findings, Lang, SourceFile, StatementUri, ids, nearest};
use serde::de::DeserializeOwned;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A record: its file, the places in it, and the typed facts unless something is wrong.
#[derive(Debug)]
pub(crate) struct Record<T> {
    pub(crate) file: SourceFile,
    pub(crate) facts: Option<T>,
    pub(crate) places: Places,
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
        let remedy = if fault.message().contains("duplicate key") {
            "The same key stands here and further up; leave one of the two out."
        } else {
            "Write one ‘key = value’ on a line, text in double quotes, and close every bracket and quote."
        };
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
            (Shape::ByFile(inner), DeValue::Table(table)) => {
                let names = table.keys().map(|name| name.get_ref().to_string());
                self.places.names.insert(path.to_owned(), names.collect());
                for (name, value) in table {
                    self.value(&join(path, name.get_ref()), value, inner, whole);
                }
            }
            (Shape::Localised, DeValue::Table(table)) => self.localised(path, span, table),
            (Shape::FilesByLang, DeValue::Table(table)) => {
                for (name, value) in table {
                    let (text, span) = (name.get_ref().to_string(), name.span());
                    self.lang(&Leaf { text, span });
                    let path = join(path, name.get_ref());
                    self.value(&path, value, &Shape::Text, whole);
                }
            }
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
                if StatementUri::try_from(leaf.text.clone()).is_err() {
                    let what = format!("‘{}’ is no known licence or rights statement.", leaf.text);
                    let remedy = "Write for example http://rightsstatements.org/vocab/InC/1.0/ or \
                        https://creativecommons.org/licenses/by/4.0/.";
                    let span = leaf.span.clone();
                    self.fault("unknown-statement", span, what, remedy.to_owned());
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
        let found = match (shape, found) {
            (Shape::Whole, "integer" | "float") => "another number",
            (Shape::Numbers(_), "array") => "a list of another length",
            (_, "string") => "text",
            (_, "integer" | "float") => "a number",
            (_, "boolean") => "true or false",
            (_, "datetime") => "a day or time",
            (_, "array") => "a list",
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
