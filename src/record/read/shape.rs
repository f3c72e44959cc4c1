//! A record against its schema: every fault of a file in one reading.

use super::schema::{Field, Schema, Want};
use crate::record::ids;
use crate::record::{Findings, Lang, SourceFile, StatementUri, suggest};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Checks a file; `languages` are the site's, when they are known.
pub(super) fn check(
    file: &SourceFile,
    schema: Schema,
    languages: &[Lang],
    findings: &mut Findings,
) {
    let (table, faults) = DeTable::parse_recoverable(&file.text);
    if !faults.is_empty() {
        for fault in faults {
            let span = fault.span().unwrap_or(0..0);
            findings.error(
                "toml",
                file.place(span),
                fault.message().to_owned(),
                "write key = value, as the TOML format asks (toml.io)",
            );
        }
        return;
    }
    let mut shape = Shape {
        file,
        languages,
        findings,
    };
    shape.table(table.get_ref(), 0..0, schema);
}

struct Shape<'a> {
    file: &'a SourceFile,
    languages: &'a [Lang],
    findings: &'a mut Findings,
}

impl Shape<'_> {
    fn error(&mut self, rule: &'static str, span: Range<usize>, what: String, remedy: String) {
        self.findings
            .error(rule, self.file.place(span), what, remedy);
    }

    fn table(&mut self, table: &DeTable<'_>, span: Range<usize>, schema: Schema) {
        for (key, value) in table.iter() {
            match schema.iter().find(|f| f.name == key.get_ref()) {
                Some(field) => self.value(value, field.want, field.name),
                None => self.unknown(key, schema),
            }
        }
        for field in schema.iter().filter(|f| f.required) {
            if !table.iter().any(|(key, _)| key.get_ref() == field.name) {
                self.error(
                    "missing-key",
                    span.clone(),
                    format!("the key ‘{}’ is missing here", field.name),
                    format!("add {}", example(field)),
                );
            }
        }
    }

    fn unknown(&mut self, key: &Spanned<std::borrow::Cow<'_, str>>, schema: Schema) {
        let name = key.get_ref();
        let nearest = nearest(name, schema.iter().map(|f| f.name));
        let remedy = match nearest {
            Some(known) => format!("did you mean ‘{known}’?"),
            None => format!("take it away; known here are {}", names(schema)),
        };
        self.error(
            "unknown-key",
            key.span(),
            format!("the key ‘{name}’ is not known here"),
            remedy,
        );
    }

    fn value(&mut self, value: &Spanned<DeValue<'_>>, want: Want, name: &str) {
        let span = value.span();
        let inner = value.get_ref();
        match (want, inner) {
            (Want::Text, DeValue::String(text)) => {
                if text.trim().is_empty() {
                    self.error(
                        "empty-text",
                        span,
                        format!("‘{name}’ is empty"),
                        "write its words, or take the key away".to_owned(),
                    );
                }
            }
            (Want::Number, DeValue::Float(_) | DeValue::Integer(_)) => {
                self.finite(inner, span, name)
            }
            (Want::Whole, DeValue::Integer(n)) => {
                if n.as_str().starts_with('-') {
                    self.error(
                        "wrong-value",
                        span,
                        format!("‘{name}’ is negative"),
                        "write 0 or more".to_owned(),
                    );
                }
            }
            (Want::Format, DeValue::Integer(n)) => {
                if n.as_str() != "1" {
                    self.error(
                        "format",
                        span,
                        format!("the record format {} is not known", n.as_str()),
                        "write format = 1".to_owned(),
                    );
                }
            }
            (Want::Flag, DeValue::Boolean(_)) => {}
            (Want::Day, DeValue::Datetime(day)) => {
                if day.date.is_none() || day.time.is_some() {
                    self.error(
                        "wrong-type",
                        span,
                        format!("‘{name}’ is not a day"),
                        "write a day without a time, for example 2025-03-04".to_owned(),
                    );
                }
            }
            (Want::Id, DeValue::String(text)) => {
                if let Err(error) = ids::check(text) {
                    self.error(
                        "unsafe-id",
                        span,
                        format!("the id {error}"),
                        format!("write for example \"{}\"", suggest(text)),
                    );
                }
            }
            (Want::OneOf(words), DeValue::String(text)) => {
                if !words.contains(&&**text) {
                    let remedy = match nearest(text, words.iter().copied()) {
                        Some(known) => format!(
                            "did you mean \"{known}\"? Possible are {}",
                            words.join(", ")
                        ),
                        None => format!("write one of {}", words.join(", ")),
                    };
                    self.error(
                        "wrong-word",
                        span,
                        format!("‘{text}’ is not possible for ‘{name}’"),
                        remedy,
                    );
                }
            }
            (Want::Localised, DeValue::Table(texts)) => self.localised(texts, span, name),
            (Want::Statement, DeValue::String(text)) => {
                if let Err(what) = StatementUri::try_from(text.to_string()) {
                    let (what, remedy) = what
                        .split_once("; ")
                        .map_or((what.as_str(), ""), |(a, b)| (a, b));
                    self.error("bad-statement", span, what.to_owned(), remedy.to_owned());
                }
            }
            (Want::Lang, DeValue::String(text)) => {
                if let Err(what) = text.parse::<Lang>() {
                    self.error(
                        "bad-language",
                        span,
                        what,
                        "write a BCP 47 tag, for example \"en\" or \"cy\"".to_owned(),
                    );
                }
            }
            (Want::Numbers(count), DeValue::Array(items)) if items.iter().count() == count => {
                for item in items.iter() {
                    self.value(item, Want::Number, name);
                }
            }
            (Want::Table(schema), DeValue::Table(table)) => self.table(table, span, schema),
            (Want::ById(schema), DeValue::Table(tables)) => {
                for (id, entry) in tables.iter() {
                    if let Err(error) = ids::check(id.get_ref()) {
                        self.error(
                            "unsafe-id",
                            id.span(),
                            format!("the id {error}"),
                            format!("write for example ‘{}’", suggest(id.get_ref())),
                        );
                    }
                    self.value(entry, Want::Table(schema), id.get_ref());
                }
            }
            (Want::Tables(schema), DeValue::Array(items)) => {
                for item in items.iter() {
                    self.value(item, Want::Table(schema), name);
                }
                if items.iter().next().is_none() {
                    self.error(
                        "empty-list",
                        span,
                        format!("‘{name}’ is empty"),
                        "write at least one entry, or take the key away".to_owned(),
                    );
                }
            }
            (Want::List(inside), DeValue::Array(items)) => {
                for item in items.iter() {
                    self.value(item, *inside, name);
                }
            }
            (want, found) => self.error(
                "wrong-type",
                span,
                format!(
                    "‘{name}’ should be {}; this is {}",
                    kind_of(want),
                    named(found.type_str())
                ),
                format!("write for example {name} = {}", sample(want)),
            ),
        }
    }

    fn finite(&mut self, value: &DeValue<'_>, span: Range<usize>, name: &str) {
        let text = match value {
            DeValue::Float(n) => n.as_str(),
            DeValue::Integer(n) => n.as_str(),
            _ => return,
        };
        // Infinity and not-a-number are TOML, but no measurement.
        if text.contains("inf") || text.contains("nan") {
            self.error(
                "wrong-value",
                span,
                format!("‘{name}’ is {text}"),
                "write a number, or take the key away if it is not known".to_owned(),
            );
        }
    }

    fn localised(&mut self, texts: &DeTable<'_>, span: Range<usize>, name: &str) {
        for (key, value) in texts.iter() {
            match key.get_ref().parse::<Lang>() {
                Err(what) => self.error(
                    "bad-language",
                    key.span(),
                    what,
                    "write a BCP 47 tag, for example en or cy".to_owned(),
                ),
                Ok(lang) if !self.languages.is_empty() && !self.languages.contains(&lang) => self
                    .error(
                        "language-unwanted",
                        key.span(),
                        format!("‘{name}’ has the language ‘{lang}’, which the site does not"),
                        format!("take it away, or add \"{lang}\" to languages in site.toml"),
                    ),
                Ok(_) => self.value(value, Want::Text, name),
            }
        }
        for lang in self.languages {
            if !texts
                .iter()
                .any(|(key, _)| key.get_ref().parse::<Lang>().as_ref() == Ok(lang))
            {
                self.error(
                    "language-missing",
                    span.clone(),
                    format!("‘{name}’ lacks the language ‘{lang}’"),
                    format!("add {lang} = \"…\""),
                );
            }
        }
    }
}

fn names(schema: Schema) -> String {
    schema.iter().map(|f| f.name).collect::<Vec<_>>().join(", ")
}

fn example(field: &Field) -> String {
    match field.want {
        Want::Table(schema) => format!("a table [{}] with {}", field.name, names(schema)),
        Want::Tables(schema) => format!("[[{}]] with {}", field.name, names(schema)),
        Want::ById(schema) => format!("[{}.<id>] with {}", field.name, names(schema)),
        want => format!("{} = {}", field.name, sample(want)),
    }
}

fn sample(want: Want) -> String {
    match want {
        Want::Text => "\"…\"".to_owned(),
        Want::Number => "1.5".to_owned(),
        Want::Whole | Want::Format => "1".to_owned(),
        Want::Flag => "true".to_owned(),
        Want::Day => "2025-03-04".to_owned(),
        Want::Id => "\"some-id\"".to_owned(),
        Want::OneOf(words) => words
            .iter()
            .map(|w| format!("\"{w}\""))
            .collect::<Vec<_>>()
            .join(" or "),
        Want::Localised => "{ en = \"…\" }".to_owned(),
        Want::Statement => "\"https://creativecommons.org/licenses/by/4.0/\"".to_owned(),
        Want::Lang => "\"en\"".to_owned(),
        Want::Numbers(count) => format!("[{}]", vec!["1.0"; count].join(", ")),
        Want::Table(schema) | Want::ById(schema) => format!("{{ {} }}", names(schema)),
        Want::Tables(schema) => format!("[{{ {} }}]", names(schema)),
        Want::List(inside) => format!("[{}]", sample(*inside)),
    }
}

fn kind_of(want: Want) -> String {
    match want {
        Want::Text => "words in quotes".to_owned(),
        Want::Number => "a number".to_owned(),
        Want::Whole | Want::Format => "a whole number".to_owned(),
        Want::Flag => "true or false".to_owned(),
        Want::Day => "a day".to_owned(),
        Want::Id => "an id in quotes".to_owned(),
        Want::OneOf(_) => "one of certain words".to_owned(),
        Want::Localised => "a table with a text for each language".to_owned(),
        Want::Statement => "the address of a licence or rights statement".to_owned(),
        Want::Lang => "a language tag in quotes".to_owned(),
        Want::Numbers(count) => format!("a list of {count} numbers"),
        Want::Table(_) | Want::ById(_) => "a table".to_owned(),
        Want::Tables(_) => "a list of tables".to_owned(),
        Want::List(_) => "a list".to_owned(),
    }
}

/// TOML's names of types in plain words.
fn named(kind: &str) -> &'static str {
    match kind {
        "string" => "words in quotes",
        "integer" | "float" => "a number",
        "boolean" => "true or false",
        "datetime" => "a day or time",
        "array" => "a list",
        _ => "a table",
    }
}

/// The known word nearest to what was written, if it is near: at most a third of its letters
/// wrong (Levenshtein's distance).
pub(in crate::record) fn nearest<'a>(
    written: &str,
    known: impl Iterator<Item = &'a str>,
) -> Option<&'a str> {
    let far = |word: &&str| distance(written, word);
    let best = known.min_by_key(far)?;
    (distance(written, best) * 3 <= best.chars().count().max(3)).then_some(best)
}

fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let replaced = diagonal + usize::from(x != *y);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}
