//! The second tree of a site, whose files are the same on the disk, and the ledger beside it.

use super::ledger::{Draft, Folder, Ledger};
use super::looks::{Looking, Looks, Root};
use super::lying::Lying;
use super::modified;
use super::ordered::{Ordered, side_by_side};
use crate::site::files::Settled;
use crate::site::write::{DRAFT, LEDGER, MARK, Old, Place};
use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Component, Path};

/// The ledger of the site that stands; else why there is none to go by.
pub(super) fn ledger(place: &Place) -> Result<Ledger, String> {
    let target = place.target();
    if !target.join(MARK).is_file() {
        return Err("there is no earlier site".to_owned());
    }
    let bench = place.bench();
    let read = fs::File::open(bench.join(LEDGER)).and_then(|mut file| Ledger::read(&mut file));
    let ledger = match read {
        Ok(ledger) => ledger,
        Err(e) if e.kind() == io::ErrorKind::NotFound => {
            return Err(
                "nothing tells how the earlier site was made, or the last run did not end well"
                    .to_owned(),
            );
        }
        Err(e) => return Err(format!("{}: {e}", bench.join(LEDGER).display())),
    };
    ledger.ok_or_else(|| {
        "the record of how the earlier site was made is damaged, or of another edition".to_owned()
    })
}

/// Whether all is as the ledger tells; if not, what is not.
pub(super) fn held(target: &Path, second: &Path, ledger: &Ledger) -> Result<(), String> {
    let looked = |folder: &Path, e: io::Error| format!("{}: {e}", folder.display());
    let files = Root::open(second).map_err(|e| looked(second, e))?;
    let other = ledger.files.iter().find(|(path, entry)| {
        let as_told = |found: Looks| {
            found.kind == Looking::File
                && found.stamp.bytes == entry.bytes as u64
                && found.stamp.modified == entry.modified
        };
        !files.look(path).is_ok_and(as_told)
    });
    if let Some((path, _)) = other {
        return Err(format!("‘{path}’ is not as it was written"));
    }
    let folders = Root::open(target).map_err(|e| looked(target, e))?;
    let other = ledger.folders.iter().find(|(path, time)| {
        let as_told =
            |found: Looks| found.kind == Looking::Folder && found.stamp.modified == time.target;
        !folders.look(path).is_ok_and(as_told)
    });
    match other {
        Some(("", _)) => Err("something was added or removed in the site".to_owned()),
        Some((path, _)) => Err(format!("something was added or removed in ‘{path}’")),
        None => Ok(()),
    }
}

/// Takes a file away, and the folders that are empty then.
pub(super) fn take_away(root: &Path, path: &str) -> io::Result<()> {
    // Whatever a ledger says, nothing outside the site is taken away.
    let mut steps = Path::new(path).components();
    if !steps.all(|step| matches!(step, Component::Normal(_))) {
        return Err(io::Error::other("it is not in the site"));
    }
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
    old: &mut Old,
    ledger: &mut Ledger,
    draft: impl FnOnce() -> io::Result<Draft>,
    written: &Settled,
) -> io::Result<()> {
    let Settled {
        files,
        changed,
        gone,
        ..
    } = written;
    let (target, second) = (old.place().target(), old.place().next());
    let touched = match old.is_earlier() {
        true => {
            follow(target, &second, changed, gone)?;
            // What was the second tree is the site now.
            ledger.folders.change(|_, times| Folder {
                target: times.second,
                second: times.target,
            });
            around(changed.iter().chain(gone).map(String::as_str))
        }
        false => {
            ledger.folders = Ordered::default();
            let folders = around(files.iter().map(|(path, _)| path));
            link_all(target, &second, files, &folders)?;
            folders
        }
    };
    let mut times = Vec::new();
    for path in &touched {
        let time = match fs::metadata(target.join(path)) {
            Ok(found) => Some(Folder {
                target: modified(&found),
                second: modified(&fs::metadata(second.join(path))?),
            }),
            Err(e) if e.kind() == io::ErrorKind::NotFound => None,
            Err(e) => return Err(e),
        };
        times.push((path.as_str(), time));
    }
    let all = side_by_side(ledger.folders.iter(), times.into_iter());
    let all = all.filter_map(|(path, before, now)| Some((path, now.unwrap_or(before)?)));
    ledger.folders = all.collect();
    let bench = old.place().bench();
    // It is not waited for until the disk has it: a torn one is seen by its digest, and all is made from the ground.
    draft()?.finish(ledger)?;
    fs::rename(bench.join(DRAFT), bench.join(LEDGER))?;
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
    files: &Lying,
    folders: &BTreeSet<String>,
) -> io::Result<()> {
    if second.exists() {
        fs::remove_dir_all(second)?;
    }
    for folder in folders {
        // Sorted, so that each comes after the one around it.
        fs::create_dir(second.join(folder))?;
    }
    let paths = files.iter().map(|(path, _)| path);
    for path in paths.chain([MARK]) {
        fs::hard_link(target.join(path), second.join(path))?;
    }
    Ok(())
}

/// All folders around files, the root first.
fn around<'p>(paths: impl Iterator<Item = &'p str>) -> BTreeSet<String> {
    let mut all = BTreeSet::from([String::new()]);
    for mut path in paths {
        while let Some((folder, _)) = path.rsplit_once('/') {
            if !all.insert(folder.to_owned()) {
                break;
            }
            path = folder;
        }
    }
    all
}
