//! The second tree of a site, whose files are the same on the disk, and the ledger beside it.

use super::ledger::{Folder, Ledger};
use super::modified;
use crate::site::write::{LEDGER, MARK, Old, Place};
use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::Path;

/// The ledger of the site that stands; else why there is none to go by.
pub(super) fn ledger(place: &Place) -> Result<Ledger, String> {
    let target = place.target();
    if !target.join(MARK).is_file() {
        return Err("there is no earlier site".to_owned());
    }
    let bench = place.bench();
    let bytes = match fs::read(bench.join(LEDGER)) {
        Ok(bytes) => bytes,
        Err(e) if e.kind() == io::ErrorKind::NotFound => {
            return Err(
                "nothing tells how the earlier site was made, or the last run did not end well"
                    .to_owned(),
            );
        }
        Err(e) => return Err(format!("{}: {e}", bench.join(LEDGER).display())),
    };
    Ledger::unpacked(&bytes).ok_or_else(|| {
        "the record of how the earlier site was made is damaged, or of another edition".to_owned()
    })
}

/// Whether all is as the ledger tells; if not, what is not.
pub(super) fn held(target: &Path, second: &Path, ledger: &Ledger) -> Result<(), String> {
    let looked = |folder: &Path, e: io::Error| format!("{}: {e}", folder.display());
    let files = Root::open(second).map_err(|e| looked(second, e))?;
    let other = ledger.files.iter().find(|entry| {
        let as_told = |found: Looks| {
            !found.is_folder
                && found.bytes == entry.bytes as u64
                && found.modified == entry.modified
        };
        !files.look(&entry.path).is_ok_and(as_told)
    });
    if let Some(entry) = other {
        return Err(format!("‘{}’ is not as it was written", entry.path));
    }
    let folders = Root::open(target).map_err(|e| looked(target, e))?;
    let other = ledger.folders.iter().find(|(path, time)| {
        let path = if path.is_empty() { "." } else { path };
        let as_told = |found: Looks| found.is_folder && found.modified == time.target;
        !folders.look(path).is_ok_and(as_told)
    });
    match other {
        Some((path, _)) if path.is_empty() => {
            Err("something was added or removed in the site".to_owned())
        }
        Some((path, _)) => Err(format!("something was added or removed in ‘{path}’")),
        None => Ok(()),
    }
}

/// How a file or folder looks from outside; nothing else passes for one.
struct Looks {
    is_folder: bool,
    bytes: u64,
    modified: u128,
}

/// A folder below which many files are looked at: where the system has a way from an open folder, not each time
/// from the root of all.
struct Root {
    #[cfg(unix)]
    folder: fs::File,
    #[cfg(not(unix))]
    folder: std::path::PathBuf,
}

#[cfg(unix)]
impl Root {
    fn open(folder: &Path) -> io::Result<Self> {
        let folder = fs::File::open(folder)?;
        Ok(Self { folder })
    }

    fn look(&self, path: &str) -> io::Result<Looks> {
        use rustix::fs::{AtFlags, FileType, statat};
        let found = statat(&self.folder, path, AtFlags::SYMLINK_NOFOLLOW)?;
        let kind = FileType::from_raw_mode(found.st_mode);
        if !matches!(kind, FileType::RegularFile | FileType::Directory) {
            return Err(io::ErrorKind::NotFound.into());
        }
        Ok(Looks {
            is_folder: kind == FileType::Directory,
            bytes: u64::try_from(found.st_size).unwrap_or(0),
            modified: u128::try_from(found.st_mtime).unwrap_or(0) * 1_000_000_000
                + u128::from(found.st_mtime_nsec),
        })
    }
}

#[cfg(not(unix))]
impl Root {
    fn open(folder: &Path) -> io::Result<Self> {
        let folder = folder.to_owned();
        Ok(Self { folder })
    }

    fn look(&self, path: &str) -> io::Result<Looks> {
        let found = fs::symlink_metadata(self.folder.join(path))?;
        if !found.is_file() && !found.is_dir() {
            return Err(io::ErrorKind::NotFound.into());
        }
        Ok(Looks {
            is_folder: found.is_dir(),
            bytes: found.len(),
            modified: modified(&found),
        })
    }
}

/// Takes a file away, and the folders that are empty then.
pub(super) fn take_away(root: &Path, path: &str) -> io::Result<()> {
    fs::remove_file(root.join(path))?;
    let mut folder = Path::new(path).parent();
    while let Some(empty) = folder.filter(|f| !f.as_os_str().is_empty()) {
        if fs::remove_dir(root.join(empty)).is_err() {
            break;
        }
        folder = empty.parent();
    }
    Ok(())
}

/// Makes the earlier site into a second tree of the new one, and writes its ledger.
///
/// # Errors
/// A system that has no hard links, a full disk: then there is neither, and a later run makes everything.
pub(super) fn leave_second(
    mut old: Old,
    mut ledger: Ledger,
    changed: &[String],
    gone: &[String],
) -> io::Result<()> {
    let (target, second) = (old.place().target(), old.place().next());
    let touched = match old.is_earlier() {
        true => {
            follow(target, &second, changed, gone)?;
            // What was the second tree is the site now.
            for times in ledger.folders.values_mut() {
                std::mem::swap(&mut times.target, &mut times.second);
            }
            around(changed.iter().chain(gone))
        }
        false => {
            ledger.folders.clear();
            let folders = around(ledger.files.iter().map(|entry| &entry.path));
            link_all(target, &second, &ledger, &folders)?;
            folders
        }
    };
    for path in touched {
        match fs::metadata(target.join(&path)) {
            Ok(found) => {
                let times = Folder {
                    target: modified(&found),
                    second: modified(&fs::metadata(second.join(&path))?),
                };
                ledger.folders.insert(path, times);
            }
            Err(e) if e.kind() == io::ErrorKind::NotFound => {
                ledger.folders.remove(&path);
            }
            Err(e) => return Err(e),
        }
    }
    let file = old.place().bench().join(LEDGER);
    let beside = old.place().bench().join("ledger.part");
    fs::write(&beside, ledger.packed().map_err(io::Error::other)?)?;
    fs::rename(beside, file)?;
    old.keep();
    Ok(())
}

/// Changes in the earlier site what was changed in the new one.
fn follow(target: &Path, second: &Path, changed: &[String], gone: &[String]) -> io::Result<()> {
    for path in changed {
        let place = second.join(path);
        match fs::remove_file(&place) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
            _ => {}
        }
        if let Some(folder) = place.parent() {
            fs::create_dir_all(folder)?;
        }
        fs::hard_link(target.join(path), place)?;
    }
    for path in gone {
        take_away(second, path)?;
    }
    Ok(())
}

/// Makes a second tree from the ground.
fn link_all(
    target: &Path,
    second: &Path,
    ledger: &Ledger,
    folders: &BTreeSet<String>,
) -> io::Result<()> {
    if second.exists() {
        fs::remove_dir_all(second)?;
    }
    for folder in folders {
        // Sorted, so that each comes after the one around it.
        fs::create_dir(second.join(folder))?;
    }
    let paths = ledger.files.iter().map(|entry| entry.path.as_str());
    for path in paths.chain([MARK]) {
        fs::hard_link(target.join(path), second.join(path))?;
    }
    Ok(())
}

/// All folders around files, the root first.
fn around<'p>(paths: impl Iterator<Item = &'p String>) -> BTreeSet<String> {
    let mut all = BTreeSet::from([String::new()]);
    for path in paths {
        let mut path = path.as_str();
        while let Some((folder, _)) = path.rsplit_once('/') {
            if !all.insert(folder.to_owned()) {
                break;
            }
            path = folder;
        }
    }
    all
}
