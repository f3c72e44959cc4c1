//! How a detail stands on each body agrees with its kind, with the bodies and with its anchor.

use crate::record::read::draft::{Draft, Entry};
use crate::record::read::facts::Record;
use crate::record::{Bodies, Body, BodyKind, DetailRecord, Findings, Kind, Stands};

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    for object in &draft.objects {
        let Some(facts) = object.entry.record.as_ref().and_then(|r| r.facts.as_ref()) else {
            continue;
        };
        object
            .details
            .iter()
            .for_each(|d| detail(d, &facts.bodies, findings));
    }
}

fn detail(entry: &Entry<'_, DetailRecord>, bodies: &Bodies, findings: &mut Findings) {
    let Some(record) = &entry.record else { return };
    let Some(facts) = &record.facts else { return };
    if with_replica(record, facts, bodies, findings) {
        kind(record, facts, findings);
        in_shape(record, facts, findings);
        raking(record, facts, findings);
    }
    alternative(record, facts, bodies, findings);
    part(record, facts, bodies, findings);
    anchor(record, facts, bodies, findings);
}

/// The bearing on a replica is given where there is one, and only there.
fn with_replica(
    record: &Record<DetailRecord>,
    facts: &DetailRecord,
    bodies: &Bodies,
    findings: &mut Findings,
) -> bool {
    let (what, remedy) = match (&bodies.replica, facts.bearing.replica) {
        (None, Some(_)) => (
            "The bearing speaks of a replica, but the object has none.",
            "Leave ‘replica’ out, or describe the replica in [bodies.replica] of the object.",
        ),
        (Some(_), None) => (
            "The bearing does not say how this detail stands on the replica.",
            "Add replica = \"present\", \"absent\", \"altered\" or \"unknown\".",
        ),
        _ => return true,
    };
    findings.push(record.file.error(
        "bearing-and-bodies",
        record.places.at("bearing.replica"),
        what,
        remedy,
    ));
    false
}

/// Words about a still of the replica where there is none would never be shown.
fn alternative(
    record: &Record<DetailRecord>,
    facts: &DetailRecord,
    bodies: &Bodies,
    findings: &mut Findings,
) {
    if facts.alt.replica.is_some() && bodies.replica.is_none() {
        findings.push(record.file.error(
            "bearing-and-bodies",
            record.places.at("alt.replica"),
            "There are words about a still of the replica, but the object has none.",
            "Leave ‘replica’ out, or describe the replica in [bodies.replica] of the object.",
        ));
    }
}

fn kind(record: &Record<DetailRecord>, facts: &DetailRecord, findings: &mut Findings) {
    let mut fault = |path: &str, what: &str, remedy: &str| {
        findings.push(record.file.error(
            "bearing-against-kind",
            record.places.at(path),
            what,
            remedy,
        ));
    };
    let bearing = facts.bearing;
    match facts.kind {
        Kind::Addition | Kind::Trace => {
            let (noun, other) = match facts.kind {
                Kind::Addition => ("An addition was made to the replica on purpose", "repair"),
                _ => (
                    "A trace was left on the replica by its making",
                    "construction",
                ),
            };
            if bearing.original != Stands::Absent {
                let remedy = format!(
                    "Write original = \"absent\"; if the original has it too, its kind may be \"{other}\"."
                );
                fault(
                    "bearing.original",
                    &format!("{noun}, so the original cannot have it."),
                    &remedy,
                );
            }
            if bearing.replica.is_none_or(|r| r == Stands::Absent) {
                let remedy = "Write replica = \"present\", \"altered\" or \"unknown\".";
                fault(
                    "bearing.replica",
                    &format!("{noun}, so it cannot be absent from it."),
                    remedy,
                );
            }
        }
        _ => {
            if bearing.original == Stands::Absent
                && bearing.replica.is_none_or(|r| r == Stands::Absent)
            {
                let what = "This detail is absent from every body, so it is nowhere to be seen.";
                fault(
                    "bearing",
                    what,
                    "Say on which body it is present, altered or unknown.",
                );
            }
        }
    }
}

/// Whether a difference is one of shape can be said only where there is a difference.
fn in_shape(record: &Record<DetailRecord>, facts: &DetailRecord, findings: &mut Findings) {
    let bearing = facts.bearing;
    if !record.places.has("bearing.in_shape")
        || bearing.replica.is_some_and(|r| r != bearing.original)
    {
        return;
    }
    let what = "‘in_shape’ speaks of a difference between the bodies, but by its bearing this \
                detail stands alike on both, or there is one body only.";
    let remedy = "Leave ‘in_shape’ out, or write how the detail stands on the replica, such as \
                  replica = \"altered\".";
    findings.push(record.file.error(
        "bearing-in-shape",
        record.places.at("bearing.in_shape"),
        what,
        remedy,
    ));
}

/// Light from the side shows what is there, and only that.
fn raking(record: &Record<DetailRecord>, facts: &DetailRecord, findings: &mut Findings) {
    let there = |stands: Stands| matches!(stands, Stands::Present | Stands::Altered);
    let bearing = facts.bearing;
    if facts.raking != Some(true) || there(bearing.original) || bearing.replica.is_some_and(there) {
        return;
    }
    let what = "‘raking’ asks for pictures in light from the side, but by its bearing this detail \
                is on no body for certain.";
    let remedy = "Leave ‘raking’ out, or say on which body the detail is present or altered.";
    findings.push(
        record
            .file
            .error("raking-nowhere", record.places.at("raking"), what, remedy),
    );
}

/// The part is there on every body on which the detail is said to be.
fn part(
    record: &Record<DetailRecord>,
    facts: &DetailRecord,
    bodies: &Bodies,
    findings: &mut Findings,
) {
    let on = |body: Option<&Body>| body.is_some_and(|b| b.parts.iter().any(|p| p.id == facts.part));
    let (original, replica) = (on(Some(&bodies.original)), on(bodies.replica.as_ref()));
    if !original && !replica {
        return; // No such part at all: reported as a mention.
    }
    let there = |stands| matches!(stands, Stands::Present | Stands::Altered);
    let mut fault = |path: &str, body: &str| {
        let what = format!(
            "The {body} has no part ‘{}’ on which this detail could be.",
            facts.part
        );
        let remedy =
            format!("Write {body} = \"absent\", or add the part to [bodies.{body}] of the object.");
        findings.push(
            record
                .file
                .error("bearing-and-parts", record.places.at(path), what, remedy),
        );
    };
    if there(facts.bearing.original) && !original {
        fault("bearing.original", "original");
    }
    if bodies.replica.is_some() && facts.bearing.replica.is_some_and(there) && !replica {
        fault("bearing.replica", "replica");
    }
}

/// The anchor lies on a body that is there, has the part, and is not said to lack the detail.
fn anchor(
    record: &Record<DetailRecord>,
    facts: &DetailRecord,
    bodies: &Bodies,
    findings: &mut Findings,
) {
    let (name, other, stands) = match facts.anchor.body {
        BodyKind::Original => ("original", "replica", Some(facts.bearing.original)),
        BodyKind::Replica => ("replica", "original", facts.bearing.replica),
    };
    let what = match bodies.get(facts.anchor.body) {
        None => "The anchor lies on a replica, but the object has none.".to_owned(),
        Some(_) if stands == Some(Stands::Absent) => {
            format!("The anchor lies on the {name}, from which this detail is said to be absent.")
        }
        Some(body) if !body.parts.iter().any(|p| p.id == facts.part) => {
            let known = bodies
                .get(BodyKind::Original)
                .into_iter()
                .chain(bodies.replica.as_ref());
            if !known.flat_map(|b| &b.parts).any(|p| p.id == facts.part) {
                return;
            }
            format!(
                "The anchor lies on the {name}, which has no part ‘{}’.",
                facts.part
            )
        }
        Some(_) => return,
    };
    let elsewhere = match facts.anchor.body {
        BodyKind::Original => facts.bearing.replica,
        BodyKind::Replica => Some(facts.bearing.original),
    };
    let remedy = if elsewhere.is_some_and(|stands| stands != Stands::Absent) {
        format!(
            "Place the anchor on the {other} and write body = \"{other}\", or correct the bearing."
        )
    } else {
        "Correct the bearing, or place the anchor on the body that has this detail.".to_owned()
    };
    findings.push(
        record
            .file
            .error("anchor-body", record.places.at("anchor.body"), what, remedy),
    );
}
