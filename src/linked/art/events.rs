//! What happened to a body: its making, its repairs, the steps in which the replica came about.

use super::says::{Says, note, on_day};
use crate::linked::put;
use crate::record::{Body, BodyKind, Detail, Kind, Quantity, QuantityKind, Step};
use serde_json::{Value, json};

impl Says<'_> {
    /// How the original was made, as far as its record tells.
    pub(super) fn made(&self, kind: BodyKind) -> Value {
        let what = &self.telling.object.record.identification;
        let mut made = json!({
            "id": self.thing_id(kind, "#production"), "type": "Production",
            "_label": format!("Making of {}", self.body_label(kind)),
            "timespan": {
                "type": "TimeSpan", "_label": self.label(&what.date),
                "identified_by": self.names(&what.date, None),
            },
        });
        let maker = what.maker.as_ref().map(|maker| {
            json!([{
                "id": self.thing_id(kind, "#maker"), "type": "Actor", "_label": self.label(maker),
                "identified_by": self.names(maker, None),
            }])
        });
        put(&mut made, "carried_out_by", maker);
        let place = what.place.as_ref().map(|place| {
            json!([{
                "type": "Place", "_label": self.label(place),
                "identified_by": self.names(place, None),
            }])
        });
        put(&mut made, "took_place_at", place);
        made
    }

    /// The replica's production: it used the models of the original; its parts are the steps.
    pub(super) fn replicated(&self, body: &Body) -> Value {
        let kind = BodyKind::Replica;
        let mut made = json!({
            "id": self.thing_id(kind, "#production"), "type": "Production",
            "_label": format!("Making of {}", self.body_label(kind)),
            "used_specific_object": [self.models_of_original()],
        });
        put(&mut made, "timespan", body.dated.map(on_day));
        let steps = &self.telling.object.making;
        let built = steps.iter().position(builds);
        let parts = steps.iter().enumerate();
        let parts = parts.map(|(index, step)| self.step(step, index, built));
        put(&mut made, "part", Some(parts.collect()));
        made
    }

    fn models_of_original(&self) -> Value {
        json!({
            "id": self.model_id(BodyKind::Original, ""), "type": "DigitalObject",
            "_label": format!("Models of {}", self.body_label(BodyKind::Original)),
        })
    }

    /// One step: preparing, then building, then changing what was built. Where no step builds in
    /// layers, it is not known which is which, and each is an activity.
    fn step(&self, step: &Step, index: usize, built: Option<usize>) -> Value {
        let kind = match built {
            Some(at) if builds(step) || index == at => "Production",
            Some(at) if index > at => "Modification",
            _ => "Activity",
        };
        let names = self.titles(&step.notes, None);
        let title = self.title(&step.notes);
        let mut told = json!({
            "id": self.thing_id(BodyKind::Replica, &format!("#step-{}", step.id)),
            "type": kind, "_label": title, "identified_by": names.clone(),
            "technique": [{ "type": "Type", "_label": title, "identified_by": names }],
        });
        let people = step.record.people.iter().map(|id| self.introduced(id));
        put(&mut told, "carried_out_by", Some(people.collect()));
        put(&mut told, "timespan", step.record.date.map(on_day));
        if kind == "Production" {
            put(
                &mut told,
                "used_specific_object",
                Some(json!([self.models_of_original()])),
            );
        }
        let quantities = step.record.quantities.iter();
        let quantities = quantities.map(|q| note(&self.quantity(q)));
        put(&mut told, "referred_to_by", Some(quantities.collect()));
        told
    }

    /// "layer thickness: 30 µm".
    fn quantity(&self, quantity: &Quantity) -> String {
        format!(
            "{}: {} {}",
            self.label(&quantity.name),
            quantity.value,
            quantity.unit
        )
    }

    /// Old mendings of the original.
    pub(super) fn repairs(&self) -> Vec<Value> {
        let repairs = self
            .on(BodyKind::Original)
            .filter(|d| d.record.kind == Kind::Repair);
        repairs
            .map(|detail| {
                json!({
                    "id": self.thing_id(BodyKind::Original, &format!("#repair-{}", detail.id)),
                    "type": "Modification", "_label": self.title(&detail.notes),
                    "identified_by": self.titles(&detail.notes, None),
                    "classified_as": [{ "type": "Type", "_label": "repair" }],
                    "referred_to_by": [note("That it was mended is seen; by whom and when is not recorded here unless the words of the detail tell.")],
                })
            })
            .collect()
    }

    /// Damage and losses of the original, as they were found by whoever looked.
    pub(super) fn conditions(&self) -> Vec<Value> {
        let kinds = [(Kind::Damage, "damage"), (Kind::Loss, "loss")];
        let of = |detail: &Detail| {
            let (_, word) = kinds.iter().find(|(kind, _)| *kind == detail.record.kind)?;
            Some(json!({
                "id": self.thing_id(BodyKind::Original, &format!("#condition-{}", detail.id)),
                "type": "ConditionState", "_label": self.title(&detail.notes),
                "identified_by": self.titles(&detail.notes, None),
                "classified_as": [{ "type": "Type", "_label": word }],
                "condition_identified_by": [self.act("ConditionAssessment", &detail.record.evidence)],
            }))
        };
        self.on(BodyKind::Original).filter_map(of).collect()
    }

    /// Details that can be pointed at on a body, in the keeper's order.
    pub(super) fn on(&self, kind: BodyKind) -> impl Iterator<Item = &Detail> {
        let details = self.telling.object.details.iter();
        details.filter(move |detail| detail.record.bearing.is_on(kind))
    }
}

/// Whether a step lays layers.
fn builds(step: &Step) -> bool {
    let thickness = Some(QuantityKind::LayerThickness);
    step.record.build_up.is_some() || step.record.quantities.iter().any(|q| q.is == thickness)
}
