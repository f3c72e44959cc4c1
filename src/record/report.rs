//! Findings as text for people, with the place underlined, and as JSON for programs.

use super::{Finding, Findings, Severity, Sources};
use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};
use rayon::prelude::*;
use serde::Serialize;

/// Version of the JSON form.
const FORMAT: u32 = 1;

/// Every finding with an excerpt of its file, what is wrong and what to write instead, and a
/// last line that counts them. `colour` adds terminal escapes.
pub fn plain(findings: &Findings, sources: &Sources, colour: bool) -> String {
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let mut out = String::new();
    let told = findings.as_slice().par_iter();
    let told = told.map(|finding| one(finding, sources, &renderer));
    for text in told.collect::<Vec<_>>() {
        out.push_str(&text);
        out.push_str("\n\n");
    }
    out.push_str(&count(findings));
    out.push('\n');
    out
}

fn one(finding: &Finding, sources: &Sources, renderer: &Renderer) -> String {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Advice => Level::NOTE.with_name("advice"),
    };
    let place = &finding.place;
    let file = visible(&place.file);
    let title = level.primary_title(visible(&finding.what)).id(finding.rule);
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
    renderer.render(&[group.element(Level::HELP.message(lines(&finding.remedy)))])
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
fn visible(text: &str) -> String {
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

fn count(findings: &Findings) -> String {
    let number = |n: usize, one: &str, many: &str| match n {
        0 => format!("no {many}"),
        1 => format!("one {one}"),
        n => format!("{n} {many}"),
    };
    match findings.counts() {
        (0, 0) => "Nothing to mend.".to_owned(),
        (errors, advice) => {
            let line = format!(
                "{} and {}.",
                number(errors, "error", "errors"),
                number(advice, "piece of advice", "pieces of advice")
            );
            let mut letters = line.chars();
            letters
                .next()
                .map_or(String::new(), |c| c.to_uppercase().chain(letters).collect())
        }
    }
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
