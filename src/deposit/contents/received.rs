//! Records, words, scans, print models, photographs and recordings: together they are a content folder
//! again. Each is as it was received, but photographs and recordings are without what cameras and
//! programs wrote into them beside pictures and sound.

use super::{Content, Files, Left, record_name};
use crate::deposit::DepositError;
use crate::deposit::bag::digest::{Algorithm, sum_of};
use crate::record::words::LinkTarget;
use crate::record::{
    Asset, BodyKind, Catalogue, Note, Object, Photograph, Recording, TRANSLATIONS, TermId, Withheld,
};
use crate::record::{captions, media, report};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};

/// Longest glTF text that is looked into for the names of files beside it.
const MOST_TEXT: u64 = 1 << 30;

/// Puts them in; gives what no record names.
pub(super) fn put(
    catalogue: &Catalogue,
    object: &Object,
    withheld: &[Withheld],
    files: &mut Files,
) -> Result<Vec<Left>, DepositError> {
    let out: BTreeSet<&Path> = withheld
        .iter()
        .filter(|w| w.asset != Asset::Words)
        .flat_map(|w| w.files.iter().map(PathBuf::as_path))
        .collect();
    let named = named(object)?;
    let (mut left, mut others) = (Vec::new(), Files::new());
    let mut add = |name: String, path: &Path| -> Result<(), DepositError> {
        let found =
            fs::symlink_metadata(path).map_err(|e| DepositError::io("reading", path, &e))?;
        let content = Content::File {
            path: path.to_owned(),
            length: found.len(),
        };
        files.insert(name, content);
        Ok(())
    };
    for (path, sort) in named
        .iter()
        .filter(|(path, _)| !out.contains(path.as_path()))
    {
        let name = record_name(object, path);
        match bared(path, *sort)? {
            Bared::Alike => add(name, path)?,
            Bared::Parted(bytes, sum) => {
                left.push(Left::Remarks(name.clone(), sum));
                others.insert(name, Content::Bytes(bytes));
            }
            Bared::Unread => left.push(Left::Unread(name)),
        }
    }
    let root = &catalogue.folder;
    add("data/records/site.toml".to_owned(), &root.join("site.toml"))?;
    for term in terms(catalogue, object) {
        let found = catalogue.terms.iter().find(|t| t.id == term);
        for note in found.iter().flat_map(|t| t.notes.values()) {
            add(
                format!("data/records/{}", note.source.name),
                &note.source.path,
            )?;
        }
    }
    files.extend(others);
    translations(catalogue, files)?;
    left.extend(strays(object, &named, withheld)?);
    Ok(left)
}

/// What a file may carry that nobody meant to hand on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sort {
    /// Nothing: records, words, and models, which are what was measured.
    Plain,
    Photograph,
    Recording,
    Captions,
}

/// A file without what nobody meant to hand on.
enum Bared {
    /// The same bytes.
    Alike,
    /// Other bytes, and the SHA-512 of those that were received.
    Parted(Vec<u8>, String),
    Unread,
}

fn bared(path: &Path, sort: Sort) -> Result<Bared, DepositError> {
    if sort == Sort::Plain {
        return Ok(Bared::Alike);
    }
    let bytes = fs::read(path).map_err(|e| DepositError::io("reading", path, &e))?;
    let bare = match sort {
        Sort::Plain => None,
        Sort::Photograph => crate::picture::bare(&bytes),
        Sort::Recording => media::Media::read(&bytes).map(|m| media::bare(&bytes, m.format)),
        Sort::Captions => Some(captions::bare(&String::from_utf8_lossy(&bytes)).into_bytes()),
    };
    Ok(match bare {
        Some(bare) if bare == bytes => Bared::Alike,
        Some(bare) => {
            let sum = sum_of(&bytes, &Algorithm::WRITTEN);
            let sum = sum.of(Algorithm::Sha512).unwrap_or_default();
            Bared::Parted(bare, sum.to_owned())
        }
        None => Bared::Unread,
    })
}

/// Every file that a record of the object names, and the records and notes themselves.
fn named(object: &Object) -> Result<BTreeMap<PathBuf, Sort>, DepositError> {
    let mut all = BTreeMap::new();
    let own = &object.record;
    beside(
        &mut all,
        &object.folder,
        object.notes.values(),
        &own.photographs,
        &own.recordings,
    );
    for detail in &object.details {
        let record = &detail.record;
        beside(
            &mut all,
            &detail.folder,
            detail.notes.values(),
            &record.photographs,
            &record.recordings,
        );
        let spoken = record.spoken.values().map(|file| detail.folder.join(file));
        all.extend(spoken.map(|path| (path, Sort::Recording)));
    }
    for step in &object.making {
        let record = &step.record;
        beside(
            &mut all,
            &step.folder,
            step.notes.values(),
            &record.photographs,
            &record.recordings,
        );
    }
    for part in [BodyKind::Original, BodyKind::Replica]
        .into_iter()
        .flat_map(|kind| own.bodies.parts(kind))
    {
        let model = object.folder.join(&part.model);
        let own = of_model(&model)?.into_iter().chain([model]);
        all.extend(own.map(|path| (path, Sort::Plain)));
    }
    Ok(all)
}

fn beside<'n>(
    all: &mut BTreeMap<PathBuf, Sort>,
    folder: &Path,
    notes: impl Iterator<Item = &'n Note>,
    photographs: &[Photograph],
    recordings: &[Recording],
) {
    all.insert(folder.join("record.toml"), Sort::Plain);
    all.extend(notes.map(|note| (note.source.path.clone(), Sort::Plain)));
    let photographs = photographs.iter().map(|p| folder.join(&p.file));
    all.extend(photographs.map(|path| (path, Sort::Photograph)));
    for recording in recordings {
        all.insert(folder.join(&recording.file), Sort::Recording);
        let captions = recording.captions.values().map(|f| folder.join(f));
        all.extend(captions.map(|path| (path, Sort::Captions)));
        let transcripts = recording.transcript.values().map(|f| folder.join(f));
        all.extend(transcripts.map(|path| (path, Sort::Plain)));
    }
}

/// Files that a model names itself: buffers and pictures of glTF, materials of OBJ and their pictures.
fn of_model(model: &Path) -> Result<Vec<PathBuf>, DepositError> {
    let failed = |path: &Path, e: std::io::Error| DepositError::io("reading", path, &e);
    let folder = model.parent().unwrap_or(model);
    let ending = model
        .extension()
        .map(|e| e.to_string_lossy().to_lowercase());
    let names: Vec<String> = match ending.as_deref() {
        Some("gltf") => {
            let mut text = String::new();
            let file = File::open(model).map_err(|e| failed(model, e))?;
            file.take(MOST_TEXT)
                .read_to_string(&mut text)
                .map_err(|e| failed(model, e))?;
            let json: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
            ["buffers", "images"]
                .iter()
                .filter_map(|list| json.get(list)?.as_array())
                .flatten()
                .filter_map(|item| item.get("uri")?.as_str())
                .filter(|uri| !uri.starts_with("data:"))
                .map(str::to_owned)
                .collect()
        }
        Some("obj") => {
            let libraries = words_after(model, &["mtllib"]).map_err(|e| failed(model, e))?;
            let mut names = libraries.clone();
            for library in libraries {
                let path = folder.join(&library);
                if path.is_file() {
                    names.extend(
                        words_after(&path, &["map_", "bump", "disp", "decal", "refl"])
                            .map_err(|e| failed(&path, e))?,
                    );
                }
            }
            names
        }
        _ => Vec::new(),
    };
    let paths = names.into_iter().filter_map(|name| {
        // Only what lies beside the model, as the readers allow.
        let safe = crate::deposit::bag::names::refused(&name).is_none();
        let path = folder.join(&name);
        (safe && path.is_file()).then_some(path)
    });
    Ok(paths.collect())
}

/// The last word of every line that begins with one of these.
fn words_after(file: &Path, begin: &[&str]) -> std::io::Result<Vec<String>> {
    let mut found = Vec::new();
    for line in BufReader::new(File::open(file)?).split(b'\n') {
        let line = line?;
        let line = String::from_utf8_lossy(&line);
        let line = line.trim();
        if begin.iter().any(|b| line.starts_with(b))
            && let Some((_, rest)) = line.split_once(char::is_whitespace)
            && let Some(last) = rest.split_whitespace().last()
        {
            found.push(last.to_owned());
        }
    }
    Ok(found)
}

/// The terms that the object's notes lead to, and those that the terms themselves lead to.
fn terms(catalogue: &Catalogue, object: &Object) -> BTreeSet<TermId> {
    let own = object.notes.values();
    let details = object.details.iter().flat_map(|d| d.notes.values());
    let steps = object.making.iter().flat_map(|s| s.notes.values());
    let linked = |note: &Note| -> Vec<TermId> {
        let terms = note.links.iter().filter_map(|link| match &link.target {
            LinkTarget::Term(id) => id.parse().ok(),
            _ => None,
        });
        terms.collect()
    };
    let mut waiting: Vec<TermId> = own.chain(details).chain(steps).flat_map(linked).collect();
    let mut found = BTreeSet::new();
    while let Some(id) = waiting.pop() {
        let term = catalogue.terms.iter().find(|t| t.id == id);
        if found.insert(id) {
            waiting.extend(term.iter().flat_map(|t| t.notes.values()).flat_map(linked));
        }
    }
    found
}

/// What is known of translations, of the notes that are in the bag.
fn translations(catalogue: &Catalogue, files: &mut Files) -> Result<(), DepositError> {
    let mut kept = catalogue.translations.clone();
    kept.notes
        .retain(|note, _| files.contains_key(&format!("data/records/{note}")));
    if kept.notes.is_empty() {
        return Ok(());
    }
    kept.format = 1;
    let text = toml::to_string(&kept)
        .map_err(|e| DepositError::Io(format!("writing {TRANSLATIONS}: {e}")))?;
    let name = format!("data/records/{TRANSLATIONS}");
    files.insert(name, Content::Bytes(text.into_bytes()));
    Ok(())
}

/// Files in the object's folder that no record names.
fn strays(
    object: &Object,
    named: &BTreeMap<PathBuf, Sort>,
    withheld: &[Withheld],
) -> Result<Vec<Left>, DepositError> {
    let mut known: BTreeMap<&Path, ()> = named.keys().map(|p| (p.as_path(), ())).collect();
    known.extend(
        withheld
            .iter()
            .flat_map(|w| &w.files)
            .map(|p| (p.as_path(), ())),
    );
    let mut left = Vec::new();
    for entry in walkdir::WalkDir::new(&object.folder).sort_by_file_name() {
        let entry = entry.map_err(|e| DepositError::io("reading", &object.folder, &e.into()))?;
        if !entry.file_type().is_dir() && !known.contains_key(entry.path()) {
            // Nobody chose this name for a record: it may hold anything.
            let name = record_name(object, entry.path());
            left.push(Left::Unnamed(report::visible(&name)));
        }
    }
    Ok(left)
}
