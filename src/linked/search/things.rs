//! Original and replica in the words of schema.org.

use super::Speaks;
use crate::collate::Estimate;
use crate::linked::art::{model_name, thing_name};
use crate::linked::{MEDIA_TYPE, core, put};
use crate::record::{Body, BodyKind, PersonId};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Codes of units of UN/ECE Recommendation 20, as schema.org asks: millimetre and gram.
const MILLIMETRE: (&str, &str) = ("MMT", "mm");
const GRAM: (&str, &str) = ("GRM", "g");

impl Speaks<'_> {
    /// The address by which a body is known in this vocabulary.
    pub(super) fn thing_id(&self, kind: BodyKind) -> String {
        self.telling.address(&format!("#{}", kind.word()))
    }

    /// Both bodies with their models and stills.
    pub(crate) fn things(&self) -> Vec<Value> {
        let mut all = Vec::new();
        for kind in [BodyKind::Original, BodyKind::Replica] {
            let Some(body) = self.telling.object.record.bodies.get(kind) else {
                continue;
            };
            all.push(self.thing(kind, body));
            all.extend(self.model(kind, body));
            all.extend(self.still(kind, body));
        }
        all
    }

    fn thing(&self, kind: BodyKind, body: &Body) -> Value {
        let object = self.telling.object;
        let what = &object.record.identification;
        let mut thing = json!({
            "@type": "VisualArtwork", "@id": self.thing_id(kind),
            "name": self.each(|lang| Some(object.notes.get(lang)?.title.clone())),
            "artform": self.text(&what.name),
            "material": self.materials(body),
            "artworkSurface": self.text(&body.finish),
            "url": self.telling.address(""),
            "subjectOf": {
                "@type": "DigitalDocument", "@id": self.telling.document(&thing_name(kind)),
                "encodingFormat": MEDIA_TYPE,
            },
        });
        let geometry = self.telling.geometry;
        if let Some(extent) = geometry.extents.bodies.get(&kind) {
            for (key, size) in ["width", "height", "depth"]
                .into_iter()
                .zip(&extent.size_mm)
            {
                put(&mut thing, key, Some(quantity(size, MILLIMETRE)));
            }
        }
        let mass = geometry.quantities.masses.get(&kind);
        let mass = mass.and_then(|m| m.best_g());
        put(&mut thing, "weight", mass.map(|m| quantity(m, GRAM)));
        if self.telling.served.plates.contains_key(&kind) {
            put(
                &mut thing,
                "image",
                Some(json!({ "@id": self.still_id(kind) })),
            );
        }
        if self.telling.served.model(kind).is_some() {
            put(
                &mut thing,
                "associatedMedia",
                Some(json!({ "@id": self.model_id(kind) })),
            );
        }
        // In a page, which has one language, Dublin Core stands beside it.
        if let [lang] = self.langs {
            for (term, value) in core::brief(self.telling, kind, lang) {
                put(&mut thing, term, Some(value));
            }
        }
        if kind == self.telling.shown() {
            put(
                &mut thing,
                "description",
                Some(self.text(&object.record.label)),
            );
        }
        match kind {
            BodyKind::Original => {
                put(&mut thing, "temporal", Some(self.text(&what.date)));
                // The record does not say if a maker is a person; schema.org takes a text anywhere.
                put(
                    &mut thing,
                    "creator",
                    what.maker.as_ref().map(|m| self.text(m)),
                );
                let place = |p| json!({ "@type": "Place", "name": self.text(p) });
                put(
                    &mut thing,
                    "locationCreated",
                    what.place.as_ref().map(place),
                );
                put(
                    &mut thing,
                    "identifier",
                    Some(json!({
                        "@type": "PropertyValue", "propertyID": "object number", "value": what.number,
                    })),
                );
            }
            BodyKind::Replica => {
                let original = json!({ "@id": self.thing_id(BodyKind::Original) });
                put(&mut thing, "isBasedOn", Some(original));
                put(
                    &mut thing,
                    "dateCreated",
                    body.dated.map(|d| d.to_string().into()),
                );
                let people = object.making.iter().flat_map(|s| &s.record.people);
                let people: BTreeSet<&PersonId> = people.collect();
                let people = people.into_iter().filter_map(|id| self.person(id));
                put(&mut thing, "contributor", Some(people.collect()));
            }
        }
        thing
    }

    /// The address by which a model is known; that of its document in Linked Art is another.
    pub(super) fn model_id(&self, kind: BodyKind) -> String {
        self.telling.address(&format!("#{}-model", kind.word()))
    }

    pub(super) fn still_id(&self, kind: BodyKind) -> String {
        self.telling.address(&format!("#{}-still", kind.word()))
    }

    /// Where a model is told in full.
    pub(super) fn model_told(&self, kind: BodyKind) -> Value {
        json!({
            "@type": "DigitalDocument", "@id": self.telling.document(&model_name(kind)),
            "encodingFormat": MEDIA_TYPE,
        })
    }

    fn materials(&self, body: &Body) -> Value {
        let record = &self.telling.object.record;
        let ids: BTreeSet<_> = body.parts.iter().map(|p| &p.material).collect();
        let names = ids.into_iter().filter_map(|id| record.materials.get(id));
        let mut names: Vec<Value> = names.map(|m| self.text(&m.name)).collect();
        match names.len() {
            1 => names.remove(0),
            // Texts in several languages are lists already.
            _ => names
                .into_iter()
                .flat_map(|n| match n {
                    Value::Array(all) => all,
                    one => vec![one],
                })
                .collect(),
        }
    }

    fn person(&self, id: &PersonId) -> Option<Value> {
        let site = &self.telling.catalogue.site;
        let person = site.people.get(id)?;
        let kind = if person.group {
            "Organization"
        } else {
            "Person"
        };
        Some(json!({
            "@type": kind, "@id": format!("{}#person-{id}", site.address), "name": person.name,
        }))
    }
}

/// A number with its unit and, where its uncertainty is known, the limits between which it lies.
fn quantity(estimate: &Estimate, (code, unit): (&str, &str)) -> Value {
    let mut told = json!({ "@type": "QuantitativeValue", "unitCode": code, "unitText": unit });
    let known = estimate.rounded();
    let decimals = known.map_or(1, |r| r.decimals);
    let write = |value| json!(crate::linked::art::rounded(value, decimals));
    put(
        &mut told,
        "value",
        Some(write(known.map_or(estimate.value, |r| r.value))),
    );
    if let Some(r) = known {
        put(&mut told, "minValue", Some(write(r.value - r.expanded)));
        put(&mut told, "maxValue", Some(write(r.value + r.expanded)));
    }
    told
}
