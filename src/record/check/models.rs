//! Model files of the parts: inside the object's folder, there, of a known kind and unit.

use crate::limits::Limits;
use crate::record::Findings;
use crate::record::read::draft::{Draft, ObjectDraft};
use crate::record::read::tree::{Found, steps};

const ENDINGS: [&str; 6] = ["glb", "gltf", "ply", "stl", "obj", "3mf"];

pub(super) fn check(draft: &Draft<'_>, limits: &Limits, findings: &mut Findings) {
    for object in &draft.objects {
        for list in ["bodies.original.parts", "bodies.replica.parts"] {
            parts(object, list, limits, findings);
        }
    }
}

fn parts(object: &ObjectDraft<'_>, list: &str, limits: &Limits, findings: &mut Findings) {
    let Some(record) = &object.entry.record else {
        return;
    };
    if record.places.has(list)
        && record.facts.is_some()
        && record.places.each(list, "id").is_empty()
    {
        let what = "This body has no part.";
        let remedy =
            "Add a section [[bodies.….parts]] with id, name, model, unit, material and rights.";
        findings.push(
            record
                .file
                .error("no-part", record.places.at(list), what, remedy),
        );
    }
    for (number, model) in record.places.each(list, "model") {
        let name = &model.text;
        let mut fault = |rule, what: String, remedy: &str| {
            findings.push(record.file.error(rule, model.span.clone(), what, remedy));
        };
        let steps = match steps(name) {
            Ok(steps) => steps,
            Err(why) => {
                let what = format!("The path ‘{name}’ {why}.");
                fault(
                    "path-leaves",
                    what,
                    "Put the model into the object’s folder: \"models/part.glb\".",
                );
                continue;
            }
        };
        let ending = name
            .rsplit_once('.')
            .map_or(String::new(), |(_, e)| e.to_ascii_lowercase());
        if !ENDINGS.contains(&ending.as_str()) {
            let what = format!("‘{name}’ is not a kind of model that can be read.");
            fault(
                "model-kind",
                what,
                "Save the model as one of: .glb, .gltf, .ply, .stl, .obj, .3mf.",
            );
        }
        match object.entry.folder.find(&steps) {
            Found::Refused => {}
            Found::Nothing => {
                let what = format!("There is no file ‘{name}’ in the object’s folder.");
                fault(
                    "missing-file",
                    what,
                    "Put the model there, or correct the path.",
                );
            }
            Found::File(_, bytes) if bytes > limits.model_bytes => {
                let what = format!(
                    "‘{name}’ has {bytes} bytes; at most {} are read.",
                    limits.model_bytes
                );
                fault(
                    "oversized-file",
                    what,
                    "Reduce the model before putting it here.",
                );
            }
            Found::File(path, _) => {
                if let Err(cause) = std::fs::File::open(&path) {
                    let what = format!("‘{name}’ cannot be opened: {cause}.");
                    fault("unreadable-file", what, "Check that you may open it.");
                }
            }
        }
        if let Some(unit) = record.places.text(&format!("{list}.{number}.unit"))
            && ["glb", "gltf"].contains(&ending.as_str())
            && ["mm", "cm", "in"].contains(&unit.text.as_str())
        {
            let what = format!(
                "A glTF model is always in metres (glTF 2.0), not in ‘{}’.",
                unit.text
            );
            let remedy = "Write unit = \"m\". If the model then has the wrong size, export it again in metres.";
            findings.push(
                record
                    .file
                    .error("model-unit", unit.span.clone(), what, remedy),
            );
        }
    }
}
