//! The original and the replica.

use super::CONTEXT;
use super::says::{ACCESSION_NUMBER, DESCRIPTION, DIGITAL_IMAGE, PRIMARY_NAME, Says, WEB_PAGE};
use super::says::{kind_of, language};
use crate::linked::put;
use crate::record::{Body, BodyKind, MaterialId, Part, Use};
use serde_json::{Value, json};

impl Says<'_> {
    /// A body as a document.
    pub(super) fn thing(&self, kind: BodyKind, body: &Body) -> Value {
        let object = self.telling.object;
        let what = &object.record.identification;
        let names = self.titles(&object.notes, Some(PRIMARY_NAME));
        let mut thing = json!({
            "@context": CONTEXT,
            "id": self.thing_id(kind, ""), "type": "HumanMadeObject",
            "_label": self.body_label(kind),
            "classified_as": [self.plain_type(&what.name)],
            "identified_by": names,
            "current_location": self.location(body),
        });
        let parts = body
            .parts
            .iter()
            .map(|part| self.part(kind, part))
            .collect();
        put(&mut thing, "part", Some(parts));
        let materials = body.parts.iter().map(|p| &p.material);
        let materials: std::collections::BTreeSet<&MaterialId> = materials.collect();
        let materials = materials.into_iter().filter_map(|id| self.material(id));
        put(&mut thing, "made_of", Some(materials.collect()));
        put(
            &mut thing,
            "dimension",
            Some(self.dimensions(kind, body).into()),
        );
        put(&mut thing, "bears", Some(self.features(kind).into()));
        put(
            &mut thing,
            "representation",
            self.plate(kind).map(|p| json!([p])),
        );
        let mut about = self.pages();
        if kind == BodyKind::Original {
            about.extend(self.sources());
        }
        put(&mut thing, "subject_of", Some(about.into()));
        let mut texts = self.texts(&body.finish, DESCRIPTION);
        // The label stands beside the body that is shown, and speaks of that.
        if kind == self.telling.shown() {
            texts.extend(self.texts(&object.record.label, DESCRIPTION));
        }
        match kind {
            BodyKind::Original => {
                put(&mut thing, "produced_by", Some(self.made(kind)));
                put(&mut thing, "modified_by", Some(self.repairs().into()));
                put(&mut thing, "condition", Some(self.conditions().into()));
                let keeper = self.label(&what.keeper);
                put(
                    &mut thing,
                    "current_custodian",
                    Some(json!([{
                        "id": self.thing_id(kind, "#keeper"), "type": "Actor", "_label": keeper,
                        "identified_by": self.names(&what.keeper, Some(PRIMARY_NAME)),
                    }])),
                );
                if let Some(all) = thing["identified_by"].as_array_mut() {
                    all.push(json!({
                        "type": "Identifier", "content": what.number,
                        "classified_as": [kind_of(ACCESSION_NUMBER)],
                    }));
                }
                let known = self.act("AttributeAssignment", &what.evidence);
                put(&mut thing, "attributed_by", Some(json!([known])));
            }
            BodyKind::Replica => {
                put(&mut thing, "produced_by", Some(self.replicated(body)));
                put(
                    &mut thing,
                    "shows_features_of",
                    Some(json!([{
                        "id": self.thing_id(BodyKind::Original, ""), "type": "HumanMadeObject",
                        "_label": self.body_label(BodyKind::Original),
                    }])),
                );
            }
        }
        put(&mut thing, "referred_to_by", Some(texts.into()));
        thing
    }

    fn location(&self, body: &Body) -> Value {
        json!({
            "type": "Place", "_label": self.label(&body.location),
            "identified_by": self.names(&body.location, None),
        })
    }

    fn part(&self, kind: BodyKind, part: &Part) -> Value {
        let mut told = json!({
            "id": self.thing_id(kind, &format!("#part-{}", part.id)),
            "type": "HumanMadeObject", "_label": self.label(&part.name),
            "identified_by": self.names(&part.name, Some(PRIMARY_NAME)),
        });
        let material = self.material(&part.material);
        put(&mut told, "made_of", material.map(|m| json!([m])));
        told
    }

    fn material(&self, id: &MaterialId) -> Option<Value> {
        let material = self.telling.object.record.materials.get(id)?;
        Some(json!({
            "id": self.telling.document(&format!("linked-art/original.jsonld#material-{id}")),
            "type": "Material", "_label": self.label(&material.name),
            "identified_by": self.names(&material.name, None),
        }))
    }

    /// The still of a body, when it may be shown.
    fn plate(&self, kind: BodyKind) -> Option<Value> {
        let plate = self.telling.served.plates.get(&kind)?;
        Some(json!({
            "type": "VisualItem", "_label": format!("{}, from the front", self.body_label(kind)),
            "digitally_shown_by": [{
                "id": self.telling.file(&plate.path), "type": "DigitalObject",
                "_label": "Still, computed from the models",
                "classified_as": [kind_of(DIGITAL_IMAGE)], "format": plate.media_type,
                "access_point": [{ "id": self.telling.file(&plate.path), "type": "DigitalObject" }],
            }],
        }))
    }

    /// The object's page in each language.
    fn pages(&self) -> Vec<Value> {
        let site = &self.telling.catalogue.site;
        let first = site.languages.first();
        let of = |lang: &crate::record::Lang| {
            let folder = match Some(lang) == first {
                true => String::new(),
                false => format!("{}/", lang.as_str().to_lowercase()),
            };
            let page = format!("{}{folder}{}/", site.address, self.telling.object.id);
            let title = self
                .telling
                .object
                .notes
                .get(lang)
                .map(|n| n.title.as_str());
            let mut told = json!({
                "type": "LinguisticObject", "_label": title.unwrap_or_default(),
                "language": [language(lang)],
                "digitally_carried_by": [{
                    "type": "DigitalObject", "_label": title.unwrap_or_default(),
                    "classified_as": [kind_of(WEB_PAGE)], "format": "text/html",
                    "access_point": [{ "id": page, "type": "DigitalObject" }],
                }],
            });
            let rights = self.rights(&self.telling.object.record.words_rights);
            put(
                &mut told,
                "subject_to",
                rights.map(|r| json!([self.right(r)])),
            );
            told
        };
        site.languages.iter().map(of).collect()
    }

    /// Whether all parts of a body may be kept as files on the day of the catalogue.
    pub(super) fn may_keep(&self, body: &Body) -> bool {
        let day = self.telling.catalogue.today;
        let mut parts = body.parts.iter();
        parts.all(|part| {
            let rights = self.rights(&part.rights);
            rights.is_some_and(|r| r.permits(Use::Download, day))
        })
    }
}
