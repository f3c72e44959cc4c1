//! Details told to those who cannot see them: where the keeper has written nothing, nothing is
//! invented, and the survey says so.

use crate::record::Findings;
use crate::record::read::draft::{Draft, Entry};
use crate::record::{DetailRecord, nearest};

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    for object in &draft.objects {
        object.details.iter().for_each(|d| one(d, findings));
    }
}

fn one(entry: &Entry<'_, DetailRecord>, findings: &mut Findings) {
    let Some(record) = &entry.record else { return };
    let (file, places) = (&record.file, &record.places);
    if record.facts.is_some() && !places.has("description") {
        let what = format!(
            "The detail ‘{}’ is not described to those who cannot see it.",
            entry.id
        );
        let remedy = "Add description = { … }: what a hand or an eye would meet, in that order, with sizes and directions.";
        findings.push(file.advice("detail-not-described", 0..0, what, remedy));
    }
    let recordings = places.each("recordings", "file");
    for (lang, named) in places.below("spoken") {
        let known = recordings.iter().find(|(_, leaf)| leaf.text == named.text);
        let Some((number, _)) = known else {
            let what = format!("No recording of this record is the file ‘{}’.", named.text);
            let names = recordings.iter().map(|(_, leaf)| leaf.text.as_str());
            let remedy = match nearest(&named.text, names) {
                Some(near) => format!("Did you mean ‘{near}’?"),
                None => {
                    "Add a section [[recordings]] with this file, its rights, title and language."
                        .to_owned()
                }
            };
            findings.push(file.error("unknown-recording", named.span.clone(), what, remedy));
            continue;
        };
        let spoken = places.text(&format!("recordings.{number}.language"));
        if spoken.is_none_or(|leaf| leaf.text != lang) {
            let what = format!(
                "The recording ‘{}’ is not said to be spoken in ‘{lang}’.",
                named.text
            );
            let remedy = format!(
                "Write language = \"{lang}\" in its section, or name it under its own language."
            );
            findings.push(file.error("recording-language", named.span.clone(), what, remedy));
        }
        if !places.has("description") {
            let what = "There is a spoken description, but none in writing.";
            let remedy = "Write in description what the recording says; it is its transcript.";
            findings.push(file.error("spoken-without-words", named.span.clone(), what, remedy));
        }
    }
}
