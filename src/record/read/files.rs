//! Files of the content folder: found, checked and read within the limits, links never followed.

use crate::limits::Limits;
use crate::record::{Findings, SourceFile, content_name, suggest};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use unicode_normalization::UnicodeNormalization;

/// What a folder holds, hidden entries left out, in name order.
#[derive(Debug, Default)]
pub(super) struct Listing {
    pub(super) files: Vec<(String, PathBuf)>,
    pub(super) folders: Vec<(String, PathBuf)>,
}

/// Lists a folder. Links, odd names and names that some systems cannot tell apart are findings.
pub(super) fn list(root: &Path, folder: &Path, findings: &mut Findings) -> Listing {
    let mut listing = Listing::default();
    let here = content_name(root, folder);
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) => {
            let place = SourceFile::whole(&here);
            findings.error(
                "unreadable",
                place,
                format!("the folder cannot be read: {error}"),
                "check who may read it",
            );
            return listing;
        }
    };
    let mut paths: Vec<PathBuf> = entries.filter_map(|e| e.ok().map(|e| e.path())).collect();
    paths.sort();
    for path in paths {
        let place = SourceFile::whole(&content_name(root, &path));
        let Some(name) = path.file_name().and_then(|n| n.to_str()).map(str::to_owned) else {
            findings.error(
                "bad-name",
                place,
                "the name is not valid Unicode",
                "rename it with plain letters and digits",
            );
            continue;
        };
        if name.starts_with('.') {
            continue;
        }
        match fs::symlink_metadata(&path) {
            Ok(found) if found.file_type().is_symlink() => findings.error(
                "symbolic-link",
                place,
                "this is a link; links are not followed, since they can lead out of the content folder",
                "put the file or folder itself there",
            ),
            Ok(found) if found.is_dir() => listing.folders.push((name, path)),
            Ok(found) if found.is_file() => listing.files.push((name, path)),
            Ok(_) => findings.error("unreadable", place, "this is neither a file nor a folder", "take it away"),
            Err(e) => findings.error("unreadable", place, format!("it cannot be read: {e}"), "check who may read it"),
        }
    }
    twins(root, &listing, findings);
    listing
}

/// Names that differ only by case or by Unicode normal form cannot live in one folder everywhere.
fn twins(root: &Path, listing: &Listing, findings: &mut Findings) {
    let mut known: BTreeMap<String, &str> = BTreeMap::new();
    for (name, path) in listing.files.iter().chain(&listing.folders) {
        let folded: String = name.nfc().flat_map(char::to_lowercase).collect();
        if let Some(other) = known.insert(folded, name) {
            findings.error(
                "same-name",
                SourceFile::whole(&content_name(root, path)),
                format!("‘{name}’ and ‘{other}’ are one name on some systems"),
                "rename one of them",
            );
        }
    }
}

/// Checks a folder name that becomes an id and a piece of a web address.
pub(super) fn id<T: std::str::FromStr<Err = E>, E: std::fmt::Display>(
    root: &Path,
    name: &str,
    path: &Path,
    findings: &mut Findings,
) -> Option<T> {
    match name.parse() {
        Ok(id) => Some(id),
        Err(error) => {
            findings.error(
                "unsafe-id",
                SourceFile::whole(&content_name(root, path)),
                format!("the folder name {error}; it becomes an id and a web address"),
                format!(
                    "use lower-case letters, digits and single hyphens, for example ‘{}’",
                    suggest(name)
                ),
            );
            None
        }
    }
}

/// Reads a text file within the limits.
pub(super) fn text(
    root: &Path,
    path: &Path,
    limits: &Limits,
    findings: &mut Findings,
) -> Option<SourceFile> {
    let name = content_name(root, path);
    let place = SourceFile::whole(&name);
    let size = match fs::symlink_metadata(path) {
        Ok(found) => found.len(),
        Err(error) => {
            findings.error(
                "unreadable",
                place,
                format!("the file cannot be read: {error}"),
                "check who may read it",
            );
            return None;
        }
    };
    if size > limits.text_bytes {
        findings.error(
            "oversized",
            place,
            format!(
                "the file has {size} bytes; at most {} are read",
                limits.text_bytes
            ),
            "split it, or take away what is not text",
        );
        return None;
    }
    match fs::read(path).map(String::from_utf8) {
        Ok(Ok(text)) => {
            let text = text
                .strip_prefix('\u{feff}')
                .map_or(text.clone(), str::to_owned)
                .replace("\r\n", "\n");
            Some(SourceFile {
                name,
                path: path.to_owned(),
                text,
            })
        }
        Ok(Err(error)) => {
            let at = error.utf8_error().valid_up_to();
            findings.error(
                "not-utf8",
                place,
                format!("the file is not UTF-8 from byte {at} on"),
                "save it as UTF-8",
            );
            None
        }
        Err(error) => {
            findings.error(
                "unreadable",
                place,
                format!("the file cannot be read: {error}"),
                "check who may read it",
            );
            None
        }
    }
}

/// Advice on what lies in a folder without being read.
pub(super) fn unexpected(root: &Path, path: &Path, why: &str, findings: &mut Findings) {
    findings.advice(
        "not-read",
        SourceFile::whole(&content_name(root, path)),
        format!("this is not read: {why}"),
        "move or rename it, or begin its name with a dot",
    );
}
