//! Every text in every language of the site, and in no other.

use crate::record::read::draft::{Draft, Entry, NoteAt};
use crate::record::words::LinkTarget;
use crate::record::{Finding, Findings, Lang, Severity, SourceFile, nearest};

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    draft.notes().iter().for_each(|n| passages(n, findings));
    if draft.languages.is_empty() {
        return;
    }
    for object in &draft.objects {
        files(&object.entry, "object", &draft.languages, findings);
        object
            .details
            .iter()
            .for_each(|d| files(d, "detail", &draft.languages, findings));
        object
            .steps
            .iter()
            .for_each(|s| files(s, "step", &draft.languages, findings));
    }
    draft
        .terms
        .iter()
        .for_each(|t| files(t, "term", &draft.languages, findings));
    localised(draft, findings);
}

fn files<T>(entry: &Entry<'_, T>, noun: &str, languages: &[Lang], findings: &mut Findings) {
    for lang in languages
        .iter()
        .filter(|lang| !entry.notes.contains_key(lang))
    {
        let name = format!("{lang}.md");
        // A file that is there but could not be read has its own finding.
        if entry.folder.files.contains_key(&name) || entry.folder.refused.contains(&name) {
            continue;
        }
        findings.push(Finding {
            severity: Severity::Error,
            rule: "missing-language",
            place: SourceFile::whole(&entry.folder.inside(&name)),
            what: format!(
                "The {noun} ‘{}’ has no words in the language ‘{lang}’.",
                entry.id
            ),
            remedy: format!("Write {name}, beginning with its title: # Title."),
        });
    }
}

fn localised(draft: &Draft<'_>, findings: &mut Findings) {
    let known: Vec<&str> = draft.languages.iter().map(Lang::as_str).collect();
    for record in draft.records() {
        for place in &record.places.localised {
            let mut missing = draft.languages.clone();
            for (tag, span, text) in &place.texts {
                let Ok(lang) = Lang::try_from(tag.clone()) else {
                    continue;
                };
                missing.retain(|l| l != &lang);
                if !draft.languages.contains(&lang) {
                    let what = format!(
                        "‘{}’ is written in ‘{tag}’, which is not a language of the site.",
                        place.path
                    );
                    let remedy = match nearest(tag, known.iter().copied()) {
                        Some(near) => format!("Did you mean ‘{near}’?"),
                        None => format!(
                            "Write it in {}, or add \"{tag}\" to languages in site.toml.",
                            known.join(" and ")
                        ),
                    };
                    findings.push(record.file.error(
                        "language-not-of-site",
                        span.clone(),
                        what,
                        remedy,
                    ));
                }
                // Alternative text that is empty is reported with the picture.
                if text.text.trim().is_empty() && !place.path.ends_with("alt") {
                    let what = format!(
                        "The text of ‘{}’ is empty in the language ‘{tag}’.",
                        place.path
                    );
                    findings.push(record.file.error(
                        "empty-text",
                        text.span.clone(),
                        what,
                        "Write it.",
                    ));
                }
            }
            for lang in missing {
                let what = format!("‘{}’ has no text in the language ‘{lang}’.", place.path);
                let remedy = format!("Add {lang} = \"…\" to it.");
                findings.push(record.file.error(
                    "missing-language",
                    place.span.clone(),
                    what,
                    remedy,
                ));
            }
        }
    }
}

/// Passages marked in a note with another language, `[verbatim](lang:la)`.
fn passages(at: &NoteAt<'_>, findings: &mut Findings) {
    for link in &at.note.links {
        if let LinkTarget::Lang(tag) = &link.target
            && Lang::try_from(tag.clone()).is_err()
        {
            let what = format!("‘{tag}’ is not a language tag (BCP 47).");
            let remedy = "Write a tag such as lang:la or lang:cy.";
            findings.push(
                at.note
                    .source
                    .error("bad-language", link.span.clone(), what, remedy),
            );
        }
    }
}
