//! Findings as text for people and as JSON for programs.

use super::{Finding, Findings, Severity, Sources};
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use serde_json::json;

/// All findings with the lines they are about, and a last line that counts them.
pub fn plain(findings: &Findings, sources: &Sources, colour: bool) -> String {
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let mut out = String::new();
    for finding in findings.iter() {
        out.push_str(&one(finding, sources, &renderer));
        out.push_str("\n\n");
    }
    out.push_str(&count(findings));
    out.push('\n');
    out
}

/// A JSON object: `format`, `errors`, `advice` (counts) and `findings`.
pub fn json(findings: &Findings) -> String {
    let (errors, advice) = findings.counts();
    let report = json!({ "format": 1, "errors": errors, "advice": advice, "findings": findings });
    format!("{report:#}\n")
}

fn one(finding: &Finding, sources: &Sources, renderer: &Renderer) -> String {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Advice => Level::WARNING.with_name("advice"),
    };
    let place = &finding.place;
    let title = level.primary_title(&finding.what).id(finding.rule);
    let group = match sources.get(&place.file) {
        Some(file) if !file.text.is_empty() => {
            let span = shown(&file.text, place.span.start, place.span.end);
            title.element(
                Snippet::source(&file.text)
                    .path(&place.file)
                    .fold(true)
                    .annotation(AnnotationKind::Primary.span(span)),
            )
        }
        _ => title.element(annotate_snippets::Origin::path(&place.file)),
    };
    let help = Group::with_title(Level::HELP.secondary_title(&finding.remedy));
    renderer.render(&[group, help])
}

/// At least one character, at most to the end of its line.
fn shown(text: &str, start: usize, end: usize) -> std::ops::Range<usize> {
    let line_end = text[start..].find('\n').map_or(text.len(), |n| start + n);
    let next = text[start..]
        .chars()
        .next()
        .map_or(start, |c| start + c.len_utf8());
    start..end.min(line_end).max(next.min(line_end.max(start)))
}

fn count(findings: &Findings) -> String {
    let (errors, advice) = findings.counts();
    let of = |n: usize, one: &str, many: &str| match n {
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    };
    match (errors, advice) {
        (0, 0) => "Nothing to mend.".to_owned(),
        (0, n) => format!(
            "No errors; {}.",
            of(n, "piece of advice", "pieces of advice")
        ),
        (n, 0) => format!("{} to mend.", of(n, "error", "errors")),
        (n, m) => format!(
            "{} to mend; {}.",
            of(n, "error", "errors"),
            of(m, "piece of advice", "pieces of advice")
        ),
    }
}
