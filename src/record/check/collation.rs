//! What a record says about the comparison can be followed: there are two bodies, places are
//! found on them, and a person stands behind what is accepted.

use crate::record::read::draft::{Draft, ObjectDraft};
use crate::record::read::facts::Record;
use crate::record::{BodyKind, Collation, DetailId, Findings, ObjectRecord, PartId, PlacePair};

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    for object in &draft.objects {
        let Some(record) = &object.entry.record else {
            continue;
        };
        let Some(facts) = &record.facts else { continue };
        if !record.places.has("collation") {
            continue;
        }
        let mut at = At {
            object,
            record,
            facts,
            findings,
        };
        if facts.bodies.replica.is_none() {
            let what = "A comparison is described, but the object has no replica.".to_owned();
            let remedy = "Describe the replica in [bodies.replica], or leave [collation] out.";
            at.fault("collation-without-replica", "", what, remedy);
            continue;
        }
        numbers(&facts.collation, &mut at);
        for (number, pair) in facts.collation.pairs.iter().enumerate() {
            one_pair(number, pair, &mut at);
        }
        accepted(&facts.collation, &mut at);
    }
}

/// One record, for pointing at.
struct At<'c> {
    object: &'c ObjectDraft<'c>,
    record: &'c Record<ObjectRecord>,
    facts: &'c ObjectRecord,
    findings: &'c mut Findings,
}

impl At<'_> {
    fn fault(&mut self, rule: &'static str, path: &str, what: String, remedy: &str) {
        let path = format!("collation.{path}");
        let span = self.record.places.at(path.trim_end_matches('.'));
        self.findings
            .push(self.record.file.error(rule, span, what, remedy));
    }

    /// A comparison needs the part on both bodies.
    fn on_both(&mut self, path: &str, part: &PartId) {
        let has = |kind| {
            let body = self.facts.bodies.get(kind);
            body.is_some_and(|b| b.parts.iter().any(|p| &p.id == part))
        };
        let lacking = match (has(BodyKind::Original), has(BodyKind::Replica)) {
            (true, false) => "replica",
            (false, true) => "original",
            // On neither: reported as a mention.
            _ => return,
        };
        let what = format!("The {lacking} has no part ‘{part}’ that could be compared.");
        let remedy = "Name a part that both bodies have.";
        self.fault("collation-part", path, what, remedy);
    }
}

fn numbers(collation: &Collation, at: &mut At<'_>) {
    if let Some(tolerance_mm) = collation.tolerance_mm
        && tolerance_mm <= 0.0
    {
        let what = format!("A tolerance of {tolerance_mm} mm is not above zero.");
        let remedy = "Write the distance in millimetres below which the surfaces count as the same, such as 0.2, or leave it out.";
        at.fault("tolerance", "tolerance_mm", what, remedy);
    }
    if let Some([low, high]) = collation.coating_mm {
        let (what, remedy) = if low < 0.0 || high < 0.0 {
            (
                "A coating cannot be thinner than nothing.".to_owned(),
                "Write the least and the greatest thickness in millimetres, such as [0.02, 0.06].",
            )
        } else if low > high {
            (
                format!("The thickness of the coating runs from {low} down to {high}."),
                "Write the least first, then the greatest.",
            )
        } else {
            return;
        };
        at.fault("coating", "coating_mm", what, remedy);
    }
}

fn one_pair(number: usize, pair: &PlacePair, at: &mut At<'_>) {
    at.on_both(&format!("pairs.{number}.part"), &pair.part);
    let sides = [
        (BodyKind::Original, &pair.original, pair.original_mm),
        (BodyKind::Replica, &pair.replica, pair.replica_mm),
    ];
    for (kind, detail, point_mm) in sides {
        let body = kind.word();
        let path = format!("pairs.{number}.{body}");
        match (detail, point_mm) {
            (None, Some(_)) => {}
            (Some(detail), None) => anchored(&path, kind, detail, pair, at),
            (Some(_), Some(_)) => {
                let what =
                    format!("The place on the {body} is given twice: by a detail and by a point.");
                let remedy = format!("Leave out ‘{body}’ or ‘{body}_mm’.");
                at.fault("pair", &format!("{path}_mm"), what, &remedy);
            }
            (None, None) => {
                let what = format!("This pair does not say where the place is on the {body}.");
                let remedy = format!(
                    "Add {body} = \"…\" (a detail whose anchor lies on the {body}) or {body}_mm = [x, y, z]."
                );
                at.fault("pair", &format!("pairs.{number}"), what, &remedy);
            }
        }
    }
}

/// A detail gives a place where its anchor is, so the anchor must lie on the body and part meant.
fn anchored(path: &str, kind: BodyKind, id: &DetailId, pair: &PlacePair, at: &mut At<'_>) {
    let details = &at.object.details;
    let entry = details.iter().find(|d| d.id == id.as_str());
    // A detail that is not there is reported as a mention, one that cannot be read by its faults.
    let Some(facts) = entry
        .and_then(|d| d.record.as_ref())
        .and_then(|r| r.facts.as_ref())
    else {
        return;
    };
    let body = kind.word();
    if facts.anchor.body != kind {
        let what = format!(
            "The anchor of ‘{id}’ lies on the {}, so it gives no place on the {body}.",
            facts.anchor.body.word()
        );
        let remedy = format!(
            "Name a detail whose anchor lies on the {body}, or write {body}_mm = [x, y, z] instead."
        );
        at.fault("pair", path, what, &remedy);
    } else if facts.part != pair.part {
        let what = format!(
            "The detail ‘{id}’ is on the part ‘{}’, the pair on the part ‘{}’.",
            facts.part, pair.part
        );
        let remedy = "Correct ‘part’, or name a detail that is on this part.";
        at.fault("pair", path, what, remedy);
    }
}

fn accepted(collation: &Collation, at: &mut At<'_>) {
    for (number, difference) in collation.accepted.iter().enumerate() {
        let path = |key: &str| format!("accepted.{number}.{key}");
        at.on_both(&path("part"), &difference.part);
        if difference.radius_mm <= 0.0 {
            let what = format!("A radius of {} mm is not above zero.", difference.radius_mm);
            let remedy = "Write how far the difference reaches from its middle, in millimetres, such as 4.0.";
            at.fault("radius", &path("radius_mm"), what, remedy);
        }
        if difference.evidence.by.is_none() {
            let what = "A difference is accepted, but no person stands behind it.".to_owned();
            let remedy =
                "Add by = \"…\" (a person in site.toml): whoever looked at it and accepts it.";
            at.fault("accepted-by-nobody", &path("evidence"), what, remedy);
        }
    }
}
