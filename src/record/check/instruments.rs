//! What instruments gave: the scanner's certificate, the callipers, the thickness of a wall.

use crate::record::read::draft::Draft;
use crate::record::read::facts::Record;
use crate::record::{Body, Findings, ObjectRecord};

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    for object in &draft.objects {
        let Some(record) = &object.entry.record else {
            continue;
        };
        let Some(facts) = &record.facts else { continue };
        for (name, body) in [
            ("original", Some(&facts.bodies.original)),
            ("replica", facts.bodies.replica.as_ref()),
        ] {
            let Some(body) = body else { continue };
            let mut at = At {
                record,
                name,
                findings,
            };
            scan(body, &mut at);
            walls(body, &mut at);
            callipers(body, &mut at);
        }
    }
}

/// One body of a record, for pointing at.
struct At<'c> {
    record: &'c Record<ObjectRecord>,
    name: &'static str,
    findings: &'c mut Findings,
}

impl At<'_> {
    fn fault(&mut self, rule: &'static str, path: &str, what: String, remedy: &str) {
        let span = self
            .record
            .places
            .at(&format!("bodies.{}.{path}", self.name));
        self.findings
            .push(self.record.file.error(rule, span, what, remedy));
    }
}

fn scan(body: &Body, at: &mut At<'_>) {
    let Some(scan) = &body.scan else { return };
    if scan.uncertainty_mm <= 0.0 {
        let what = format!(
            "An uncertainty of {} mm is not above zero; no scanner is without one.",
            scan.uncertainty_mm
        );
        let remedy = "Write the figure of the scanner’s certificate (k = 2) in millimetres, such as 0.05, or leave ‘scan’ out.";
        at.fault("scan-uncertainty", "scan.uncertainty_mm", what, remedy);
    }
}

fn walls(body: &Body, at: &mut At<'_>) {
    for (number, part) in body.parts.iter().enumerate() {
        let Some(wall_mm) = part.wall_mm else {
            continue;
        };
        let path = format!("parts.{number}.wall_mm");
        if wall_mm <= 0.0 {
            let what = format!("A wall of {wall_mm} mm is not above zero.");
            let remedy = "Write the thickness of the wall in millimetres, such as 2.5.";
            at.fault("wall", &path, what, remedy);
        }
        if part.solid != Some(false) {
            let what = format!(
                "A wall is given, but the part ‘{}’ is not said to be a shell.",
                part.id
            );
            let remedy = "Write solid = false if it is hollow, or leave ‘wall_mm’ out.";
            at.fault("wall", &path, what, remedy);
        }
    }
}

fn callipers(body: &Body, at: &mut At<'_>) {
    let name = at.name;
    for (number, caliper) in body.calipers.iter().enumerate() {
        let path = |key: &str| format!("calipers.{number}.{key}");
        if caliper.measured_mm <= 0.0 {
            let what = format!("A reading of {} mm is not above zero.", caliper.measured_mm);
            let remedy = "Write what the callipers showed, in millimetres, such as 130.4.";
            at.fault("calliper", &path("measured_mm"), what, remedy);
        }
        if caliper.uncertainty_mm <= 0.0 {
            let what = format!(
                "An uncertainty of {} mm is not above zero; no reading is without one.",
                caliper.uncertainty_mm
            );
            let remedy = "Write the half-width (k = 2) in millimetres, such as 0.1; the certificate of the callipers, and how well they could be set, give it.";
            at.fault("calliper", &path("uncertainty_mm"), what, remedy);
        }
        if caliper.from_mm == caliper.to_mm {
            let what = "The callipers are set to two places, but here both are the same point.";
            let remedy = "Write the two points of the model between which the reading was taken.";
            at.fault("calliper", &path("to_mm"), what.to_owned(), remedy);
        }
        let other = match name {
            "original" => "replica",
            _ => "original",
        };
        let elsewhere = at
            .record
            .places
            .each(&format!("bodies.{other}.parts"), "id");
        // A part that is on neither body is reported as a mention.
        if !body.parts.iter().any(|p| p.id == caliper.part)
            && elsewhere
                .iter()
                .any(|(_, leaf)| leaf.text == caliper.part.as_str())
        {
            let what = format!(
                "The {name} has no part ‘{}’ to set callipers to.",
                caliper.part
            );
            let remedy = format!(
                "Name a part of the {name}, or move this section to [[bodies.{other}.calipers]]."
            );
            at.fault("calliper", &path("part"), what, &remedy);
        }
    }
}
