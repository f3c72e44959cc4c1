//! Captions and transcripts that a record names: read as texts, so that findings can point into them.

use super::Sources;
use super::places::Places;
use super::text::text;
use super::tree::{Folder, steps};
use crate::limits::Limits;
use crate::record::captions::{self, Fault};
use crate::record::{Finding, Findings, Lang, Note, SourceFile, Talk};
use std::collections::BTreeMap;

/// Reads every text that `[[recordings]]` name and that is there; what is not there is a finding of
/// the checks. Gives the files of captions as well, for judging them beside the recording.
pub(crate) fn read(
    folder: &Folder,
    places: &Places,
    limits: &Limits,
    sources: &mut Sources,
    findings: &mut Findings,
) -> (Talk, BTreeMap<String, SourceFile>) {
    let (mut talk, mut files) = (Talk::default(), BTreeMap::new());
    for (name, _) in named(places, "captions") {
        if files.contains_key(&name) || !there(folder, &name) {
            continue;
        }
        if let Some(file) = text(folder, &name, limits, sources, findings) {
            let (captions, faults) = captions::read(&file.text);
            findings_of(&file, faults, findings);
            talk.captions.insert(name.clone(), captions);
            files.insert(name, file);
        }
    }
    for (name, lang) in named(places, "transcript") {
        let Some(lang) = lang.filter(|_| there(folder, &name)) else {
            continue;
        };
        if talk.transcripts.contains_key(&name) {
            continue;
        }
        if let Some(file) = text(folder, &name, limits, sources, findings) {
            let (note, found) = Note::read(file, lang);
            findings.extend(found);
            talk.transcripts.insert(name, note);
        }
    }
    (talk, files)
}

/// Faults of captions, with the file in which they are.
pub(crate) fn findings_of(file: &SourceFile, faults: Vec<Fault>, findings: &mut Findings) {
    for fault in faults {
        findings.push(Finding {
            severity: fault.severity,
            ..file.error(fault.rule, fault.span, fault.what, fault.remedy)
        });
    }
}

/// Files named at `recordings.N.key.LANG`, with their language where it is one.
fn named(places: &Places, key: &str) -> Vec<(String, Option<Lang>)> {
    let files = places.each("recordings", "file").into_iter();
    files
        .flat_map(|(number, _)| places.below(&format!("recordings.{number}.{key}")))
        .map(|(lang, leaf)| (leaf.text.clone(), lang.parse().ok()))
        .collect()
}

/// Whether a text of this name lies in the folder itself; no other is opened.
fn there(folder: &Folder, name: &str) -> bool {
    steps(name).is_ok_and(|s| s.len() == 1) && folder.files.contains_key(name)
}
