//! The lists of a bag: manifests of the payload and of tag files.

use super::{Fault, FaultKind, Source};
use crate::deposit::bag::Algorithm;
use crate::deposit::bag::manifest::{Line, Manifest, lines, parsed};
use crate::deposit::bag::names::{PAYLOAD, refused};
use std::collections::BTreeMap;
use std::io;

/// A list longer than this is not read: a million names of 250 bytes.
const MOST_TEXT: u64 = 1 << 28;

/// One manifest.
pub(super) struct List {
    /// Its file.
    pub(super) file: String,
    /// Its algorithm; `None` for one that is not checked here.
    pub(super) algorithm: Option<Algorithm>,
    /// By the name of the file that is meant.
    pub(super) lines: BTreeMap<String, Line>,
    /// As it stands.
    pub(super) text: String,
}

/// All text of one file.
pub(super) fn text(
    source: &mut dyn Source,
    files: &BTreeMap<String, u64>,
    name: &str,
) -> Result<Vec<u8>, Fault> {
    let unread = |what: String| Fault::of(FaultKind::Form, name, what);
    if files.get(name).is_some_and(|length| *length > MOST_TEXT) {
        return Err(unread(format!(
            "is longer than {MOST_TEXT} bytes, and was not read"
        )));
    }
    let mut bytes = Vec::new();
    source
        .read(name, &mut |piece| bytes.extend_from_slice(piece))
        .map_err(|e: io::Error| unread(format!("cannot be read: {e}")))?;
    Ok(bytes)
}

/// All manifests whose names begin with `stem`: `manifest-` or `tagmanifest-`.
pub(super) fn all(
    stem: &str,
    source: &mut dyn Source,
    files: &BTreeMap<String, u64>,
    faults: &mut Vec<Fault>,
) -> Vec<List> {
    let named = files.keys().filter_map(|name| {
        let word = name.strip_prefix(stem)?.strip_suffix(".txt")?;
        (!name.contains('/')).then(|| (name.clone(), word.to_owned()))
    });
    let mut lists = Vec::new();
    for (file, word) in named.collect::<Vec<_>>() {
        let bytes = match text(source, files, &file) {
            Ok(bytes) => bytes,
            Err(fault) => {
                faults.push(fault);
                continue;
            }
        };
        let Ok(text) = String::from_utf8(bytes) else {
            faults.push(Fault::of(FaultKind::Form, &file, "is not UTF-8"));
            continue;
        };
        let algorithm = Algorithm::named(&word);
        let read = match algorithm {
            Some(algorithm) => parsed(&text, algorithm),
            None => names_only(&text),
        };
        for (line, what) in read.faults {
            faults.push(Fault::of(FaultKind::Form, &file, what).at(line));
        }
        let payload = stem == "manifest-";
        let mut kept = BTreeMap::new();
        for (name, line) in read.lines {
            // Older programs leave the percent sign as it is.
            let name = match files.contains_key(&line.written) && !files.contains_key(&name) {
                true => line.written.clone(),
                false => name,
            };
            if let Some(why) = wrong_place(&name, payload) {
                let what = format!("lists ‘{name}’, {why}");
                faults.push(Fault::of(FaultKind::Name, &file, what).at(line.number));
            } else {
                kept.insert(name, line);
            }
        }
        lists.push(List {
            file,
            algorithm,
            lines: kept,
            text,
        });
    }
    lists
}

fn wrong_place(name: &str, payload: bool) -> Option<String> {
    if let Some(why) = refused(name) {
        Some(format!("which {why}"))
    } else if payload && !name.starts_with(PAYLOAD) {
        Some("which is not below data/".to_owned())
    } else if !payload && name.starts_with(PAYLOAD) {
        Some("which is payload, and so belongs into a manifest".to_owned())
    } else if !payload && name.starts_with("tagmanifest-") {
        Some("which is a tag manifest; those list no other".to_owned())
    } else {
        None
    }
}

/// Of a manifest whose digests are not checked here, the names.
fn names_only(text: &str) -> Manifest {
    let mut out = Manifest::default();
    for (index, line) in lines(text).enumerate() {
        match line.split_once([' ', '\t']) {
            Some((hex, rest)) => {
                let written = rest.trim_start_matches([' ', '\t', '*']).to_owned();
                let entry = Line {
                    number: index + 1,
                    hex: hex.to_owned(),
                    written: written.clone(),
                };
                let name = crate::deposit::bag::names::decoded(&written);
                out.lines.insert(name, entry);
            }
            None => out
                .faults
                .push((index + 1, "there is no name after the digest".to_owned())),
        }
    }
    out
}
