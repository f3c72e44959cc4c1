//! Details: features that a body bears, and the lettering that they carry.

use super::says::{DESCRIPTION, Says, language, told};
use crate::linked::put;
use crate::record::words::Inscription;
use crate::record::{BodyKind, Detail, Kind, Stands};
use serde_json::{Value, json};

impl Says<'_> {
    /// The details of a body.
    pub(super) fn features(&self, kind: BodyKind) -> Vec<Value> {
        self.on(kind)
            .map(|detail| self.feature(kind, detail))
            .collect()
    }

    fn feature(&self, kind: BodyKind, detail: &Detail) -> Value {
        let (class, word) = class_of(detail.record.kind);
        let mut feature = json!({
            "id": self.thing_id(kind, &format!("#detail-{}", detail.id)),
            "type": class, "_label": self.title(&detail.notes),
            "identified_by": self.titles(&detail.notes, None),
            "classified_as": [{ "type": "Type", "_label": word }],
            "attributed_by": [self.act("AttributeAssignment", &detail.record.evidence)],
        });
        let described = detail.record.description.as_ref();
        let mut texts = described.map_or(Vec::new(), |text| self.texts(text, DESCRIPTION));
        if detail.record.bearing.replica == Some(Stands::Altered) && kind == BodyKind::Replica {
            texts.push(super::says::note("Altered on the replica."));
        }
        put(&mut feature, "referred_to_by", Some(texts.into()));
        put(
            &mut feature,
            "carries",
            Some(self.lettering(kind, detail).into()),
        );
        // On the replica it shows features of the same place of the original.
        if kind == BodyKind::Replica && detail.record.bearing.is_on(BodyKind::Original) {
            let original = self.thing_id(BodyKind::Original, &format!("#detail-{}", detail.id));
            put(
                &mut feature,
                "shows_features_of",
                Some(json!([{
                    "id": original, "type": class, "_label": self.title(&detail.notes),
                }])),
            );
        }
        // The annotation tells where it is.
        let annotation = self
            .telling
            .document(&crate::annotation::name_of(&detail.id));
        put(
            &mut feature,
            "subject_of",
            Some(json!([{
                "id": annotation, "type": "InformationObject",
                "_label": format!("Web Annotation: {}", self.title(&detail.notes)),
            }])),
        );
        feature
    }

    /// The inscriptions of a detail: in Leiden signs, in whole words, and what they mean in the
    /// languages of the notes.
    fn lettering(&self, kind: BodyKind, detail: &Detail) -> Vec<Value> {
        let notes = self
            .langs()
            .iter()
            .filter_map(|lang| detail.notes.get(lang));
        let all: Vec<Vec<Inscription>> = notes.map(|note| note.inscriptions()).collect();
        let first = all.first().into_iter().flatten().enumerate();
        first
            .map(|(index, told_first)| {
                let number = index + 1;
                let translations = all.iter().filter_map(|note| note.get(index));
                let translations = translations.map(|one| {
                    told(&one.translation.text, &one.translation.lang, DESCRIPTION)
                });
                let mut cut = json!({
                    "id": self.thing_id(kind, &format!("#lettering-{}-{number}", detail.id)),
                    "type": "Inscription", "_label": told_first.expanded.text,
                    "content": told_first.signs.text,
                    "language": [language(&told_first.signs.lang)],
                    "referred_to_by": [super::says::note("Transcribed in Leiden signs; the edition beside it is in EpiDoc TEI.")],
                    "translation": translations.collect::<Vec<_>>(),
                });
                let edition = format!("inscriptions/{}.xml", detail.id);
                put(&mut cut, "subject_of", Some(json!([{
                    "id": self.telling.document(&edition), "type": "InformationObject",
                    "_label": "EpiDoc edition", 
                }])));
                cut
            })
            .collect()
    }
}

/// Made by people, or come about.
fn class_of(kind: Kind) -> (&'static str, &'static str) {
    match kind {
        Kind::Motif => ("HumanMadeFeature", "motif"),
        Kind::Inscription => ("HumanMadeFeature", "inscription"),
        Kind::Repair => ("HumanMadeFeature", "repair"),
        Kind::Addition => ("HumanMadeFeature", "addition"),
        Kind::Construction => ("HumanMadeFeature", "construction"),
        Kind::Damage => ("PhysicalFeature", "damage"),
        Kind::Trace => ("PhysicalFeature", "trace of the making"),
        Kind::Loss => ("PhysicalFeature", "loss"),
    }
}
