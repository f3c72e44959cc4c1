//! Quantities that counterpart reckons with: their units, their numbers, and the direction of
//! the build.

use crate::record::read::draft::Draft;
use crate::record::read::facts::Record;
use crate::record::{Findings, Quantity, QuantityKind, StepRecord};

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    for object in &draft.objects {
        let Some(facts) = object.entry.record.as_ref().and_then(|r| r.facts.as_ref()) else {
            continue;
        };
        let with_replica = facts.bodies.replica.is_some();
        for record in object.steps.iter().filter_map(|s| s.record.as_ref()) {
            let Some(facts) = &record.facts else { continue };
            for (number, quantity) in facts.quantities.iter().enumerate() {
                if let Some(kind) = quantity.is {
                    one(record, number, quantity, kind, findings);
                }
            }
            layers(record, facts, findings);
            build_up(record, facts, with_replica, findings);
        }
    }
}

fn one(
    record: &Record<StepRecord>,
    number: usize,
    quantity: &Quantity,
    kind: QuantityKind,
    findings: &mut Findings,
) {
    let at = |key: &str| record.places.at(&format!("quantities.{number}.{key}"));
    let word = kind.word();
    if quantity.reckoned().is_none() {
        let mut units: Vec<&str> = kind.units().iter().map(|(unit, _)| *unit).collect();
        // Two of them look the same.
        units.retain(|unit| *unit != "\u{3bc}m");
        let what = format!("‘{}’ is not a unit for \"{word}\".", quantity.unit);
        let remedy = format!(
            "Write the value in {}, with unit = \"{}\".",
            units.join(" or "),
            units.first().copied().unwrap_or_default()
        );
        findings.push(record.file.error("quantity-unit", at("unit"), what, remedy));
    }
    // Nothing at all may be used or thrown away, but no layer is without thickness.
    let layer = kind == QuantityKind::LayerThickness;
    if quantity.value < 0.0 || (layer && quantity.value == 0.0) {
        let (what, remedy) = if layer {
            (
                format!(
                    "A layer of {} {} is not above zero.",
                    quantity.value, quantity.unit
                ),
                "Write the thickness of one layer, such as value = 30.0 with unit = \"µm\".",
            )
        } else {
            (
                format!("{} {} are below zero.", quantity.value, quantity.unit),
                "Write the number as it was read, zero or more.",
            )
        };
        findings.push(
            record
                .file
                .error("quantity-value", at("value"), what, remedy),
        );
    }
}

/// A build has layers of one thickness here: two in one step could not be told apart.
fn layers(record: &Record<StepRecord>, facts: &StepRecord, findings: &mut Findings) {
    let layer = |q: &Quantity| q.is == Some(QuantityKind::LayerThickness);
    let mut of_layers = facts
        .quantities
        .iter()
        .enumerate()
        .filter(|(_, q)| layer(q));
    of_layers.next();
    for (number, _) in of_layers {
        let what = "A second layer thickness is given for the same step.";
        let remedy = "Leave one of the two out, or give each build a step of its own.";
        let span = record.places.at(&format!("quantities.{number}.is"));
        findings.push(record.file.error("quantity-twice", span, what, remedy));
    }
    let counted = facts.quantities.iter().position(layer);
    if let Some(number) = counted
        && facts.build_up.is_none()
    {
        let what = "The layers cannot be counted, since the step does not say in which direction they were laid.";
        let remedy = "Add build_up = [x, y, z] to this step: the direction of the build in the frame of the replica’s models, [0.0, 1.0, 0.0] if it was built standing up.";
        let span = record.places.at(&format!("quantities.{number}.is"));
        findings.push(record.file.advice("build-up", span, what, remedy));
    }
}

fn build_up(
    record: &Record<StepRecord>,
    facts: &StepRecord,
    with_replica: bool,
    findings: &mut Findings,
) {
    let Some(direction) = facts.build_up else {
        return;
    };
    let (what, remedy) = if direction == [0.0; 3] {
        (
            "A direction of the build with three zeros points nowhere.",
            "Write where the layers grew to in the frame of the replica’s models, such as [0.0, 1.0, 0.0].",
        )
    } else if !with_replica {
        (
            "A direction of the build is given, but the object has no replica.",
            "Leave ‘build_up’ out, or describe the replica in [bodies.replica] of the object.",
        )
    } else {
        return;
    };
    let span = record.places.at("build_up");
    findings.push(record.file.error("build-up", span, what, remedy));
}
