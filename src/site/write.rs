//! The whole site or nothing: built beside the target, synced, swapped in by one rename.
//!
//! Beside the target `NAME` stands a folder `.NAME.counterpart`. It holds the lock (two runs at once are
//! refused), `next/` (the site being written; between two runs, see [`super::earlier`]) and, for a moment,
//! `previous/`. A run that dies leaves the target as it was; the next run clears what it left.
//! A folder that does not carry our mark is never replaced or removed.

use super::SiteError;
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

/// The file that marks a folder as a site written by this program.
pub const MARK: &str = ".counterpart-site";
/// The file beside a site that tells what it was made from.
pub(crate) const LEDGER: &str = "ledger";
/// What the mark says.
const MARK_TEXT: &str = "This folder is written by counterpart and replaced as a whole at each publication.\n\
                         Keep nothing of your own in it.\nformat = 1\n";

/// A target, held for one run.
pub(crate) struct Place {
    bench: Workbench,
    target: PathBuf,
    /// Whether what lies beside the target is of use to the next run.
    keep: bool,
}

impl Place {
    /// Takes hold of a target, before any long work.
    pub(crate) fn claim(target: &Path) -> Result<Self, SiteError> {
        may_replace(target)?;
        let target =
            std::path::absolute(target).map_err(|e| failed("reading the path of", target, e))?;
        let bench = Workbench::claim(&target)?;
        bench.restore_if_interrupted(&target)?;
        may_replace(&target)?;
        Ok(Self {
            bench,
            target,
            keep: true,
        })
    }

    /// Where the site stands, or will stand.
    pub(crate) fn target(&self) -> &Path {
        &self.target
    }

    /// The folder beside it.
    pub(crate) fn bench(&self) -> &Path {
        &self.bench.folder
    }

    /// Where the next site is written; between two runs, where the second tree of the site lies.
    pub(crate) fn next(&self) -> PathBuf {
        self.bench.folder.join("next")
    }

    /// Begins the next site, in an empty folder or over the second tree.
    pub(crate) fn start(mut self, over: bool) -> Result<Next, SiteError> {
        self.keep = false;
        // From here on nothing that lies here can be gone by, until the end.
        let ledger = self.bench.folder.join(LEDGER);
        match fs::remove_file(&ledger) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => {
                return Err(failed("removing", &ledger, e));
            }
            _ => {}
        }
        clear(&self.bench.folder.join("previous"))?;
        let folder = self.next();
        if !over {
            clear(&folder)?;
            fs::create_dir(&folder).map_err(|e| failed("making", &folder, e))?;
            let mark = folder.join(MARK);
            fs::write(&mark, MARK_TEXT).map_err(|e| failed("writing", &mark, e))?;
        }
        let held = File::open(&folder).map_err(|e| failed("opening", &folder, e))?;
        Ok(Next {
            place: self,
            folder,
            over,
            held,
        })
    }
}

impl Drop for Place {
    /// A site that was not finished leaves nothing behind.
    fn drop(&mut self) {
        if !self.keep {
            // What cannot be cleared now is cleared by the next run.
            let _ = fs::remove_dir_all(self.next());
        }
        self.bench.leave();
    }
}

/// A site that is being written.
pub(crate) struct Next {
    place: Place,
    folder: PathBuf,
    /// Written over a second tree of the earlier site.
    over: bool,
    /// The folder, open from the beginning: a fault of its disk is then told to us, whoever else asks.
    held: File,
}

impl Next {
    /// Where its files are written.
    pub(crate) fn folder(&self) -> &Path {
        &self.folder
    }

    /// Puts it in place.
    pub(crate) fn finish(self) -> Result<Old, SiteError> {
        sync_all(&self.held, &self.folder)?;
        let exchanged = self.place.bench.swap(&self.folder, &self.place.target)?;
        Ok(Old {
            place: self.place,
            earlier: exchanged && self.over,
        })
    }
}

/// What is beside a site that was just put in place. Unless it is kept, nothing is left.
pub(crate) struct Old {
    place: Place,
    earlier: bool,
}

impl Old {
    pub(crate) fn place(&self) -> &Place {
        &self.place
    }

    /// Whether [`Place::next`] now holds the earlier site, as it was known.
    pub(crate) fn is_earlier(&self) -> bool {
        self.earlier
    }

    /// Leaves what lies beside the site for the next run.
    pub(crate) fn keep(&mut self) {
        self.place.keep = true;
    }
}

/// Checks that the target could be replaced.
fn may_replace(target: &Path) -> Result<(), SiteError> {
    let kind = match fs::symlink_metadata(target) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(e) => return Err(failed("looking at", target, e)),
        Ok(found) => found.file_type(),
    };
    if !kind.is_dir() {
        return Err(SiteError::Target(format!(
            "{} is not a folder; name another place with --to",
            target.display()
        )));
    }
    let mut entries = fs::read_dir(target).map_err(|e| failed("looking into", target, e))?;
    let ours = fs::read(target.join(MARK)).is_ok_and(|mark| mark == MARK_TEXT.as_bytes());
    if ours || entries.next().is_none() {
        Ok(())
    } else {
        Err(SiteError::Target(format!(
            "{} holds files that counterpart did not write, so it is left alone; name an empty or new folder with --to",
            target.display()
        )))
    }
}

pub(crate) fn failed(doing: &str, path: &Path, error: io::Error) -> SiteError {
    SiteError::Io(format!("{doing} {}: {error}", path.display()))
}

/// The folder beside the target, held for one run.
struct Workbench {
    folder: PathBuf,
    /// The lock is given back when this file is closed, however the program ends.
    _lock: File,
}

impl Workbench {
    fn claim(target: &Path) -> Result<Self, SiteError> {
        let (Some(parent), Some(name)) = (target.parent(), target.file_name()) else {
            return Err(SiteError::Target(format!(
                "{} cannot be a site; name a folder with --to",
                target.display()
            )));
        };
        fs::create_dir_all(parent).map_err(|e| failed("making", parent, e))?;
        let folder = parent.join(format!(".{}.counterpart", name.to_string_lossy()));
        // A run that is just ending may remove the folder between our two steps: try again then.
        for _ in 0..8 {
            match Self::try_claim(&folder) {
                Ok(Some(bench)) => return Ok(bench),
                Ok(None) => continue,
                Err(e) => return Err(e),
            }
        }
        Err(in_use(target))
    }

    fn try_claim(folder: &Path) -> Result<Option<Self>, SiteError> {
        fs::create_dir_all(folder).map_err(|e| failed("making", folder, e))?;
        let path = folder.join("lock");
        let lock = match File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
        {
            Ok(lock) => lock,
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(e) => return Err(failed("opening", &path, e)),
        };
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(in_use(folder)),
            Err(TryLockError::Error(e)) => return Err(failed("locking", &path, e)),
        }
        // The file that we hold must still be the one at the path, or else another run would
        // hold a lock of its own.
        Ok(same_file(&lock, &path).then(|| Self {
            folder: folder.to_owned(),
            _lock: lock,
        }))
    }

    /// Where one rename cannot exchange two folders, a run may die between two renames; the
    /// earlier site then waits in `previous/`.
    fn restore_if_interrupted(&self, target: &Path) -> Result<(), SiteError> {
        let previous = self.folder.join("previous");
        if !target.exists() && previous.join(MARK).exists() {
            fs::rename(&previous, target).map_err(|e| failed("restoring", target, e))?;
        }
        Ok(())
    }

    /// Whether the earlier site now lies in the place of the next one.
    fn swap(&self, next: &Path, target: &Path) -> Result<bool, SiteError> {
        let previous = self.folder.join("previous");
        let mut exchanged = false;
        if !target.exists() {
            fs::rename(next, target).map_err(|e| failed("putting in place", target, e))?;
        } else if exchange(next, target).is_ok() {
            exchanged = true;
        } else {
            fs::rename(target, &previous).map_err(|e| failed("setting aside", target, e))?;
            if let Err(e) = fs::rename(next, target) {
                // Put the earlier site back before reporting.
                let _ = fs::rename(&previous, target);
                return Err(failed("putting in place", target, e));
            }
        }
        if let Some(parent) = target.parent() {
            sync_folder(parent).map_err(stands)?;
        }
        clear(&previous).map_err(stands)?;
        Ok(exchanged)
    }

    /// Takes the empty workbench away; leaving it behind would only be untidy.
    fn leave(&self) {
        // Not while an earlier site waits in it.
        if !self.folder.join("previous").exists() {
            let _ = fs::remove_file(self.folder.join("lock"));
            let _ = fs::remove_dir(&self.folder);
        }
    }
}

/// A fault that comes when the new site is in place.
fn stands(error: SiteError) -> SiteError {
    SiteError::Afterwards(format!("the new site stands, but {error}"))
}

fn in_use(what: &Path) -> SiteError {
    SiteError::Target(format!(
        "another run is publishing to the same place ({}); wait for it to end, or name another place with --to",
        what.display()
    ))
}

#[cfg(unix)]
pub(crate) fn same_file(held: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (held.metadata(), fs::metadata(path)) {
        (Ok(a), Ok(b)) => a.dev() == b.dev() && a.ino() == b.ino(),
        _ => false,
    }
}

#[cfg(not(unix))]
pub(crate) fn same_file(_: &File, path: &Path) -> bool {
    path.exists()
}

/// Exchanges two folders in one step, where the system can.
#[cfg(target_os = "linux")]
pub(crate) fn exchange(a: &Path, b: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE).map_err(io::Error::from)
}

#[cfg(not(target_os = "linux"))]
pub(crate) fn exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

fn clear(folder: &Path) -> Result<(), SiteError> {
    match fs::remove_dir_all(folder) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(failed("clearing", folder, e)),
        _ => Ok(()),
    }
}

/// Sees that everything in a folder is on the disk: all of its file system at once, where the system can.
#[cfg(target_os = "linux")]
fn sync_all(held: &File, folder: &Path) -> Result<(), SiteError> {
    rustix::fs::syncfs(held).map_err(|e| failed("syncing", folder, e.into()))
}

#[cfg(not(target_os = "linux"))]
fn sync_all(_: &File, folder: &Path) -> Result<(), SiteError> {
    for entry in walkdir::WalkDir::new(folder) {
        let entry = entry.map_err(|e| failed("syncing", folder, e.into()))?;
        if entry.file_type().is_file() {
            let synced = File::options().write(true).open(entry.path());
            synced
                .and_then(|f| f.sync_data())
                .map_err(|e| failed("syncing", entry.path(), e))?;
        } else {
            sync_folder(entry.path())?;
        }
    }
    Ok(())
}

#[cfg(unix)]
fn sync_folder(folder: &Path) -> Result<(), SiteError> {
    File::open(folder)
        .and_then(|f| f.sync_all())
        .map_err(|e| failed("syncing", folder, e))
}

#[cfg(not(unix))]
fn sync_folder(_: &Path) -> Result<(), SiteError> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::files::Files;
    use std::collections::BTreeMap;

    /// Publishes a site of two pages, one of which says `text`.
    fn replace(target: &Path, text: &str) -> Result<(), SiteError> {
        let next = Place::claim(target)?.start(false)?;
        let files = Files::in_folder(next.folder(), BTreeMap::new());
        files.put("index.html", text.as_bytes().to_vec());
        files.put("a/b/index.html", b"deep".to_vec());
        files.settle()?;
        next.finish().map(drop)
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn replaces_the_whole_and_leaves_nothing_beside() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("display");
        replace(&target, "one").unwrap();
        fs::write(target.join("stray"), "x").unwrap();
        replace(&target, "two").unwrap();
        assert_eq!(
            fs::read_to_string(target.join("index.html")).unwrap(),
            "two"
        );
        assert_eq!(names(&target), [MARK, "a", "index.html"]);
        assert_eq!(names(place.path()), ["display"]);
        // One that is given up leaves no more behind.
        let given_up = Place::claim(&target).unwrap().start(false).unwrap();
        fs::write(given_up.folder().join("index.html"), "three").unwrap();
        drop(given_up);
        assert_eq!(
            fs::read_to_string(target.join("index.html")).unwrap(),
            "two"
        );
        assert_eq!(names(place.path()), ["display"]);
    }

    #[test]
    fn a_folder_of_someone_elses_is_left_alone() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("thesis");
        fs::create_dir(&target).unwrap();
        fs::write(target.join("chapter-one"), "mine").unwrap();
        assert!(matches!(replace(&target, "x"), Err(SiteError::Target(_))));
        assert_eq!(names(&target), ["chapter-one"]);
        // A file that merely bears the mark's name does not make the folder ours.
        fs::write(target.join(MARK), "something else").unwrap();
        assert!(matches!(replace(&target, "x"), Err(SiteError::Target(_))));
    }

    #[test]
    fn two_at_once_are_refused() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("display");
        let held = Workbench::claim(&target).unwrap();
        assert!(matches!(replace(&target, "x"), Err(SiteError::Target(_))));
        drop(held);
        replace(&target, "x").unwrap();
    }

    #[test]
    fn a_run_that_died_is_cleared_and_the_earlier_site_restored() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("display");
        replace(&target, "one").unwrap();
        let bench = place.path().join(".display.counterpart");
        fs::create_dir_all(bench.join("next")).unwrap();
        fs::write(bench.join("next/half"), "half").unwrap();
        fs::rename(&target, bench.join("previous")).unwrap();
        let claimed = Workbench::claim(&target).unwrap();
        claimed.restore_if_interrupted(&target).unwrap();
        assert_eq!(
            fs::read_to_string(target.join("index.html")).unwrap(),
            "one"
        );
        drop(claimed);
        replace(&target, "two").unwrap();
        assert_eq!(names(place.path()), ["display"]);
    }
}
