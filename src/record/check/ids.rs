//! Names of folders as ids, and ids given twice.

use crate::record::read::draft::{Draft, ObjectDraft, step_name};
use crate::record::read::places::Places;
use crate::record::read::tree::Folder;
use crate::record::{Finding, Findings, Severity, SourceFile, ids, suggest};
use std::collections::BTreeMap;

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    draft
        .terms
        .iter()
        .for_each(|t| folder_name(t.folder, t.id, findings));
    for object in &draft.objects {
        folder_name(object.entry.folder, object.entry.id, findings);
        object
            .details
            .iter()
            .for_each(|d| folder_name(d.folder, d.id, findings));
        steps(object, findings);
        let Some(record) = &object.entry.record else {
            continue;
        };
        let mut lists = vec![
            ("bodies.original.parts", "part"),
            ("bodies.replica.parts", "part"),
        ];
        lists.push(("rights", "statement of rights"));
        for (list, noun) in lists {
            for (first, again) in twice(&record.places, list) {
                let what = format!("The id ‘{}’ is given to a second {noun}.", again.text);
                let line = record.file.place(first.span.clone()).line;
                let remedy =
                    format!("Give this {noun} another id; the first stands in line {line}.");
                findings.push(
                    record
                        .file
                        .error("duplicate-id", again.span.clone(), what, remedy),
                );
            }
        }
    }
}

type Leaf = crate::record::read::places::Leaf;

/// Pairs of (first, repeated) ids in a list.
fn twice<'p>(places: &'p Places, list: &str) -> Vec<(&'p Leaf, &'p Leaf)> {
    let mut seen: BTreeMap<&str, &Leaf> = BTreeMap::new();
    let mut out = Vec::new();
    for (_, leaf) in places.each(list, "id") {
        match seen.get(leaf.text.as_str()) {
            Some(first) => out.push((*first, leaf)),
            None => {
                seen.insert(&leaf.text, leaf);
            }
        }
    }
    out
}

fn folder_name(folder: &Folder, name: &str, findings: &mut Findings) {
    if let Err(cause) = ids::check(name) {
        let remedy = format!("Rename the folder to {}.", suggest(name));
        at_folder(
            folder,
            "unsafe-id",
            format!("The folder name {cause}."),
            remedy,
            findings,
        );
    }
}

fn steps(object: &ObjectDraft<'_>, findings: &mut Findings) {
    let mut seen: BTreeMap<&str, &str> = BTreeMap::new();
    for step in &object.steps {
        let Some((number, id)) = step_name(step.id) else {
            let remedy = format!(
                "Rename the folder with two digits and a hyphen first: 01-{}.",
                suggest(step.id)
            );
            let what = format!(
                "The folder name ‘{}’ does not begin with the number of the step.",
                step.id
            );
            at_folder(step.folder, "step-folder", what, remedy, findings);
            continue;
        };
        if let Err(cause) = ids::check(id) {
            let remedy = format!("Rename the folder to {number:02}-{}.", suggest(id));
            at_folder(
                step.folder,
                "unsafe-id",
                format!("The id of the step {cause}."),
                remedy,
                findings,
            );
        }
        if let Some(other) = seen.insert(id, step.id) {
            let what = format!(
                "The folders ‘{other}’ and ‘{}’ give two steps the same id, ‘{id}’.",
                step.id
            );
            let remedy = "Rename one of them, so that links can tell them apart.".to_owned();
            at_folder(step.folder, "duplicate-id", what, remedy, findings);
        }
    }
}

fn at_folder(
    folder: &Folder,
    rule: &'static str,
    what: String,
    remedy: String,
    findings: &mut Findings,
) {
    let place = SourceFile::whole(&folder.name);
    findings.push(Finding {
        severity: Severity::Error,
        rule,
        place,
        what,
        remedy,
    });
}
