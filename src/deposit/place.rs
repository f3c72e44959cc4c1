//! The place of a bag: whether it may be written there, and how it takes its place in one step.

use super::bag::{facts, manifest, names};
use super::tags::OBJECT;
use super::{AGENT, DepositError, Request, is_agent};
use crate::site::workbench::{exchange, same_file};
use std::collections::BTreeSet;
use std::fs::{self, File, TryLockError};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use zip::ZipArchive;

/// Longest `bag-info.txt` or manifest of ours that is looked at.
const MOST_TEXT: u64 = 1 << 28;

/// Where the bag of a request is to stand.
pub(super) fn target(request: &Request<'_>) -> Result<PathBuf, DepositError> {
    let to = std::path::absolute(request.to)
        .map_err(|e| DepositError::io("reading the path of", request.to, &e))?;
    let name = match request.packed {
        true => format!("{}.zip", request.object),
        false => request.object.to_string(),
    };
    Ok(to.join(name))
}

/// Whether what stands there, if anything, is a deposit of this object that this program wrote, with
/// nothing of anybody else's in it.
pub(super) fn may_replace(target: &Path, request: &Request<'_>) -> Result<(), DepositError> {
    let refused = |why: &str| {
        Err(DepositError::Target(format!(
            "{} {why}, so it is left alone; move it, or name another place with --to",
            target.display()
        )))
    };
    let kind = match fs::symlink_metadata(target) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(e) => return Err(DepositError::io("looking at", target, &e)),
        Ok(found) => found.file_type(),
    };
    if request.packed {
        return match kind.is_file() && ours_packed(target, request.object.as_str()) {
            true => Ok(()),
            false => refused("is no packed deposit of this object by counterpart"),
        };
    }
    if !kind.is_dir() {
        return refused("is not a folder");
    }
    let read = |name: &str| bounded(File::open(target.join(name)));
    match fs::read_dir(target) {
        Ok(mut entries) => {
            if entries.next().is_none() {
                return Ok(());
            }
        }
        Err(e) => return Err(DepositError::io("looking into", target, &e)),
    }
    if !ours(
        &read("bagit.txt"),
        &read("bag-info.txt"),
        request.object.as_str(),
    ) {
        return refused("holds no deposit of this object by counterpart");
    }
    match stray(target, &read) {
        Ok(None) => Ok(()),
        Ok(Some(name)) => refused(&format!("holds ‘{name}’, which counterpart did not write")),
        Err(e) => Err(DepositError::io("looking into", target, &e)),
    }
}

fn bounded(file: io::Result<impl Read>) -> String {
    let mut text = String::new();
    match file.and_then(|f| f.take(MOST_TEXT).read_to_string(&mut text)) {
        Ok(_) => text,
        Err(_) => String::new(),
    }
}

fn ours(declaration: &str, info: &str, object: &str) -> bool {
    let (info, _) = facts::parsed(info);
    declaration == facts::DECLARATION
        && facts::of(&info, AGENT).any(is_agent)
        && facts::of(&info, OBJECT).any(|id| id == object)
}

fn ours_packed(target: &Path, object: &str) -> bool {
    let Ok(file) = File::open(target) else {
        return false;
    };
    let Ok(mut archive) = ZipArchive::new(io::BufReader::new(file)) else {
        return false;
    };
    let mut text = |name: &str| match archive.by_name(&format!("{object}/{name}")) {
        Ok(entry) => bounded(Ok(entry)),
        Err(_) => String::new(),
    };
    let (declaration, info) = (text("bagit.txt"), text("bag-info.txt"));
    ours(&declaration, &info, object)
}

/// A file in the folder that none of its lists names.
fn stray(target: &Path, read: &dyn Fn(&str) -> String) -> io::Result<Option<String>> {
    let mut known: BTreeSet<String> = BTreeSet::new();
    for stem in ["manifest", "tagmanifest"] {
        let file = format!("{stem}-sha256.txt");
        for line in manifest::lines(&read(&file)) {
            if let Some((_, name)) = line.split_once("  ") {
                known.insert(names::decoded(name));
            }
        }
        known.extend([file, format!("{stem}-sha512.txt")]);
    }
    for entry in walkdir::WalkDir::new(target).into_iter() {
        let entry = entry?;
        if entry.file_type().is_dir() {
            continue;
        }
        let inside = entry.path().strip_prefix(target).unwrap_or(entry.path());
        let name = inside.to_string_lossy().replace('\\', "/");
        if !known.contains(&name) {
            return Ok(Some(name));
        }
    }
    Ok(None)
}

/// The folder beside the target in which the work is done, held for one run.
pub(super) struct Bench {
    /// `OBJECT.unfinished`.
    pub(super) folder: PathBuf,
    /// The lock is given back when this file is closed, however the program ends.
    _lock: File,
}

/// Says what the folder is, to whoever finds it.
const NOTE: &str = "This folder holds a deposit that is not finished. Run the same command again: it\n\
                    goes on from here. Or remove the folder; nothing else is lost.\n";

impl Bench {
    pub(super) fn claim(target: &Path, object: &str) -> Result<Self, DepositError> {
        let parent = target.parent().unwrap_or(target);
        let failed = |doing: &str, path: &Path, e: io::Error| no_room(doing, path, e, 0);
        fs::create_dir_all(parent).map_err(|e| failed("making", parent, e))?;
        let folder = parent.join(format!("{object}.unfinished"));
        let theirs = fs::symlink_metadata(&folder).is_ok_and(|m| !m.is_dir())
            || (folder.is_dir() && !folder.join("lock").exists() && !is_empty(&folder));
        if theirs {
            return Err(DepositError::Target(format!(
                "{} stands where the deposit is to be put together, and counterpart did not write it; move it, or name another place with --to",
                folder.display()
            )));
        }
        // A run that is just ending may remove the folder between our two steps: try again then.
        for _ in 0..8 {
            fs::create_dir_all(&folder).map_err(|e| failed("making", &folder, e))?;
            let path = folder.join("lock");
            let lock = match File::options()
                .create(true)
                .truncate(false)
                .write(true)
                .open(&path)
            {
                Ok(lock) => lock,
                Err(e) if e.kind() == io::ErrorKind::NotFound => continue,
                Err(e) => return Err(failed("opening", &path, e)),
            };
            match lock.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => break,
                Err(TryLockError::Error(e)) => return Err(failed("locking", &path, e)),
            }
            if same_file(&lock, &path) {
                let note = folder.join("UNFINISHED.txt");
                fs::write(&note, NOTE).map_err(|e| failed("writing", &note, e))?;
                return Ok(Self {
                    folder,
                    _lock: lock,
                });
            }
        }
        Err(DepositError::Target(format!(
            "another run is putting together the same deposit ({}); wait for it to end",
            folder.display()
        )))
    }

    /// Lets what is finished take its place in one step; what stood there before is removed after.
    pub(super) fn settle(self, finished: &Path, target: &Path) -> Result<(), DepositError> {
        let failed = |e: io::Error| DepositError::io("putting in place", target, &e);
        let previous = self.folder.join("previous");
        remove(&previous)?;
        match fs::symlink_metadata(target) {
            Ok(found) if found.is_dir() => match exchange(finished, target) {
                Ok(()) => fs::rename(finished, &previous).map_err(failed)?,
                Err(_) => {
                    fs::rename(target, &previous).map_err(failed)?;
                    if let Err(e) = fs::rename(finished, target) {
                        // Put the earlier deposit back before reporting.
                        let _ = fs::rename(&previous, target);
                        return Err(failed(e));
                    }
                }
            },
            _ => fs::rename(finished, target).map_err(failed)?,
        }
        if let Some(parent) = target.parent() {
            sync_folder(parent)?;
        }
        // The deposit stands; what cannot be cleared away now is only untidy, and the next run does it.
        let _ = fs::remove_dir_all(&self.folder);
        Ok(())
    }

    /// Where one rename cannot exchange two folders, a run may die between two renames; the earlier
    /// deposit then waits in `previous`.
    pub(super) fn restore_if_interrupted(&self, target: &Path) -> Result<(), DepositError> {
        let previous = self.folder.join("previous");
        if fs::symlink_metadata(target).is_err() && previous.join("bagit.txt").exists() {
            fs::rename(&previous, target).map_err(|e| DepositError::io("restoring", target, &e))?;
        }
        Ok(())
    }
}

fn is_empty(folder: &Path) -> bool {
    fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_none())
}

/// Removes a file or folder of ours, if it is there.
pub(super) fn remove(path: &Path) -> Result<(), DepositError> {
    let gone = match fs::symlink_metadata(path) {
        Ok(found) if found.is_dir() => fs::remove_dir_all(path),
        Ok(_) => fs::remove_file(path),
        Err(_) => Ok(()),
    };
    match gone {
        Err(e) if e.kind() != io::ErrorKind::NotFound => {
            Err(DepositError::io("clearing", path, &e))
        }
        _ => Ok(()),
    }
}

/// An error of writing; a full disk is told as such.
pub(super) fn no_room(doing: &str, path: &Path, error: io::Error, needed: u64) -> DepositError {
    match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => DepositError::NoRoom {
            place: path.parent().unwrap_or(path).to_owned(),
            needed,
            free: path.parent().and_then(super::room::free),
        },
        _ => DepositError::io(doing, path, &error),
    }
}

#[cfg(unix)]
pub(super) fn sync_folder(folder: &Path) -> Result<(), DepositError> {
    File::open(folder)
        .and_then(|f| f.sync_all())
        .map_err(|e| no_room("syncing", folder, e, 0))
}

#[cfg(not(unix))]
pub(super) fn sync_folder(_: &Path) -> Result<(), DepositError> {
    Ok(())
}
