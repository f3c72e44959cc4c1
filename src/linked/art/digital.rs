//! The models of a body: as they were received, and as the site shows them.

use super::dimensions::rounded;
use super::says::{BYTES, MILLIMETRES, Says, note, on_day, unit};
use super::{CONTEXT, shown_name};
use crate::formats::LevelFile;
use crate::linked::put;
use crate::record::{Body, BodyKind, Part, RightsId};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Media type of a binary glTF file (IANA).
const GLB: &str = "model/gltf-binary";
/// Address of the glTF 2.0 specification.
const GLTF: &str = "https://registry.khronos.org/glTF/specs/2.0/glTF-2.0.html";

impl Says<'_> {
    /// The models as received: a part each. They are not offered here, so they have no address.
    pub(super) fn received(&self, kind: BodyKind, body: &Body) -> Value {
        let mut model = json!({
            "@context": CONTEXT,
            "id": self.model_id(kind, ""), "type": "DigitalObject",
            "_label": format!("Models of {}", self.body_label(kind)),
            "classified_as": [{ "type": "Type", "_label": "three-dimensional model" }],
            "digitally_shows": [{
                "type": "VisualItem", "_label": format!("Shape of {}", self.body_label(kind)),
                "represents": [self.body(kind)],
            }],
        });
        let parts = body.parts.iter().map(|part| self.part_model(kind, part));
        put(&mut model, "part", Some(parts.collect()));
        put(&mut model, "created_by", self.scanned(kind, body));
        put(&mut model, "subject_to", Some(self.rights_of(body)));
        if let Some(scan) = &body.scan {
            let id = self.model_id(kind, "#uncertainty");
            let class =
                json!({ "type": "Type", "_label": "expanded uncertainty of a point, k = 2" });
            let told = json!({
                "id": id, "type": "Dimension", "_label": "Uncertainty of a point",
                "classified_as": [class], "unit": unit(MILLIMETRES),
                "value": scan.uncertainty_mm,
                "referred_to_by": [note("As the certificate of the scanner states it; about 95 % coverage.")],
                "observed_in": [self.act("Measurement", &scan.evidence)],
            });
            put(&mut model, "dimension", Some(json!([told])));
        }
        model
    }

    fn body(&self, kind: BodyKind) -> Value {
        json!({
            "id": self.thing_id(kind, ""), "type": "HumanMadeObject",
            "_label": self.body_label(kind),
        })
    }

    fn part_model(&self, kind: BodyKind, part: &Part) -> Value {
        let ending = part.model.rsplit_once('.').map_or("", |(_, ending)| ending);
        let mut told = json!({
            "id": self.model_id(kind, &format!("#part-{}", part.id)),
            "type": "DigitalObject", "_label": self.label(&part.name),
            "identified_by": self.names(&part.name, None),
        });
        put(&mut told, "format", media_type(ending).map(Into::into));
        let rights = self.rights(&part.rights);
        put(
            &mut told,
            "subject_to",
            rights.map(|r| json!([self.right(r)])),
        );
        told
    }

    /// Digitising: the act in which the models of a body came about, where a record tells of one.
    fn scanned(&self, kind: BodyKind, body: &Body) -> Option<Value> {
        let by = body.scan.as_ref();
        // Of an original `dated` is the day of its scan; a replica is dated by its making.
        let day = match kind {
            BodyKind::Original => body.dated,
            BodyKind::Replica => by?.evidence.date,
        };
        let mut act = json!({
            "id": self.model_id(kind, "#digitising"), "type": "Creation",
            "_label": format!("Scanning of {}", self.body_label(kind)),
            "technique": [{ "type": "Type", "_label": "three-dimensional scanning" }],
            "used_specific_object": [self.body(kind)],
        });
        put(&mut act, "timespan", day.map(on_day));
        let person = by.and_then(|scan| scan.evidence.by.as_ref());
        put(
            &mut act,
            "carried_out_by",
            person.map(|id| json!([self.person(id)])),
        );
        Some(act)
    }

    fn rights_of(&self, body: &Body) -> Value {
        let ids: BTreeSet<&RightsId> = body.parts.iter().map(|p| &p.rights).collect();
        let rights = ids.into_iter().filter_map(|id| self.rights(id));
        rights.map(|r| self.right(r)).collect()
    }

    /// The model that the site shows: fewer triangles, and by how much it strays.
    pub(super) fn shown(&self, kind: BodyKind, body: &Body, file: &LevelFile) -> Value {
        let id = self.telling.document(&shown_name(kind));
        let mut model = json!({
            "@context": CONTEXT,
            "id": id, "type": "DigitalObject",
            "_label": format!("Model of {} that the site shows", self.body_label(kind)),
            "classified_as": [{ "type": "Type", "_label": "three-dimensional model" }],
            "format": GLB,
            "conforms_to": [{ "id": GLTF, "type": "InformationObject" }],
            "created_by": {
                "type": "Creation", "_label": "Fewer triangles, their relief drawn on",
                "technique": [{ "type": "Type", "_label": "simplification of a triangle mesh" }],
                "used_specific_object": [{
                    "id": self.model_id(kind, ""), "type": "DigitalObject",
                    "_label": format!("Models of {}", self.body_label(kind)),
                }],
            },
            "digitally_shows": [{
                "type": "VisualItem", "_label": format!("Shape of {}", self.body_label(kind)),
                "represents": [self.body(kind)],
            }],
        });
        let bytes = json!({
            "id": format!("{id}#bytes"), "type": "Dimension", "_label": "Length of the file",
            "classified_as": [{ "type": "Type", "_label": "length of a file" }],
            "unit": unit(BYTES), "value": file.bytes,
        });
        let triangles = json!({
            "id": format!("{id}#triangles"), "type": "Dimension", "_label": "Triangles",
            "classified_as": [{ "type": "Type", "_label": "number of triangles" }],
            "unit": { "type": "MeasurementUnit", "_label": "triangles" }, "value": file.triangles,
        });
        let strays = json!({
            "id": format!("{id}#strays"), "type": "Dimension", "_label": "Largest distance from the scan",
            "classified_as": [{ "type": "Type", "_label": "largest distance between two surfaces" }],
            "unit": unit(MILLIMETRES),
            // Rounded up: what is said must not be less than what was measured.
            "value": rounded((file.strays_mm * 100.0).ceil() / 100.0, 2),
            "referred_to_by": [note("Measured both ways between this model and the models as received.")],
        });
        put(
            &mut model,
            "dimension",
            Some(json!([bytes, triangles, strays])),
        );
        put(&mut model, "subject_to", Some(self.rights_of(body)));
        if self.may_keep(body) {
            let address = self.telling.file(&file.path);
            let point = json!([{ "id": address, "type": "DigitalObject" }]);
            put(&mut model, "access_point", Some(point));
        } else {
            let why = "The agreement lets it be shown, but not be kept as a file; so no address is given.";
            put(&mut model, "referred_to_by", Some(json!([note(why)])));
        }
        model
    }
}

/// Media types of models by the ending of the file (IANA); PLY has none.
fn media_type(ending: &str) -> Option<&'static str> {
    match ending.to_ascii_lowercase().as_str() {
        "glb" => Some(GLB),
        "gltf" => Some("model/gltf+json"),
        "stl" => Some("model/stl"),
        "obj" => Some("model/obj"),
        "3mf" => Some("model/3mf"),
        _ => None,
    }
}
