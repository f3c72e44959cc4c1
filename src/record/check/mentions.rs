//! Ids that a record mentions: people, sources, materials, rights, parts, details.

use crate::record::read::draft::{Draft, RecordAt};
use crate::record::read::shape::Refers;
use crate::record::{Findings, nearest};
use std::collections::BTreeSet;

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    for record in draft.records() {
        for (refers, _, leaf) in &record.places.mentions {
            let Some(known) = known(draft, &record, *refers) else {
                continue;
            };
            if known.contains(&leaf.text) {
                continue;
            }
            let (rule, noun, home) = match refers {
                Refers::Person => ("unknown-person", "person", "[people] of site.toml"),
                Refers::Source => (
                    "unknown-source",
                    "source",
                    "[sources] of the object’s record",
                ),
                Refers::Material => (
                    "unknown-material",
                    "material",
                    "[materials] of the object’s record",
                ),
                Refers::Rights => (
                    "unknown-rights",
                    "statement of rights",
                    "[[rights]] of the object’s record",
                ),
                Refers::Part => ("unknown-part", "part", "the parts of the object’s bodies"),
                Refers::Detail => ("unknown-detail", "detail", "the object’s folder ‘details’"),
            };
            let remedy = match nearest(&leaf.text, known.iter().map(String::as_str)) {
                Some(near) => format!("Did you mean ‘{near}’?"),
                None => format!("Add it to {home}, or name one that is there."),
            };
            let what = format!("No {noun} has the id ‘{}’.", leaf.text);
            findings.push(record.file.error(rule, leaf.span.clone(), what, remedy));
        }
        evidence(&record, findings);
        unsaid(&record, findings);
    }
}

/// The ids that may be mentioned; `None` where the record that gives them could not be opened.
fn known(draft: &Draft<'_>, at: &RecordAt<'_>, refers: Refers) -> Option<BTreeSet<String>> {
    if refers == Refers::Person {
        return Some(draft.site.as_ref()?.places.names("people"));
    }
    if refers == Refers::Detail {
        let details = &at.object?.details;
        return Some(details.iter().map(|d| d.id.to_owned()).collect());
    }
    let places = &at.object?.entry.record.as_ref()?.places;
    let listed = |list| {
        places
            .each(list, "id")
            .into_iter()
            .map(|(_, leaf)| leaf.text.clone())
    };
    Some(match refers {
        Refers::Source => places.names("sources"),
        Refers::Material => places.names("materials"),
        Refers::Rights => listed("rights").collect(),
        Refers::Part => listed("bodies.original.parts")
            .chain(listed("bodies.replica.parts"))
            .collect(),
        Refers::Person | Refers::Detail => return None,
    })
}

/// What was measured or read somewhere should say by whom or from what (London Charter 2.1, 4.6).
/// Claims of a record that nothing stands under.
fn unsaid(at: &RecordAt<'_>, findings: &mut Findings) {
    let mut advise = |path: &str, claims: &[&str], whose: &str| {
        let made: Vec<&str> = claims
            .iter()
            .copied()
            .filter(|key| at.places.has(&format!("{path}.{key}")))
            .collect();
        if made.is_empty() || at.places.has(&format!("{path}.evidence")) {
            return;
        }
        let what = format!(
            "{whose} says {} without saying how that is known.",
            made.join(", ")
        );
        let remedy = format!(
            "Add evidence = {{ ground = \"observed\", by = \"…\", date = … }} to [{path}]; ground may also be measured, documented or conjectured."
        );
        let span = at.places.at(path);
        findings.push(at.file.advice("claim-without-evidence", span, what, remedy));
    };
    for body in ["bodies.original", "bodies.replica"] {
        advise(body, &["location", "finish", "dated"], "This body");
    }
    advise(
        "collation",
        &["tolerance_mm", "coating_mm"],
        "The comparison",
    );
}

fn evidence(at: &RecordAt<'_>, findings: &mut Findings) {
    for path in at.places.evidence() {
        let Some(ground) = at.places.text(&format!("{path}.ground")) else {
            continue;
        };
        let open =
            !at.places.has(&format!("{path}.by")) && !at.places.has(&format!("{path}.source"));
        if open && ["measured", "documented"].contains(&ground.text.as_str()) {
            let what = format!(
                "This is said to be {}, but not by whom or from what source.",
                ground.text
            );
            let remedy = "Add by = \"…\" (a person in site.toml) or source = \"…\" (a source of the object).";
            findings.push(
                at.file
                    .advice("evidence-unnamed", ground.span.clone(), what, remedy),
            );
        }
    }
}
