//! Units of work: what publishing has to do for each object, so that a job engine can spread it over
//! many machines that share a store.
//!
//! Nothing is done here. An estimate of time is no more than that: it was fitted to the demonstration and
//! to a small object of one part, on one core of a machine of 2024.

use crate::record::{BodyKind, Catalogue, Object, ObjectId, content_name};
use serde::Serialize;
use std::io;
use walkdir::WalkDir;

/// Seconds for an object without anything.
const BASE_S: f64 = 0.5;
/// Seconds for the still of one detail on one body.
const STILL_S: f64 = 0.12;
/// Seconds for a million bytes of models.
const MODEL_S_PER_MB: f64 = 12.0;

/// All units of a content folder.
#[derive(Debug, Serialize)]
pub struct Plan {
    /// Version of this shape.
    pub format: u32,
    /// What every unit reads beside its own files: paths below the content folder, and bytes.
    pub shared_inputs: Vec<Input>,
    /// One for each object; any order will do, and any may be done twice.
    pub units: Vec<Unit>,
}

/// What has to be done for one object.
#[derive(Debug, Serialize)]
pub struct Unit {
    /// Which.
    pub object: ObjectId,
    /// Kinds of work.
    pub work: Vec<&'static str>,
    /// Files that it reads.
    pub inputs: Vec<Input>,
    /// What it leaves in the store.
    pub outputs: Vec<String>,
    /// On one core.
    pub estimated_seconds: f64,
}

/// A file.
#[derive(Debug, Serialize)]
pub struct Input {
    /// Below the content folder, `/` between steps.
    pub path: String,
    /// Its length.
    pub bytes: u64,
}

/// What has to be done for the objects of a catalogue.
///
/// # Errors
/// A folder that cannot be read.
pub fn plan(catalogue: &Catalogue) -> io::Result<Plan> {
    let objects = &catalogue.objects;
    let mut shared_inputs = files(catalogue, &catalogue.folder)?;
    let mut units = Vec::new();
    for object in objects {
        let inputs = files(catalogue, &object.folder)?;
        let own = content_name(&catalogue.folder, &object.folder) + "/";
        shared_inputs.retain(|input| !input.path.starts_with(&own));
        units.push(unit(object, inputs));
    }
    Ok(Plan {
        format: 1,
        shared_inputs,
        units,
    })
}

fn unit(object: &Object, inputs: Vec<Input>) -> Unit {
    let bodies = &object.record.bodies;
    let kinds: Vec<BodyKind> = [BodyKind::Original, BodyKind::Replica]
        .into_iter()
        .filter(|kind| bodies.get(*kind).is_some())
        .collect();
    let mut work = vec![
        "measures",
        "levels",
        "stills",
        "raised-lines",
        "photographs",
    ];
    if bodies.replica.is_some() {
        work.insert(1, "collation");
        work.push("difference-plates");
    }
    let details = object.details.len();
    let mut outputs = Vec::new();
    for kind in &kinds {
        outputs.push(format!("levels of the {}", kind.word()));
        outputs.push(format!("plates of the {}", kind.word()));
        outputs.push(format!(
            "stills of {details} details on the {}",
            kind.word()
        ));
    }
    outputs.push("drawings for fingers".to_owned());
    if !object.record.photographs.is_empty() {
        outputs.push(format!("{} photographs", object.record.photographs.len()));
    }
    if bodies.replica.is_some() {
        outputs.push("plates of what differs".to_owned());
    }
    outputs.push("pictures for sharing".to_owned());
    let models: u64 = inputs
        .iter()
        .filter(|i| is_model(&i.path))
        .map(|i| i.bytes)
        .sum();
    let stills = u32::try_from(details * kinds.len()).unwrap_or(u32::MAX);
    let seconds = BASE_S + STILL_S * f64::from(stills) + MODEL_S_PER_MB * megabytes(models);
    Unit {
        object: object.id.clone(),
        work,
        inputs,
        outputs,
        estimated_seconds: (seconds * 10.0).round() / 10.0,
    }
}

#[expect(clippy::cast_precision_loss, reason = "an estimate")]
fn megabytes(bytes: u64) -> f64 {
    bytes as f64 / 1e6
}

fn is_model(path: &str) -> bool {
    let ending = path.rsplit('.').next().unwrap_or_default().to_lowercase();
    ["glb", "gltf", "bin", "ply", "stl", "obj", "3mf"].contains(&ending.as_str())
}

/// The files below a folder, in order, without hidden ones.
fn files(catalogue: &Catalogue, folder: &std::path::Path) -> io::Result<Vec<Input>> {
    let mut files = Vec::new();
    let shown = |entry: &walkdir::DirEntry| {
        entry.depth() == 0 || !entry.file_name().to_string_lossy().starts_with('.')
    };
    for entry in WalkDir::new(folder)
        .sort_by_file_name()
        .into_iter()
        .filter_entry(shown)
    {
        let entry = entry?;
        if entry.file_type().is_file() {
            files.push(Input {
                path: content_name(&catalogue.folder, entry.path()),
                bytes: entry.metadata()?.len(),
            });
        }
    }
    Ok(files)
}
