//! The survey: everything that can be known before anything is written.
//!
//! Reads the records, then the geometry of every object, and gathers the findings of both.
//! `publish` begins with it too, so nothing is published that the survey would have refused.

use crate::collate::{self, ObjectGeometry};
use crate::limits::Limits;
use crate::progress::Listener;
use crate::record::{self, Catalogue, Day, Findings, ObjectId, Sources};
use crate::site;
use std::collections::BTreeMap;
use std::path::Path;

/// What the survey found.
#[derive(Debug)]
pub struct Survey {
    /// The records; `None` when errors stand in the way.
    pub catalogue: Option<Catalogue>,
    /// Geometry of every object whose models could be read.
    pub geometry: BTreeMap<ObjectId, ObjectGeometry>,
    /// All findings, in the order of their places.
    pub findings: Findings,
    /// The files that were read, for showing the places.
    pub sources: Sources,
}

impl Survey {
    /// What was measured: object → body → the whole, and each part; and what was reckoned from it.
    pub fn measured(&self) -> serde_json::Value {
        let objects = self.geometry.iter().map(|(id, object)| {
            let bodies = object.bodies.iter().map(|(kind, body)| {
                let parts = body
                    .parts
                    .iter()
                    .map(|part| (part.id.to_string(), part.condition.json()));
                let of_body = serde_json::json!({
                    "whole": collate::whole_json(body.parts.iter().map(|p| &p.condition)),
                    "parts": serde_json::Value::Object(parts.collect()),
                });
                (kind.word().to_owned(), of_body)
            });
            let reckoned = ("quantities".to_owned(), object.quantities.json());
            let all = bodies.chain([reckoned]).collect();
            (id.to_string(), serde_json::Value::Object(all))
        });
        serde_json::Value::Object(objects.collect())
    }
}

/// Surveys a content folder as of `today`.
pub fn survey(folder: &Path, today: Day, limits: &Limits, listener: &dyn Listener) -> Survey {
    let reading = record::read(folder, today, limits);
    let mut findings = reading.findings;
    let mut geometry = BTreeMap::new();
    if let Some(catalogue) = &reading.catalogue {
        findings.extend(site::findings(catalogue));
        let total = catalogue.objects.len();
        for (done, object) in catalogue.objects.iter().enumerate() {
            listener.progress(done, total, &format!("reading the models of {}", object.id));
            let (found, more) = collate::read(folder, object, &reading.sources, limits);
            findings.extend(more);
            if let Some(found) = found {
                geometry.insert(object.id.clone(), found);
            }
        }
        listener.progress(total, total, "models");
    }
    findings.settle();
    Survey {
        catalogue: reading.catalogue,
        geometry,
        findings,
        sources: reading.sources,
    }
}
