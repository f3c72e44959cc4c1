//! Numbers that can be right: positive densities, radii and masses, angles within their range.

use crate::record::read::draft::{Draft, ObjectDraft};
use crate::record::read::facts::Record;
use crate::record::read::places::Places;
use crate::record::{Findings, ObjectRecord, SourceFile, ViewFrom};

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    for object in &draft.objects {
        if let Some(record) = &object.entry.record {
            densities(record, findings);
            weights(record, findings);
            if let Some(facts) = &record.facts {
                elevation(facts.front, "front", &record.file, &record.places, findings);
            }
        }
        details(object, findings);
        steps(object, findings);
    }
}

fn densities(record: &Record<ObjectRecord>, findings: &mut Findings) {
    for (id, material) in record.facts.iter().flat_map(|f| &f.materials) {
        let [low, high] = material.density_g_per_cm3;
        let (what, remedy) = if low <= 0.0 || high <= 0.0 {
            (
                format!("The density of ‘{id}’ is not above zero."),
                "Write grams per cubic centimetre, such as [8.6, 8.7].",
            )
        } else if low > high {
            (
                format!("The density of ‘{id}’ runs from {low} down to {high}."),
                "Write the lowest first, then the highest.",
            )
        } else {
            continue;
        };
        let span = record
            .places
            .at(&format!("materials.{id}.density_g_per_cm3"));
        findings.push(record.file.error("density", span, what, remedy));
    }
}

fn weights(record: &Record<ObjectRecord>, findings: &mut Findings) {
    let Some(facts) = &record.facts else { return };
    for (name, body) in [
        ("original", Some(&facts.bodies.original)),
        ("replica", facts.bodies.replica.as_ref()),
    ] {
        let Some(weighed) = body.and_then(|b| b.weighed_g.as_ref()) else {
            continue;
        };
        let at = |key: &str| record.places.at(&format!("bodies.{name}.weighed_g.{key}"));
        if weighed.value_g <= 0.0 {
            let what = format!("A weight of {} g is not above zero.", weighed.value_g);
            let remedy = "Write the reading of the scale in grams, or leave weighed_g out.";
            findings.push(record.file.error("weight", at("value_g"), what, remedy));
        }
        if weighed.uncertainty_g < 0.0 {
            let what = format!(
                "An uncertainty of {} g is below zero.",
                weighed.uncertainty_g
            );
            let remedy = "Write the half-width in grams, such as 0.5.";
            findings.push(
                record
                    .file
                    .error("weight", at("uncertainty_g"), what, remedy),
            );
        }
    }
}

fn details(object: &ObjectDraft<'_>, findings: &mut Findings) {
    for record in object.details.iter().filter_map(|d| d.record.as_ref()) {
        let Some(facts) = &record.facts else { continue };
        let mut radius = |path: &str, radius_mm: f64| {
            if radius_mm <= 0.0 {
                let what = format!("A radius of {radius_mm} mm is not above zero.");
                let remedy = "Write how far the detail reaches from its middle, in millimetres, such as 4.0.";
                let span = record.places.at(path);
                findings.push(record.file.error("radius", span, what, remedy));
            }
        };
        radius("anchor.radius_mm", facts.anchor.radius_mm);
        for (number, patch) in facts.elsewhere.iter().enumerate() {
            radius(&format!("elsewhere.{number}.radius_mm"), patch.radius_mm);
        }
        elevation(facts.view, "view", &record.file, &record.places, findings);
    }
}

fn steps(object: &ObjectDraft<'_>, findings: &mut Findings) {
    for record in object.steps.iter().filter_map(|s| s.record.as_ref()) {
        if let Some(hours) = record.facts.as_ref().and_then(|f| f.hours)
            && hours < 0.0
        {
            let what = format!("{hours} hours of work are below zero.");
            let remedy = "Write the hours worked, or leave ‘hours’ out.";
            findings.push(
                record
                    .file
                    .error("hours", record.places.at("hours"), what, remedy),
            );
        }
    }
}

fn elevation(
    view: Option<ViewFrom>,
    table: &str,
    file: &SourceFile,
    places: &Places,
    findings: &mut Findings,
) {
    let Some(degrees) = view.map(|v| v.elevation_deg) else {
        return;
    };
    if !(-90.0..=90.0).contains(&degrees) {
        let what = format!("An elevation of {degrees}° is past straight up or straight down.");
        let remedy = "Write between -90 (from below) and 90 (from above).";
        findings.push(file.error(
            "elevation",
            places.at(&format!("{table}.elevation_deg")),
            what,
            remedy,
        ));
    }
}
