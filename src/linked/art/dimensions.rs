//! Sizes and masses, each with its unit, its limits and the way it was found.
//!
//! A Dimension has a value (P90) and, where the uncertainty is known, the limits between which it
//! lies (P90a, P90b): value less and plus the expanded uncertainty, coverage factor 2, about 95 %
//! (GUM). What went into it is told in a note, since the model has no terms for that.

use super::says::{
    Aat, DEPTH, GRAMS, HEIGHT, MILLIMETRES, Says, WEIGHT, WIDTH, kind_of, note, unit,
};
use crate::collate::{Basis, COVERAGE, Estimate};
use crate::linked::put;
use crate::record::{Body, BodyKind};
use serde_json::{Value, json};

/// Decimals of a length of which no uncertainty is known, as on the pages.
const PLAIN_DECIMALS: usize = 1;

impl Says<'_> {
    pub(super) fn dimensions(&self, kind: BodyKind, body: &Body) -> Vec<Value> {
        let mut all = Vec::new();
        if let Some(extent) = self.telling.geometry.extents.bodies.get(&kind) {
            let [width, height, depth] = &extent.size_mm;
            for (class, size) in [(HEIGHT, height), (WIDTH, width), (DEPTH, depth)] {
                let id = self.thing_id(kind, &format!("#{}", class.1.to_lowercase()));
                let how = "Measured on the models: the box around all parts, upright.";
                all.push(dimension(&id, kind_of(class), size, MILLIMETRES, how));
            }
        }
        let masses = &self.telling.geometry.quantities.masses;
        if let Some(mass) = masses.get(&kind).and_then(|m| m.best_g()) {
            let id = self.thing_id(kind, "#mass");
            let (how, act) = match &body.weighed_g {
                Some(weighed) => ("Weighed.", Some(self.act("Measurement", &weighed.evidence))),
                None => (
                    "Reckoned from the volume of the models and the density of the material.",
                    None,
                ),
            };
            let mut told = dimension(&id, kind_of(WEIGHT), mass, GRAMS, how);
            put(&mut told, "observed_in", act.map(|a| json!([a])));
            all.push(told);
        }
        for (index, reading) in body.calipers.iter().enumerate() {
            let id = self.thing_id(kind, &format!("#calliper-{}", index + 1));
            let what = self.plain_type(&reading.name);
            let mut told = json!({
                "id": id, "type": "Dimension", "_label": self.label(&reading.name),
                "classified_as": [what], "unit": unit(MILLIMETRES),
                "value": reading.measured_mm,
                "lower_value_limit": rounded(reading.measured_mm - reading.uncertainty_mm, 6),
                "upper_value_limit": rounded(reading.measured_mm + reading.uncertainty_mm, 6),
                "observed_in": [self.act("Measurement", &reading.evidence)],
            });
            let part = body.parts.iter().find(|p| p.id == reading.part);
            let on = part.map_or("", |p| self.label(&p.name));
            let how = format!(
                "Taken with callipers on the part “{on}”. {}",
                between(reading.uncertainty_mm)
            );
            put(&mut told, "referred_to_by", Some(json!([note(&how)])));
            all.push(told);
        }
        all
    }
}

fn between(expanded: f64) -> String {
    format!(
        "The limits are ± {expanded}, the expanded uncertainty with coverage factor k = {COVERAGE}, about 95 % coverage."
    )
}

/// An estimate as a Dimension.
pub(super) fn dimension(id: &str, class: Value, estimate: &Estimate, of: Aat, how: &str) -> Value {
    let label = class["_label"].clone();
    let basis = match estimate.basis {
        Basis::Measured => "measured",
        Basis::Declared => "declared",
        Basis::Estimated => "estimated",
    };
    let mut told = json!({
        "id": id, "type": "Dimension", "_label": label,
        "classified_as": [class], "unit": unit(of),
    });
    let mut text = format!("{how} How it is known: {basis}.");
    match estimate.rounded() {
        Some(known) => {
            let limit = |sign: f64| rounded(known.value + sign * known.expanded, known.decimals);
            put(&mut told, "value", Some(json!(known.value)));
            put(&mut told, "lower_value_limit", Some(json!(limit(-1.0))));
            put(&mut told, "upper_value_limit", Some(json!(limit(1.0))));
            let from: Vec<String> = estimate
                .contributions
                .iter()
                .map(|c| format!("{} ({})", c.name, c.how.word()))
                .collect();
            text += &format!(" {} From: {}.", between(known.expanded), from.join(", "));
        }
        None => {
            put(
                &mut told,
                "value",
                Some(json!(rounded(estimate.value, PLAIN_DECIMALS))),
            );
            text +=
                " Its uncertainty is not known: the record names no certificate of the scanner.";
        }
    }
    put(&mut told, "referred_to_by", Some(json!([note(&text)])));
    told
}

/// To so many decimals, as it would be written.
pub(crate) fn rounded(value: f64, decimals: usize) -> f64 {
    // What was written can be read again.
    format!("{value:.decimals$}").parse().unwrap_or(value)
}
