//! Findings as text for people, with the place underlined, and as JSON for programs.

use super::{Finding, Findings, Severity, Sources};
use crate::messages::Messages;
use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};
use rayon::prelude::*;
use serde::Serialize;

/// Version of the JSON form.
const FORMAT: u32 = 1;

/// Every finding with an excerpt of its file, what is wrong and what to write instead, and a
/// last line that counts them. `colour` adds terminal escapes.
pub fn plain(findings: &Findings, sources: &Sources, colour: bool) -> String {
    told(findings, sources, colour, Messages::english())
}

/// The same in the language of the messages; excerpts stay as they are.
pub fn told(findings: &Findings, sources: &Sources, colour: bool, messages: &Messages) -> String {
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let mut out = String::new();
    let told = findings.as_slice().par_iter();
    let told = told.map(|finding| one(finding, sources, &renderer, messages));
    for text in told.collect::<Vec<_>>() {
        out.push_str(&text);
        out.push_str("\n\n");
    }
    out.push_str(&count(findings, messages));
    out.push('\n');
    out
}

fn one(finding: &Finding, sources: &Sources, renderer: &Renderer, messages: &Messages) -> String {
    let level = match finding.severity {
        Severity::Error => Level::ERROR.with_name(messages.say("error")),
        Severity::Advice => Level::NOTE.with_name(messages.say("advice")),
    };
    let place = &finding.place;
    let file = visible(&place.file);
    let what = visible(&messages.say(&finding.what));
    let title = level.primary_title(what).id(finding.rule);
    let excerpt = sources.get(&place.file).filter(|_| place.span != (0..0));
    let group = match excerpt {
        Some(source) => title.element(
            Snippet::source(source.text.as_str())
                .path(file)
                .fold(true)
                .annotation(AnnotationKind::Primary.span(first_line(&source.text, &place.span))),
        ),
        None => title.element(
            Origin::path(file)
                .line(place.line)
                .char_column(place.column),
        ),
    };
    let help = Level::HELP.with_name(messages.say("help"));
    let remedy = lines(&messages.say(&finding.remedy));
    renderer.render(&[group.element(help.message(remedy))])
}

/// Only the first line of a span that runs over several, so that excerpts stay short.
fn first_line(text: &str, span: &std::ops::Range<usize>) -> std::ops::Range<usize> {
    let end = text
        .get(span.clone())
        .and_then(|t| t.find('\n'))
        .map_or(span.end, |n| span.start + n);
    span.start..end
}

/// Words of the keeper's files may hold terminal escapes; they are shown, not obeyed.
pub(crate) fn visible(text: &str) -> String {
    text.chars()
        .flat_map(|c| {
            if c.is_control() {
                c.escape_default().collect::<Vec<_>>()
            } else {
                vec![c]
            }
        })
        .collect()
}

/// The same, where a record to be pasted may have lines of its own.
fn lines(text: &str) -> String {
    text.split('\n').map(visible).collect::<Vec<_>>().join("\n")
}

fn count(findings: &Findings, messages: &Messages) -> String {
    let (errors, advice) = findings.counts();
    if (errors, advice) == (0, 0) {
        return messages.say("Nothing to mend.").into_owned();
    }
    let errors = match errors {
        0 => "no errors".to_owned(),
        1 => "one error".to_owned(),
        n => format!("{n} errors"),
    };
    let advice = match advice {
        0 => "no pieces of advice".to_owned(),
        1 => "one piece of advice".to_owned(),
        n => format!("{n} pieces of advice"),
    };
    let line = format!("{errors} and {advice}.");
    let line = messages.say(&line);
    let mut letters = line.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}

/// Findings as one JSON object: `format`, `errors`, `advice` (how many of each), `findings`, and
/// `measured` for what the geometry says, object by object.
pub fn json(findings: &Findings, measured: &serde_json::Value) -> String {
    #[derive(Serialize)]
    struct Report<'f> {
        format: u32,
        errors: usize,
        advice: usize,
        findings: &'f Findings,
        measured: &'f serde_json::Value,
    }
    let (errors, advice) = findings.counts();
    let report = Report {
        format: FORMAT,
        errors,
        advice,
        findings,
        measured,
    };
    // Strings, numbers and lists only: there is nothing in it that JSON cannot hold.
    serde_json::to_string_pretty(&report).expect("a report is plain data")
}
