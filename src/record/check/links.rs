//! Links between notes lead somewhere.

use crate::record::read::draft::{Draft, NoteAt, ObjectDraft, step_name};
use crate::record::words::LinkTarget;
use crate::record::{Findings, nearest};

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    for at in draft.notes() {
        for link in &at.note.links {
            if let Err((rule, what, remedy)) = follow(draft, &at, &link.target) {
                findings.push(at.note.source.error(rule, link.span.clone(), what, remedy));
            }
        }
    }
}

type Fault = (&'static str, String, String);

fn follow(draft: &Draft<'_>, at: &NoteAt<'_>, target: &LinkTarget) -> Result<(), Fault> {
    match target {
        LinkTarget::Detail { object: None, detail } => match at.object {
            Some(object) => there("detail", "", detail, &details(object)),
            None => Err(homeless("detail", &format!("[…](detail:an-object/{detail})"))),
        },
        LinkTarget::Detail { object: Some(object), detail } => {
            there("object", "", object, &objects(draft))?;
            let there_are = details_of(draft, object);
            there("detail", &format!("{object}/"), detail, &there_are)
        }
        LinkTarget::Step(step) => match at.object {
            Some(object) => {
                let known: Vec<&str> = object.steps.iter().filter_map(|s| Some(step_name(s.id)?.1)).collect();
                there("step", "", step, &known)
            }
            None => Err(homeless("step", "[…](object:an-object)")),
        },
        LinkTarget::Term(term) => {
            let known: Vec<&str> = draft.terms.iter().map(|t| t.id).collect();
            there("term", "", term, &known)
        }
        LinkTarget::Source(source) => match at.object {
            Some(object) => {
                let record = object.entry.record.as_ref();
                let known = record.map(|r| r.places.names("sources")).unwrap_or_default();
                let known: Vec<&str> = known.iter().map(String::as_str).collect();
                there("source", "", source, &known)
            }
            None => Err(homeless("source", "[…](object:an-object)")),
        },
        LinkTarget::Object(object) => there("object", "", object, &objects(draft)),
        LinkTarget::Unknown(address) => Err((
            "unknown-link",
            format!("The link ‘{address}’ leads nowhere this site knows."),
            "Begin it with detail:, step:, term:, source:, object: or lang:, or write a whole web address (https://…).".into(),
        )),
        LinkTarget::Lang(_) | LinkTarget::Web(_) | LinkTarget::Place(_) => Ok(()),
    }
}

fn objects<'d>(draft: &'d Draft<'_>) -> Vec<&'d str> {
    let read = draft.objects.iter().map(|o| o.entry.id);
    let known = draft.known.iter().map(|known| known.object.id.as_str());
    let mut all: Vec<&str> = read.chain(known).collect();
    all.sort_unstable();
    all
}

/// The same of an object with this name.
fn details_of<'d>(draft: &'d Draft<'_>, object: &str) -> Vec<&'d str> {
    if let Some(read) = draft.objects.iter().find(|o| o.entry.id == object) {
        return details(read);
    }
    let known = draft.known.iter().map(|known| &known.object);
    let known = known.into_iter().find(|o| o.id.as_str() == object);
    let known = known.into_iter().flat_map(|o| &o.details);
    let mut all: Vec<&str> = known.map(|d| d.id.as_str()).collect();
    all.sort_unstable();
    all
}

fn details<'d>(object: &'d ObjectDraft<'_>) -> Vec<&'d str> {
    object.details.iter().map(|d| d.id).collect()
}

fn there(noun: &str, before: &str, id: &str, known: &[&str]) -> Result<(), Fault> {
    if known.contains(&id) {
        return Ok(());
    }
    let remedy = match nearest(id, known.iter().copied()) {
        Some(near) => format!("Did you mean {noun}:{before}{near}?"),
        None if known.is_empty() => {
            format!("There is no {noun} yet; take the link out, or write the {noun}.")
        }
        None => format!("The ids of every {noun} here: {}.", known.join(", ")),
    };
    Err((
        "dangling-link",
        format!("The link {noun}:{before}{id} leads to no {noun}."),
        remedy,
    ))
}

fn homeless(noun: &str, instead: &str) -> Fault {
    let what =
        format!("This note belongs to no object, so {noun}: needs to say which object is meant.");
    ("dangling-link", what, format!("Write {instead}."))
}
