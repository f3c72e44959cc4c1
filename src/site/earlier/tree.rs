//! The second tree of a site, whose files are the same on the disk, and the ledger beside it.

use super::ledger::Ledger;
use super::modified;
use crate::site::write::{LEDGER, MARK, Old, Place};
use rayon::prelude::*;
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
pub(super) fn held(place: &Place, ledger: &Ledger) -> Result<(), String> {
    let (target, second) = (place.target(), place.next());
    let files: Vec<_> = ledger.files().collect();
    let other = files.par_iter().find_any(|entry| {
        let found = fs::symlink_metadata(second.join(&entry.path));
        !found.is_ok_and(|found| {
            found.is_file()
                && found.len() == entry.bytes as u64
                && modified(&found) == entry.modified
        })
    });
    if let Some(entry) = other {
        return Err(format!("‘{}’ is not as it was written", entry.path));
    }
    let other = ledger.folders.par_iter().find_any(|(path, time)| {
        let found = fs::symlink_metadata(target.join(path));
        !found.is_ok_and(|found| found.is_dir() && modified(&found) == *time)
    });
    match other {
        Some((path, _)) if path.is_empty() => {
            Err("something was added or removed in the site".to_owned())
        }
        Some((path, _)) => Err(format!("something was added or removed in ‘{path}’")),
        None => Ok(()),
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
    let folders = folders(&ledger);
    if old.is_earlier() {
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
            take_away(&second, path)?;
        }
    } else {
        if second.exists() {
            fs::remove_dir_all(&second)?;
        }
        for folder in &folders {
            // Sorted, so that each comes after the one around it.
            fs::create_dir(second.join(folder))?;
        }
        let paths: BTreeSet<&str> = ledger.files().map(|e| e.path.as_str()).collect();
        for path in paths.into_iter().chain([MARK]) {
            fs::hard_link(target.join(path), second.join(path))?;
        }
    }
    let timed = folders.into_iter().map(|path| {
        let time = modified(&fs::metadata(target.join(&path))?);
        Ok((path, time))
    });
    ledger.folders = timed.collect::<io::Result<_>>()?;
    let file = old.place().bench().join(LEDGER);
    let beside = old.place().bench().join("ledger.part");
    fs::write(&beside, ledger.packed().map_err(io::Error::other)?)?;
    fs::rename(beside, file)?;
    old.keep();
    Ok(())
}

/// All folders of a site, the root first.
fn folders(ledger: &Ledger) -> BTreeSet<String> {
    let mut all = BTreeSet::from([String::new()]);
    for entry in ledger.files() {
        let mut path = entry.path.as_str();
        while let Some((folder, _)) = path.rsplit_once('/') {
            if !all.insert(folder.to_owned()) {
                break;
            }
            path = folder;
        }
    }
    all
}
