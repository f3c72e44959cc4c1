//! The content folder as a tree of names, taken once. Everything later looks up files here and
//! not on the disk, so nothing outside the folder can be reached: symbolic links are refused,
//! hidden files are passed over, and nesting has a limit.

use super::Known;
use crate::limits::Limits;
use crate::record::{Finding, Findings, Severity, SourceFile};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use unicode_normalization::UnicodeNormalization;

/// One folder, with names as on disk.
#[derive(Debug, Default)]
pub(crate) struct Folder {
    /// Path relative to the content folder; empty for the content folder itself.
    pub(crate) name: String,
    /// Path on disk.
    pub(crate) path: PathBuf,
    /// Files by name, with their size in bytes.
    pub(crate) files: BTreeMap<String, u64>,
    /// Folders by name.
    pub(crate) folders: BTreeMap<String, Folder>,
    /// Names already reported and not followed, such as symbolic links.
    pub(crate) refused: BTreeSet<String>,
}

/// What a relative path leads to.
pub(crate) enum Found {
    /// A file: where it is on disk, and its bytes.
    File(PathBuf, u64),
    /// Something already reported.
    Refused,
    /// No such file.
    Nothing,
}

impl Folder {
    /// Takes the tree below `path`, without what is in the folders of objects that are known. Reports what is
    /// not followed.
    pub(crate) fn take(
        path: &Path,
        limits: &Limits,
        known: &[Known],
        findings: &mut Findings,
    ) -> Self {
        let known = known.iter().map(|known| known.object.id.as_str()).collect();
        let taking = Taking { limits, known };
        taking.folder(path, "", 0, findings)
    }

    /// Content name of a file or folder in this folder.
    pub(crate) fn inside(&self, name: &str) -> String {
        if self.name.is_empty() {
            name.to_owned()
        } else {
            format!("{}/{name}", self.name)
        }
    }

    /// The file at the steps of a path that [`steps`] has accepted.
    pub(crate) fn find(&self, steps: &[&str]) -> Found {
        match steps {
            [] => Found::Nothing,
            [first, ..] if self.refused.contains(*first) => Found::Refused,
            [file] => match self.files.get(*file) {
                Some(bytes) => Found::File(self.path.join(file), *bytes),
                None => Found::Nothing,
            },
            [first, rest @ ..] => self
                .folders
                .get(*first)
                .map_or(Found::Nothing, |f| f.find(rest)),
        }
    }
}

/// The steps of a relative path, or why it cannot be allowed: it must stay in its folder on
/// every system.
pub(crate) fn steps(path: &str) -> Result<Vec<&str>, &'static str> {
    if path.is_empty() {
        return Err("is empty");
    }
    if path.contains('\\') {
        return Err("contains a backslash");
    }
    if path.starts_with('/') || path.starts_with('~') || path.as_bytes().get(1) == Some(&b':') {
        return Err("is not relative");
    }
    if path.contains(char::is_control) {
        return Err("contains a control character");
    }
    let steps: Vec<&str> = path.split('/').collect();
    if steps.contains(&"..") {
        return Err("climbs out with ‘..’");
    }
    if steps.iter().any(|s| s.is_empty() || *s == ".") {
        return Err("has an empty step or ‘.’");
    }
    Ok(steps)
}

/// What taking a tree needs at every step.
struct Taking<'k> {
    limits: &'k Limits,
    /// Names of folders at the top that are not entered.
    known: BTreeSet<&'k str>,
}

impl Taking<'_> {
    fn folder(&self, path: &Path, name: &str, depth: usize, findings: &mut Findings) -> Folder {
        let mut folder = Folder {
            name: name.to_owned(),
            path: path.to_owned(),
            ..Folder::default()
        };
        let entries = match std::fs::read_dir(path).and_then(Iterator::collect::<Result<Vec<_>, _>>)
        {
            Ok(entries) => entries,
            Err(cause) => {
                fault(
                    findings,
                    "unreadable-folder",
                    name,
                    format!("The folder cannot be read: {cause}."),
                    "Check that it is there and that you may open it.".into(),
                );
                return folder;
            }
        };
        let mut entries: Vec<_> = entries
            .into_iter()
            .map(|e| (e.file_name(), e.path()))
            .collect();
        entries.sort();
        let mut alike: BTreeMap<String, String> = BTreeMap::new();
        for (raw, path) in entries {
            let shown = raw.to_string_lossy().into_owned();
            if shown.starts_with('.') {
                continue;
            }
            let inside = folder.inside(&shown);
            if raw.to_str().is_none() {
                let remedy = "Rename it with lower-case letters, digits and hyphens.".into();
                fault(
                    findings,
                    "not-utf8",
                    &inside,
                    "The file name is not readable as Unicode (UTF-8).".into(),
                    remedy,
                );
                continue;
            }
            let folded: String = shown.nfc().flat_map(char::to_lowercase).collect();
            if let Some(other) = alike.insert(folded, shown.clone()) {
                fault(
                    findings,
                    "names-alike",
                    &inside,
                    format!(
                        "‘{shown}’ and ‘{other}’ differ only in capitals or in how an accent is stored; on many computers they are one file."
                    ),
                    "Rename one of the two, or delete it.".into(),
                );
            }
            self.enter(&mut folder, shown, &path, depth, findings);
        }
        folder
    }

    /// Adds one entry of a folder, going into it where it is a folder itself.
    fn enter(
        &self,
        folder: &mut Folder,
        shown: String,
        path: &Path,
        depth: usize,
        findings: &mut Findings,
    ) {
        let inside = folder.inside(&shown);
        let about = match std::fs::symlink_metadata(path) {
            Ok(about) => about,
            Err(cause) => {
                let remedy = "Check that it is there and that you may open it.".into();
                fault(
                    findings,
                    "unreadable-file",
                    &inside,
                    format!("The file cannot be read: {cause}."),
                    remedy,
                );
                folder.refused.insert(shown);
                return;
            }
        };
        if about.is_symlink() {
            fault(
            findings,
            "symbolic-link",
            &inside,
            "This is a symbolic link; links are not followed, since they can lead out of the content folder.".into(),
            "Put the file itself here.".into(),
        );
            folder.refused.insert(shown);
        } else if about.is_dir() {
            if depth == 0 && self.known.contains(shown.as_str()) {
                folder.folders.insert(shown, Folder::default());
            } else if depth >= self.limits.folder_depth {
                fault(
                    findings,
                    "too-deep",
                    &inside,
                    format!(
                        "Folders are nested more than {} deep.",
                        self.limits.folder_depth
                    ),
                    "Move this folder further up.".into(),
                );
                folder.refused.insert(shown);
            } else {
                let below = self.folder(path, &inside, depth + 1, findings);
                folder.folders.insert(shown, below);
            }
        } else if about.is_file() {
            folder.files.insert(shown, about.len());
        } else {
            fault(
                findings,
                "not-a-file",
                &inside,
                "This is neither a file nor a folder.".into(),
                "Remove it from the content folder.".into(),
            );
            folder.refused.insert(shown);
        }
    }
}

fn fault(findings: &mut Findings, rule: &'static str, name: &str, what: String, remedy: String) {
    let place = SourceFile::whole(if name.is_empty() { "." } else { name });
    findings.push(Finding {
        severity: Severity::Error,
        rule,
        place,
        what,
        remedy,
    });
}
