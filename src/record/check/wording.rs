//! Length and ease of the words: advice, never an obstacle.

use super::Check;
use crate::record::words::ease;
use crate::record::{Note, Object};

/// Most words of a title (Serrell, *Exhibit Labels*, 2nd ed. 2015, as quoted by university
/// library guides).
const TITLE_WORDS: usize = 7;
/// Words of an introduction (the same).
const INTRODUCTION_WORDS: std::ops::RangeInclusive<usize> = 20..=300;
/// Words of a caption or a detail (the same give 20 to 150; shorter ones are no fault here).
const DETAIL_WORDS: usize = 150;
/// Words of an object label (common practice, no source).
const LABEL_WORDS: std::ops::RangeInclusive<usize> = 60..=75;
/// Flesch reading ease below which a text is hard: "fairly difficult" begins at 60, "difficult" at
/// 50 (Flesch 1948, from memory).
const HARD: f64 = 50.0;

impl Check<'_> {
    pub(super) fn wording(&mut self, object: &Object) {
        for note in object.notes.values() {
            self.title(note);
            self.hard(note);
            let count = note.word_count();
            if !INTRODUCTION_WORDS.contains(&count) && count > *INTRODUCTION_WORDS.end() {
                let what = format!("the introduction has {count} words");
                self.findings.advice(
                    "long",
                    note.source.place(0..1),
                    what,
                    "20 to 300 words are read; move the rest into details",
                );
            }
        }
        let details = object.details.iter().flat_map(|d| d.notes.values());
        for note in details {
            self.title(note);
            self.hard(note);
            let count = note.word_count();
            if count > DETAIL_WORDS {
                let what = format!("the words of this detail are {count}");
                self.findings.advice(
                    "long",
                    note.source.place(0..1),
                    what,
                    format!("up to {DETAIL_WORDS} are read"),
                );
            }
        }
        for note in object.making.iter().flat_map(|s| s.notes.values()) {
            self.title(note);
            self.hard(note);
        }
        for (lang, text) in &object.record.label.0 {
            let place = self.of(object, &["label", lang.as_str()]);
            let count = text.split_whitespace().count();
            if count > *LABEL_WORDS.end() {
                let what = format!("the label has {count} words");
                self.findings.advice(
                    "label-long",
                    place.clone(),
                    what,
                    "60 to 75 words are read while standing",
                );
            }
            if let Some(found) = ease(text, lang)
                && found.score < HARD
            {
                let what = format!(
                    "the label is hard to read: Flesch reading ease {:.0}",
                    found.score
                );
                self.findings.advice(
                    "hard-to-read",
                    place,
                    what,
                    "shorten the sentences and choose shorter words; 60 and above is easy",
                );
            }
        }
    }

    fn title(&mut self, note: &Note) {
        let count = note.title.split_whitespace().count();
        if count > TITLE_WORDS
            && let Some(heading) = note.headings.first()
        {
            let what = format!("the title has {count} words");
            let place = note.source.place(heading.span.clone());
            self.findings.advice(
                "title-long",
                place,
                what,
                format!("1 to {TITLE_WORDS} words can be taken in at a glance"),
            );
        }
    }

    fn hard(&mut self, note: &Note) {
        if let Some(found) = ease(&note.plain_text(), &note.lang)
            && found.score < HARD
        {
            let what = format!(
                "the words are hard to read: Flesch reading ease {:.0}",
                found.score
            );
            let remedy = "shorten the sentences and choose shorter words; 60 and above is easy";
            self.findings
                .advice("hard-to-read", note.source.place(0..1), what, remedy);
        }
    }
}
