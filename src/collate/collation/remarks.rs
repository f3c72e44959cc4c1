//! Findings of the comparison: no difference is passed over in silence.

use super::explain::{holds, shown_on};
use super::{Assembly, Claim, Collation, Explained, Found, Given, PartCollation};
use crate::align::Pose;
use crate::differ::{Kind, Region};
use crate::record::{BodyKind, Finding, Findings, PartId, Place, Severity, Stands, content_name};
use glam::DVec3;

/// Parts that lie on the two bodies this differently are worth a word: degrees and millimetres.
const ASTRAY: (f64, f64) = (0.5, 0.5);
/// Parts that pass into one another deeper than this are worth a word, millimetres.
const DEEP_MM: f64 = 0.2;
/// A seat askew by more than this is worth a word, degrees.
const ASKEW_DEG: f64 = 0.5;

pub(super) fn remark(given: Given<'_>, collation: &Collation, findings: &mut Findings) {
    for part in &collation.parts {
        fit(given, part, findings);
    }
    for found in &collation.found {
        if found.explained == Explained::Not
            && let Some(part) = collation.part(&found.part)
        {
            unexplained(given, collation, part, found, findings);
        }
    }
    for claim in &collation.claims {
        if claim.found.is_empty() {
            not_found(given, collation, claim, findings);
        }
    }
    for (index, accepted) in given.object.record.collation.accepted.iter().enumerate() {
        let borne_out = collation.parts.iter().any(|part| {
            let mut regions = part.comparison.regions.iter();
            regions.any(|region| holds(accepted, part, region))
        });
        if !borne_out {
            findings.push(Finding {
                severity: Severity::Advice,
                rule: "accepted-not-found",
                place: in_object(given, &["collation", "accepted", &index.to_string()]),
                what: format!(
                    "this difference was accepted, but none of its kind is found there on ‘{}’",
                    accepted.part
                ),
                remedy: "correct its place, or take it out".to_owned(),
            });
        }
    }
}

fn in_object(given: Given<'_>, path: &[&str]) -> Place {
    let record = content_name(given.root, &given.object.folder.join("record.toml"));
    given.sources.place_of(&record, path)
}

fn model_place(given: Given<'_>, body: BodyKind, part: &PartId) -> Place {
    let parts = given.object.record.bodies.parts(body);
    let index = parts.iter().position(|p| &p.id == part).unwrap_or(0);
    in_object(
        given,
        &["bodies", body.word(), "parts", &index.to_string(), "model"],
    )
}

fn at(p: DVec3) -> String {
    let [x, y, z] = p.to_array();
    format!("({x:.1}, {y:.1}, {z:.1})")
}

fn fit(given: Given<'_>, part: &PartCollation, findings: &mut Findings) {
    let place = || model_place(given, BodyKind::Replica, &part.part);
    let open: Vec<String> = part
        .fit
        .directions
        .iter()
        .filter(|d| !d.determined)
        .map(|d| {
            if d.turn.length() > d.shift.length() {
                format!("a turn about the axis {}", at(d.turn.normalize_or_zero()))
            } else {
                format!("a shift along {}", at(d.shift.normalize_or_zero()))
            }
        })
        .collect();
    if !part.fit.determined() {
        let what = if open.is_empty() {
            format!(
                "the part ‘{}’ fits the original in {} ways equally well",
                part.part,
                part.fit.rivals.len() + 1
            )
        } else {
            format!(
                "the surface of the part ‘{}’ does not settle {}: sizes of differences hold, but which place lies on which does not",
                part.part,
                open.join(" and ")
            )
        };
        findings.push(Finding {
            severity: Severity::Advice,
            rule: "pose-open",
            place: place(),
            what,
            remedy: "name places that are the same on both under [[collation.pairs]], one or more off the axis".to_owned(),
        });
    }
    let (turn, shift) = part.beside_whole;
    if part.fit.determined() && (turn > ASTRAY.0 || shift > ASTRAY.1) {
        findings.push(Finding {
            severity: Severity::Advice,
            rule: "part-astray",
            place: place(),
            what: format!(
                "beside the rest of the replica the part ‘{}’ lies otherwise than on the original: turned by {turn:.1}° and shifted by {shift:.1} mm",
                part.part
            ),
            remedy: "set the part in its place in the model, or say in the notes that it lies so".to_owned(),
        });
    }
}

fn unexplained(
    given: Given<'_>,
    collation: &Collation,
    part: &PartCollation,
    found: &Found,
    findings: &mut Findings,
) {
    let region = &part.comparison.regions[found.index];
    let near = found
        .near
        .first()
        .map(|(id, mm)| format!(", {mm:.0} mm from the middle of ‘{id}’"))
        .unwrap_or_default();
    let verb = match region.kind {
        Kind::Gained => "stands out beyond the original",
        Kind::Lost => "falls short of the original",
        Kind::Moved => "has something in another place than the original",
    };
    findings.push(Finding {
        severity: Severity::Error,
        rule: "unexplained-difference",
        place: model_place(given, shown_on(region.kind), &part.part),
        what: format!(
            "difference {}: the replica {verb} by up to {:.2} mm over {:.1} mm² ({:.1} mm³) on the part ‘{}’ at {} mm{near}, and no note explains it; the tolerance is {:.2} mm",
            found.number, region.max_mm, region.area_mm2, region.volume_mm3, part.part, at(region.centre), part.tolerance.value_mm
        ),
        remedy: remedy(given, collation, part, found.number, region),
    });
}

/// A record to be pasted: a detail, or an acceptance.
fn remedy(
    given: Given<'_>,
    collation: &Collation,
    part: &PartCollation,
    number: usize,
    region: &Region,
) -> String {
    let body = shown_on(region.kind);
    // In the frame of that body's own model.
    let point = match body {
        BodyKind::Original => region.centre,
        BodyKind::Replica => {
            let laid = part.fit.pose.inverse().point(region.centre);
            collation
                .laid
                .moved
                .map_or(laid, |m: Pose| m.inverse().point(laid))
        }
    };
    let [x, y, z] = point.to_array();
    let [cx, cy, cz] = region.centre.to_array();
    let radius = region.spot.radius_mm.max(0.5);
    let (kind, original, replica) = match region.kind {
        Kind::Gained => ("addition", "absent", "present"),
        Kind::Lost => ("loss", "present", "altered"),
        Kind::Moved => ("construction", "present", "altered"),
    };
    let person = given
        .object
        .making
        .iter()
        .flat_map(|s| &s.record.people)
        .next()
        .map_or_else(|| "who".to_owned(), ToString::to_string);
    format!(
        "say what it is, in details/difference-{number}/record.toml (and its words beside it):\n\
         \n\
         format = 1\n\
         kind = \"{kind}\" # or trace, repair, damage, construction, loss\n\
         part = \"{part}\"\n\
         bearing = {{ original = \"{original}\", replica = \"{replica}\" }}\n\
         anchor = {{ body = \"{body}\", point_mm = [{x:.2}, {y:.2}, {z:.2}], radius_mm = {radius:.1} }}\n\
         evidence = {{ ground = \"measured\" }}\n\
         \n\
         or answer for it, in the record of the object:\n\
         \n\
         [[collation.accepted]]\n\
         part = \"{part}\"\n\
         kind = \"{word}\"\n\
         centre_mm = [{cx:.2}, {cy:.2}, {cz:.2}]\n\
         radius_mm = {radius:.1}\n\
         reason = {{ en = \"…\" }}\n\
         evidence = {{ ground = \"observed\", by = \"{person}\" }}",
        part = part.part,
        body = body.word(),
        word = region.kind.word(),
    )
}

fn not_found(given: Given<'_>, collation: &Collation, claim: &Claim, findings: &mut Findings) {
    let Some(detail) = given.object.details.iter().find(|d| d.id == claim.detail) else {
        return;
    };
    let Some(part) = collation.part(&detail.record.part) else {
        return;
    };
    let record = content_name(given.root, &detail.folder.join("record.toml"));
    let altered = detail.record.bearing.replica == Some(Stands::Altered);
    let seen = match claim.greatest_mm {
        Some(mm) => format!(
            "the surfaces lie within {mm:.2} mm of one another there, and the tolerance is {:.2} mm",
            part.tolerance.value_mm
        ),
        None => "nothing there was captured on both bodies".to_owned(),
    };
    findings.push(Finding {
        severity: if altered { Severity::Advice } else { Severity::Error },
        rule: "difference-not-found",
        place: given.sources.place_of(&record, &["bearing"]),
        what: format!("this detail says that the bodies differ here, but {seen}"),
        remedy: "correct the bearing or the place and radius; when only colour, polish or grain differ, write in_shape = false".to_owned(),
    });
}

pub(super) fn of_assembly(
    given: Given<'_>,
    body: BodyKind,
    assembly: &Assembly,
    findings: &mut Findings,
) {
    for joint in &assembly.joints {
        let [one, other] = &joint.parts;
        if let Some(deepest) = joint.meeting.overlap.places.first()
            && deepest.deepest_mm > DEEP_MM
        {
            findings.push(Finding {
                severity: Severity::Advice,
                rule: "parts-overlap",
                place: model_place(given, body, other),
                what: format!(
                    "the parts ‘{one}’ and ‘{other}’ pass into one another by up to {:.2} mm ({:.1} mm³) at {} mm",
                    deepest.deepest_mm, deepest.volume_mm3, at(deepest.spot.centre)
                ),
                remedy: "set one of them in its place again; two parts cannot be in one place".to_owned(),
            });
        }
        let askew = joint
            .meeting
            .seat
            .as_ref()
            .and_then(|s| s.askew.as_ref().map(|a| (s, a)));
        if let Some((seat, askew)) = askew.filter(|(_, a)| a.tilt_deg > ASKEW_DEG) {
            findings.push(Finding {
                severity: Severity::Advice,
                rule: "part-askew",
                place: model_place(given, body, other),
                what: format!(
                    "the part ‘{other}’ sits askew on ‘{one}’ by {:.1}°: the gap is {:.2} mm at {} mm and {:.2} mm at {} mm",
                    askew.tilt_deg, seat.least_mm, at(seat.least_at), seat.greatest_mm, at(seat.greatest_at)
                ),
                remedy: "set it level before it is printed or shown, or say that the original is so".to_owned(),
            });
        }
    }
}
