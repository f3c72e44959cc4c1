//! Advice on files that have no place in the content layout, and so are not read.

use super::draft::{Draft, Entry, RECORD, note_language};
use super::facts::Record;
use super::tree::{Folder, steps};
use crate::record::{Finding, Findings, Lang, Severity, SourceFile, TRANSLATIONS};
use std::collections::BTreeSet;

/// Files that a model may name itself: buffers, textures, materials.
const BESIDE_A_MODEL: [&str; 7] = ["bin", "png", "jpg", "jpeg", "webp", "ktx2", "mtl"];

/// Where records lie that came from elsewhere, as they were received.
const RECEIVED: &str = "received";

/// Advises on everything that was passed over.
pub(crate) fn advise(draft: &Draft<'_>, findings: &mut Findings) {
    for name in draft
        .tree
        .files
        .keys()
        .filter(|n| *n != "site.toml" && *n != TRANSLATIONS)
    {
        let remedy = "Facts of the site go into site.toml; move other files elsewhere.";
        passed_over(&draft.tree.inside(name), remedy, findings);
    }
    if let Some(terms) = draft.tree.folders.get("terms") {
        loose_files(terms, findings);
    }
    for term in &draft.terms {
        files(
            term.folder,
            &draft.languages,
            &term.record.iter().map(|_| RECORD.to_owned()).collect(),
            false,
            findings,
        );
        folders(term.folder, &[], findings);
    }
    for object in &draft.objects {
        entry(
            &object.entry,
            draft,
            &["details", "making", "models", RECEIVED],
            findings,
        );
        for inner in ["details", "making"] {
            if let Some(folder) = object.entry.folder.folders.get(inner) {
                loose_files(folder, findings);
            }
        }
        object
            .details
            .iter()
            .for_each(|d| entry(d, draft, &[], findings));
        object
            .steps
            .iter()
            .for_each(|s| entry(s, draft, &[], findings));
        if let (Some(models), Some(_)) = (
            object.entry.folder.folders.get("models"),
            &object.entry.record,
        ) {
            unnamed_models(models, "models", &named_models(&object.entry), findings);
        }
    }
}

fn entry<T>(entry: &Entry<'_, T>, draft: &Draft<'_>, allowed: &[&str], findings: &mut Findings) {
    let Some(record) = &entry.record else { return };
    let mut named: BTreeSet<String> = record
        .places
        .each("photographs", "file")
        .into_iter()
        .map(|(_, leaf)| leaf.text.clone())
        .collect();
    named.extend(named_recordings(record));
    named.extend(named_models(entry));
    // A picture of a note that is not declared is an error of its own.
    named.extend(
        entry
            .notes
            .values()
            .flat_map(|n| n.pictures.iter().map(|p| p.file.clone())),
    );
    files(entry.folder, &draft.languages, &named, true, findings);
    folders(entry.folder, allowed, findings);
}

/// Recordings, with their captions and transcripts.
fn named_recordings<T>(record: &Record<T>) -> Vec<String> {
    let files = record.places.each("recordings", "file");
    let texts = files.iter().flat_map(|(number, _)| {
        let below = |key| record.places.below(&format!("recordings.{number}.{key}"));
        below("captions").into_iter().chain(below("transcript"))
    });
    let files = files.iter().map(|(_, leaf)| *leaf);
    let all = files.chain(texts.map(|(_, leaf)| leaf));
    all.map(|leaf| leaf.text.clone()).collect()
}

fn named_models<T>(entry: &Entry<'_, T>) -> BTreeSet<String> {
    let Some(record) = &entry.record else {
        return BTreeSet::new();
    };
    ["bodies.original.parts", "bodies.replica.parts"]
        .iter()
        .flat_map(|list| record.places.each(list, "model"))
        .filter(|(_, leaf)| steps(&leaf.text).is_ok())
        .map(|(_, leaf)| leaf.text.clone())
        .collect()
}

fn files(
    folder: &Folder,
    languages: &[Lang],
    named: &BTreeSet<String>,
    facts: bool,
    findings: &mut Findings,
) {
    for name in folder.files.keys() {
        if (facts && name == RECORD)
            || named.contains(name)
            || note_language(name, languages).is_some()
        {
            continue;
        }
        let remedy = match name.rsplit_once('.') {
            Some((_, "md")) => {
                "Name it by a language of the site, such as en.md, or add its language to site.toml."
            }
            _ if facts => {
                "If it is a photograph, declare it in [[photographs]] of record.toml, sound or film in [[recordings]]; else move it elsewhere."
            }
            _ => "A term has only words, one file for each language; move other files elsewhere.",
        };
        passed_over(&folder.inside(name), remedy, findings);
    }
}

fn folders(folder: &Folder, allowed: &[&str], findings: &mut Findings) {
    for name in folder
        .folders
        .keys()
        .filter(|n| !allowed.contains(&n.as_str()))
    {
        let remedy = match allowed {
            [] => "No folder is wanted here; move it elsewhere.".to_owned(),
            allowed => format!("The folders wanted here are: {}.", allowed.join(", ")),
        };
        passed_over(&folder.inside(name), &remedy, findings);
    }
}

fn loose_files(folder: &Folder, findings: &mut Findings) {
    for name in folder.files.keys() {
        passed_over(
            &folder.inside(name),
            "Put it into the folder to which it belongs.",
            findings,
        );
    }
}

fn unnamed_models(folder: &Folder, path: &str, named: &BTreeSet<String>, findings: &mut Findings) {
    for name in folder.files.keys() {
        let ending = name.rsplit_once('.').map(|(_, e)| e.to_ascii_lowercase());
        let beside = ending.is_some_and(|e| BESIDE_A_MODEL.contains(&e.as_str()));
        if !beside && !named.contains(&format!("{path}/{name}")) {
            let remedy = "Name it as the ‘model’ of a part in record.toml, or move it elsewhere.";
            passed_over(&folder.inside(name), remedy, findings);
        }
    }
    for (name, inner) in &folder.folders {
        unnamed_models(inner, &format!("{path}/{name}"), named, findings);
    }
}

fn passed_over(name: &str, remedy: &str, findings: &mut Findings) {
    findings.push(Finding {
        severity: Severity::Advice,
        rule: "not-read",
        place: SourceFile::whole(name),
        what: "This has no place in the content layout and is not read.".to_owned(),
        remedy: remedy.to_owned(),
    });
}
