//! Names that folders had before: none is in use, none is claimed twice. So no address leads to two
//! places, and none leads round in a circle.

use crate::record::Findings;
use crate::record::read::draft::{Draft, Entry, step_name};
use std::collections::BTreeMap;

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    let objects: Vec<_> = draft.objects.iter().map(|o| &o.entry).collect();
    among(&objects, "object", Some, findings);
    for object in &draft.objects {
        let details: Vec<_> = object.details.iter().collect();
        among(&details, "detail", Some, findings);
        let steps: Vec<_> = object.steps.iter().collect();
        let id = |name| step_name(name).map(|(_, id)| id);
        among(&steps, "step", id, findings);
    }
    let terms: Vec<_> = draft.terms.iter().collect();
    among(&terms, "term", Some, findings);
}

/// Checks things whose names must differ; `id` is that of a folder's name.
fn among<'d, T>(
    entries: &[&'d Entry<'d, T>],
    noun: &str,
    id: impl Fn(&'d str) -> Option<&'d str>,
    findings: &mut Findings,
) {
    let in_use: BTreeMap<&str, &str> = entries
        .iter()
        .filter_map(|e| Some((id(e.id)?, e.folder.name.as_str())))
        .collect();
    let mut claimed: BTreeMap<&str, &str> = BTreeMap::new();
    for entry in entries {
        let Some(record) = &entry.record else {
            continue;
        };
        for (_, former) in record.places.each("formerly", "") {
            let name = former.text.as_str();
            let (what, remedy) = if id(entry.id) == Some(name) {
                (
                    format!("‘{name}’ is the name of this {noun} now."),
                    "Write only names that it no longer has.".to_owned(),
                )
            } else if let Some(other) = in_use.get(name) {
                (
                    format!("‘{name}’ is the name of another {noun} now, in {other}/."),
                    "Leave it out: an address can lead to one place only.".to_owned(),
                )
            } else if let Some(first) = claimed.get(name) {
                (
                    format!(
                        "‘{name}’ is claimed as a former name a second time; first in {first}/record.toml."
                    ),
                    "Leave it to the one that had the name last.".to_owned(),
                )
            } else {
                claimed.insert(name, &entry.folder.name);
                continue;
            };
            let rule = "formerly-clash";
            findings.push(record.file.error(rule, former.span.clone(), what, remedy));
        }
    }
}
