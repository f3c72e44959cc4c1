//! Facts of records: numbers that can be, ids that exist, models that are there.

use super::{Check, meant};
use crate::record::{Body, Evidence, Ground, LengthUnit, Object, Place};
use std::fs;
use std::path::{Component, Path};

impl Check<'_> {
    pub(super) fn site(&mut self) {
        let site = &self.catalogue.site;
        let place = self.sources.place_of("site.toml", &["address"]);
        let absolute = site.address.starts_with("https://") || site.address.starts_with("http://");
        if !absolute || !site.address.ends_with('/') || site.address.contains(char::is_whitespace) {
            let what = format!("‘{}’ is not the whole address of a folder", site.address);
            self.findings.error(
                "bad-address",
                place,
                what,
                "write it from https:// to a closing /",
            );
        }
        for (i, lang) in site.languages.iter().enumerate() {
            if site.languages[..i].contains(lang) {
                let place = self
                    .sources
                    .place_of("site.toml", &["languages", &i.to_string()]);
                self.findings.error(
                    "duplicate-id",
                    place,
                    format!("the language ‘{lang}’ is named twice"),
                    "take one away",
                );
            }
        }
    }

    pub(super) fn facts(&mut self, object: &Object) {
        let record = &object.record;
        self.evidence(
            object,
            &record.identification.evidence,
            &object.folder,
            &["identification", "evidence"],
        );
        for (key, body) in [
            ("original", Some(&record.bodies.original)),
            ("replica", record.bodies.replica.as_ref()),
        ] {
            if let Some(body) = body {
                self.body(object, key, body);
            }
        }
        for (id, material) in &record.materials {
            let [low, high] = material.density_g_per_cm3;
            if low <= 0.0 || high < low {
                let place = self.of(object, &["materials", id.as_str(), "density_g_per_cm3"]);
                let what = format!("[{low}, {high}] is not a range of densities");
                self.findings.error(
                    "wrong-value",
                    place,
                    what,
                    "write the lowest and then the highest, in g/cm³",
                );
            }
            self.evidence(
                object,
                &material.evidence,
                &object.folder,
                &["materials", id.as_str(), "evidence"],
            );
        }
        for (i, difference) in record.differences.iter().enumerate() {
            self.evidence(
                object,
                &difference.evidence,
                &object.folder,
                &["differences", &i.to_string(), "evidence"],
            );
        }
        for detail in &object.details {
            self.evidence(
                object,
                &detail.record.evidence,
                &detail.folder,
                &["evidence"],
            );
        }
        self.steps(object);
    }

    fn steps(&mut self, object: &Object) {
        for (i, step) in object.making.iter().enumerate() {
            self.evidence(object, &step.record.evidence, &step.folder, &["evidence"]);
            if object.making[..i].iter().any(|other| other.id == step.id) {
                let place = self.at(&step.folder, &[]);
                let what = format!(
                    "the step id ‘{}’ is given twice, under two numbers",
                    step.id
                );
                self.findings.error(
                    "duplicate-id",
                    place,
                    what,
                    "give one of the folders another name after its number",
                );
            }
            if step.record.hours.is_some_and(|h| h < 0.0) {
                let place = self.at(&step.folder, &["hours"]);
                self.findings.error(
                    "wrong-value",
                    place,
                    "the hours are negative",
                    "write 0 or more, or take the key away",
                );
            }
            for (k, person) in step.record.people.iter().enumerate() {
                let place = self.at(&step.folder, &["people", &k.to_string()]);
                self.person(person.as_str(), place);
            }
        }
    }

    fn body(&mut self, object: &Object, key: &str, body: &Body) {
        if let Some(weighed) = &body.weighed_g {
            if weighed.value_g <= 0.0 || weighed.uncertainty_g < 0.0 {
                let place = self.of(object, &["bodies", key, "weighed_g", "value_g"]);
                self.findings.error(
                    "wrong-value",
                    place,
                    "the mass is not above 0",
                    "write grams as read from the scale",
                );
            }
            self.evidence(
                object,
                &weighed.evidence,
                &object.folder,
                &["bodies", key, "weighed_g", "evidence"],
            );
        }
        for (i, part) in body.parts.iter().enumerate() {
            let index = i.to_string();
            let at = |last: &str| self.of(object, &["bodies", key, "parts", &index, last]);
            let (id_place, material_place, model_place, unit_place) =
                (at("id"), at("material"), at("model"), at("unit"));
            if body.parts[..i].iter().any(|other| other.id == part.id) {
                let what = format!("the part ‘{}’ is given twice on this body", part.id);
                self.findings.error(
                    "duplicate-id",
                    id_place,
                    what,
                    "give one of them another id",
                );
            }
            if !object.record.materials.contains_key(&part.material) {
                let known = object
                    .record
                    .materials
                    .keys()
                    .map(crate::record::MaterialId::as_str);
                let what = format!("there is no material ‘{}’", part.material);
                self.findings.error(
                    "unknown-material",
                    material_place,
                    what,
                    meant(part.material.as_str(), known),
                );
            }
            self.file(
                &object.folder,
                &part.model,
                self.limits.model_bytes,
                model_place,
            );
            let gltf = part.model.to_lowercase();
            if (gltf.ends_with(".glb") || gltf.ends_with(".gltf")) && part.unit != LengthUnit::Metre
            {
                self.findings.error(
                    "wrong-unit",
                    unit_place,
                    "glTF files are always in metres",
                    "write unit = \"m\"",
                );
            }
        }
    }

    /// A file named by a record: inside its folder, there, no link, not too large.
    pub(super) fn file(
        &mut self,
        folder: &Path,
        name: &str,
        most_bytes: u64,
        place: Place,
    ) -> bool {
        let relative = Path::new(name);
        if name.contains('\\')
            || name.is_empty()
            || !relative
                .components()
                .all(|c| matches!(c, Component::Normal(_)))
        {
            let what = format!("‘{name}’ leads out of its folder");
            self.findings.error("outside-folder", place, what, "write a path within the folder of the record, without ‘..’ and without ‘/’ at its start");
            return false;
        }
        let mut path = folder.to_owned();
        for step in relative.components() {
            path.push(step);
            match fs::symlink_metadata(&path) {
                Ok(found) if found.file_type().is_symlink() => {
                    let what = format!("‘{name}’ goes through a link");
                    self.findings
                        .error("symbolic-link", place, what, "put the file itself there");
                    return false;
                }
                Ok(_) => {}
                Err(_) => {
                    let what = format!("there is no file ‘{name}’");
                    self.findings.error(
                        "missing-file",
                        place,
                        what,
                        "put it there, or mend the name",
                    );
                    return false;
                }
            }
        }
        match fs::metadata(&path) {
            Ok(found) if !found.is_file() => {
                self.findings.error(
                    "missing-file",
                    place,
                    format!("‘{name}’ is not a file"),
                    "name the file itself",
                );
                false
            }
            Ok(found) if found.len() > most_bytes => {
                let what = format!(
                    "‘{name}’ has {} bytes; at most {most_bytes} are read",
                    found.len()
                );
                self.findings
                    .error("oversized", place, what, "make it smaller, or split it");
                false
            }
            _ => true,
        }
    }

    fn person(&mut self, id: &str, place: Place) {
        let known = self
            .catalogue
            .site
            .people
            .keys()
            .map(crate::record::PersonId::as_str);
        if !known.clone().any(|k| k == id) {
            let remedy = format!("{}, or add [people.{id}] to site.toml", meant(id, known));
            self.findings.error(
                "unknown-person",
                place,
                format!("there is no person ‘{id}’"),
                remedy,
            );
        }
    }

    fn evidence(&mut self, object: &Object, evidence: &Evidence, folder: &Path, path: &[&str]) {
        let at = |last: &str| self.at(folder, &[path, &[last]].concat());
        let (by, source, whole) = (at("by"), at("source"), self.at(folder, path));
        if let Some(person) = &evidence.by {
            self.person(person.as_str(), by);
        }
        if let Some(id) = &evidence.source
            && !object.record.sources.contains_key(id)
        {
            let known = object
                .record
                .sources
                .keys()
                .map(crate::record::SourceId::as_str);
            let remedy = format!(
                "{}, or add [sources.{id}] to the object's record",
                meant(id.as_str(), known)
            );
            self.findings.error(
                "unknown-source",
                source,
                format!("there is no source ‘{id}’"),
                remedy,
            );
        }
        let bare = evidence.by.is_none() && evidence.source.is_none();
        if bare && matches!(evidence.ground, Ground::Measured | Ground::Documented) {
            let what = "what was measured or documented has neither a person nor a source";
            self.findings.advice(
                "evidence-bare",
                whole,
                what,
                "add by = \"…\" or source = \"…\"",
            );
        }
    }
}
