//! Labels that can be read standing up. Advice only: the keeper knows the visitors.
//!
//! Title 1–7 words and introduction 20–300 words: Serrell, *Exhibit Labels*, 2nd ed. (2015), as
//! quoted by university library guides. An object label of 60 to 75 words is common practice, no
//! source. Reading ease: Flesch (1948), English only; below 50 is counted as hard.

use crate::record::read::draft::{Draft, Entry};
use crate::record::read::places::Leaf;
use crate::record::words;
use crate::record::{Findings, Lang, Note, SourceFile};
use std::ops::Range;

const TITLE_WORDS: usize = 7;
const INTRODUCTION_WORDS: std::ops::RangeInclusive<usize> = 20..=300;
const LABEL_WORDS: std::ops::RangeInclusive<usize> = 60..=75;
const EASE: f64 = 50.0;

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    for object in &draft.objects {
        titles(&object.entry, findings);
        object.details.iter().for_each(|d| titles(d, findings));
        object.steps.iter().for_each(|s| titles(s, findings));
        object
            .entry
            .notes
            .values()
            .for_each(|n| introduction(n, findings));
        let Some(record) = &object.entry.record else {
            continue;
        };
        for place in record.places.localised.iter().filter(|p| p.path == "label") {
            place
                .texts
                .iter()
                .for_each(|(lang, _, leaf)| label(lang, leaf, &record.file, findings));
        }
    }
}

fn count_words(text: &str) -> usize {
    text.split_whitespace()
        .filter(|w| w.contains(char::is_alphanumeric))
        .count()
}

fn titles<T>(entry: &Entry<'_, T>, findings: &mut Findings) {
    for note in entry.notes.values() {
        let count = count_words(&note.title);
        if count > TITLE_WORDS {
            let what = format!(
                "The title has {count} words; 1 to {TITLE_WORDS} can be taken in at a glance."
            );
            let remedy = "Shorten it; what is left over can open the first paragraph.";
            findings.push(
                note.source
                    .advice("title-long", title_span(note), what, remedy),
            );
        }
    }
}

fn introduction(note: &Note, findings: &mut Findings) {
    let lead = note.lead_text();
    let count = count_words(&lead);
    let span = text_after_title(note);
    if count > 0 && !INTRODUCTION_WORDS.contains(&count) {
        let (first, last) = (INTRODUCTION_WORDS.start(), INTRODUCTION_WORDS.end());
        let what = format!("The introduction has {count} words; {first} to {last} are wanted.");
        let remedy = if count < *first {
            "Say in the first paragraph what the object is, and that a replica is shown."
        } else {
            "Break it, and let the first paragraph stand alone."
        };
        findings.push(
            note.source
                .advice("introduction-length", span.clone(), what, remedy),
        );
    }
    ease(
        "introduction",
        &note.lang,
        &lead,
        &note.source,
        span,
        findings,
    );
}

fn label(lang: &str, leaf: &Leaf, file: &SourceFile, findings: &mut Findings) {
    let count = count_words(&leaf.text);
    if !LABEL_WORDS.contains(&count) {
        let (fewest, most) = (LABEL_WORDS.start(), LABEL_WORDS.end());
        let (rule, why, remedy) = if count > *most {
            (
                "label-long",
                "are read to the end",
                "Keep what can be seen, and move the rest to the note.",
            )
        } else {
            (
                "label-short",
                "leave room for what it is, what can be seen, and where the original is",
                "Say what the visitor would ask first: what it is, how old, and what to look for.",
            )
        };
        let what = format!("The label has {count} words in ‘{lang}’; {fewest} to {most} {why}.");
        findings.push(file.advice(rule, leaf.span.clone(), what, remedy));
    }
    if let Ok(lang) = Lang::try_from(lang.to_owned()) {
        ease(
            "label",
            &lang,
            &leaf.text,
            file,
            leaf.span.clone(),
            findings,
        );
    }
}

fn ease(
    noun: &str,
    lang: &Lang,
    text: &str,
    file: &SourceFile,
    span: Range<usize>,
    findings: &mut Findings,
) {
    if lang.primary() != "en" {
        return; // The formula holds for English alone.
    }
    if let Some(ease) = words::ease(text, lang)
        && ease.score < EASE
    {
        let what = format!(
            "The {noun} is hard to read: Flesch reading ease {:.0}, where {EASE:.0} or more is wanted.",
            ease.score
        );
        let remedy = "Shorter sentences and everyday words help; read it aloud to someone.";
        findings.push(file.advice("hard-to-read", span, what, remedy));
    }
}

/// The line of the title.
fn title_span(note: &Note) -> Range<usize> {
    note.headings.first().map_or(0..0, |h| h.span.clone())
}

/// The first line of text after the title.
fn text_after_title(note: &Note) -> Range<usize> {
    let text = &note.source.text;
    let start = title_span(note).end.min(text.len());
    let Some(rest) = text.get(start..) else {
        return 0..0;
    };
    let skipped = rest.len() - rest.trim_start().len();
    let line = rest.trim_start().lines().next().map_or(0, str::len);
    start + skipped..start + skipped + line
}
