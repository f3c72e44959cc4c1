//! The folder beside a site: its lock, and the moves between it and the place of the site.

use super::SiteError;
use super::write::{MARK, failed};
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

/// The folder beside the target, held for one run.
pub(super) struct Workbench {
    pub(super) folder: PathBuf,
    /// The lock is given back when this file is closed, however the program ends.
    _lock: File,
}

impl Workbench {
    pub(super) fn claim(target: &Path) -> Result<Self, SiteError> {
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
    pub(super) fn restore_if_interrupted(&self, target: &Path) -> Result<(), SiteError> {
        let previous = self.folder.join("previous");
        if !target.exists() && previous.join(MARK).exists() {
            fs::rename(&previous, target).map_err(|e| failed("restoring", target, e))?;
        }
        Ok(())
    }

    /// Whether the earlier site now lies in the place of the next one.
    pub(super) fn swap(&self, next: &Path, target: &Path) -> Result<bool, SiteError> {
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
    pub(super) fn leave(&self) {
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

pub(super) fn clear(folder: &Path) -> Result<(), SiteError> {
    match fs::remove_dir_all(folder) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(failed("clearing", folder, e)),
        _ => Ok(()),
    }
}

/// Sees that everything in a folder is on the disk: all of its file system at once, where the system can.
#[cfg(target_os = "linux")]
pub(super) fn sync_all(held: &File, folder: &Path) -> Result<(), SiteError> {
    rustix::fs::syncfs(held).map_err(|e| failed("syncing", folder, e.into()))
}

#[cfg(not(target_os = "linux"))]
pub(super) fn sync_all(_: &File, folder: &Path) -> Result<(), SiteError> {
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
