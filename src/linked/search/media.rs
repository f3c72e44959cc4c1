//! Models and stills as media, each with its statement of rights.

use super::Speaks;
use crate::linked::put;
use crate::record::{Body, BodyKind, Rights, Use};
use serde_json::{Value, json};

impl Speaks<'_> {
    /// The model of a body that the site shows.
    pub(super) fn model(&self, kind: BodyKind, body: &Body) -> Option<Value> {
        let file = self.telling.served.model(kind)?;
        let mut model = json!({
            "@type": "3DModel", "@id": self.model_id(kind),
            "about": { "@id": self.thing_id(kind) },
            "encodingFormat": "model/gltf-binary",
            "subjectOf": self.model_told(kind),
        });
        let rights = self.rights_of(body);
        self.entitle(&mut model, &rights);
        let day = self.telling.catalogue.today;
        let keep = |r: &&Rights| r.permits(Use::Download, day);
        if !rights.is_empty() && rights.iter().all(keep) {
            put(
                &mut model,
                "contentUrl",
                Some(self.telling.file(&file.path).into()),
            );
            put(
                &mut model,
                "contentSize",
                Some(format!("{} B", file.bytes).into()),
            );
        }
        Some(model)
    }

    /// The still of a body: it is computed from the models, so it stands under their rights.
    pub(super) fn still(&self, kind: BodyKind, body: &Body) -> Option<Value> {
        let file = self.telling.served.plates.get(&kind)?;
        let [width, height] = file.size_px.map(pixels);
        let mut still = json!({
            "@type": "ImageObject", "@id": self.still_id(kind),
            "about": { "@id": self.thing_id(kind) },
            "contentUrl": self.telling.file(&file.path),
            "encodingFormat": file.media_type,
            "width": width, "height": height,
        });
        self.entitle(&mut still, &self.rights_of(body));
        Some(still)
    }

    fn rights_of(&self, body: &Body) -> Vec<&Rights> {
        let all = &self.telling.object.record.rights;
        let held = |r: &&Rights| body.parts.iter().any(|p| p.rights == r.id);
        all.iter().filter(held).collect()
    }

    /// Holder, credit, and the licence or statement. A statement is no licence: it has a property
    /// of its own.
    fn entitle(&self, media: &mut Value, rights: &[&Rights]) {
        let pages = self.telling.address("rights/");
        put(media, "acquireLicensePage", Some(pages.into()));
        let Some(first) = rights.first() else { return };
        let statement = first.statement.as_str();
        let key = match statement.contains("creativecommons.org") {
            true => "license",
            false => "usageInfo",
        };
        put(media, key, Some(statement.into()));
        put(media, "copyrightNotice", Some(first.holder.as_str().into()));
        let credit = first.credit.as_ref().map(|c| self.text(c));
        put(
            media,
            "creditText",
            Some(credit.unwrap_or_else(|| first.holder.as_str().into())),
        );
    }
}

/// A number of pixels.
fn pixels(count: u32) -> Value {
    json!({ "@type": "QuantitativeValue", "value": count, "unitText": "px" })
}
