//! The folder `.counterpart/desk`: the lock, drafts, texts before and after each change, the bin.
//! Nothing in it can be made again, unlike the rest of `.counterpart`.

use super::{Refusal, Version};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// The desk's own folder, locked for as long as this lives.
#[derive(Debug)]
pub(super) struct Keep {
    folder: PathBuf,
    /// Given back by the system when the file is closed, however the program ends.
    _lock: File,
    next: AtomicU64,
}

const README: &str = "This folder is the memory of the desk: drafts, the bin, and the texts before each change.\nUnlike the rest of .counterpart it cannot be made again.\n";

impl Keep {
    pub(super) fn open(folder: &Path) -> Result<Self, Refusal> {
        let folder = std::path::absolute(folder)
            .map_err(|e| Refusal::from_io("finding", &folder.display().to_string(), &e))?;
        for below in ["texts", "history", "drafts", "bin", "arriving"] {
            let path = folder.join(below);
            fs::create_dir_all(&path).map_err(|e| refused("making", &path, &e))?;
        }
        let path = folder.join("lock");
        let lock = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .map_err(|e| refused("opening", &path, &e))?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(Refusal::Busy {
                    keep: folder.display().to_string(),
                });
            }
            Err(TryLockError::Error(e)) => return Err(refused("locking", &path, &e)),
        }
        let keep = Self {
            folder,
            _lock: lock,
            next: AtomicU64::new(0),
        };
        keep.sweep()?;
        if !keep.path("README").exists() {
            keep.write("README", README.as_bytes())?;
        }
        Ok(keep)
    }

    /// Half-written files of a run that died; nobody else is here, since the lock is ours.
    fn sweep(&self) -> Result<(), Refusal> {
        for below in ["", "texts", "history", "drafts", "bin", "arriving"] {
            for (name, path) in self.entries(below)? {
                if name.ends_with(PART) {
                    fs::remove_file(&path).map_err(|e| refused("removing", &path, &e))?;
                }
            }
        }
        Ok(())
    }

    pub(super) fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// Names and paths in a folder of the keep, in order.
    pub(super) fn entries(&self, below: &str) -> Result<Vec<(String, PathBuf)>, Refusal> {
        let folder = self.path(below);
        let read = || -> io::Result<Vec<(String, PathBuf)>> {
            let mut found = Vec::new();
            for entry in fs::read_dir(&folder)? {
                let entry = entry?;
                found.push((
                    entry.file_name().to_string_lossy().into_owned(),
                    entry.path(),
                ));
            }
            found.sort();
            Ok(found)
        };
        read().map_err(|e| refused("looking into", &folder, &e))
    }

    /// Writes a whole file: beside, synced, renamed, the folder synced.
    pub(super) fn write(&self, name: &str, bytes: &[u8]) -> Result<(), Refusal> {
        let path = self.path(name);
        let number = self.next.fetch_add(1, Ordering::Relaxed);
        let beside = PathBuf::from(format!("{}.{number}{PART}", path.display()));
        let write = || -> io::Result<()> {
            let mut file = File::create(&beside)?;
            file.write_all(bytes)?;
            file.sync_all()?;
            fs::rename(&beside, &path)
        };
        write().map_err(|e| {
            // What is left of it is swept away at the next opening, should this fail too.
            let _ = fs::remove_file(&beside);
            refused("writing", &path, &e)
        })?;
        self.sync_above(&path)
    }

    pub(super) fn write_json(&self, name: &str, value: &impl Serialize) -> Result<(), Refusal> {
        let text = serde_json::to_vec_pretty(value).map_err(|e| Refusal::Failed {
            doing: format!("writing {name}"),
            cause: e.to_string(),
        })?;
        self.write(name, &text)
    }

    /// The bytes of a file of the keep; none when there is no such file.
    pub(super) fn read(&self, name: &str) -> Result<Option<Vec<u8>>, Refusal> {
        let path = self.path(name);
        match fs::read(&path) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(e) => Err(refused("reading", &path, &e)),
        }
    }

    pub(super) fn read_json<T: DeserializeOwned>(&self, name: &str) -> Result<Option<T>, Refusal> {
        let Some(bytes) = self.read(name)? else {
            return Ok(None);
        };
        let read = serde_json::from_slice(&bytes).map_err(|e| Refusal::Failed {
            doing: format!("reading {}", self.path(name).display()),
            cause: format!("{e}; move that file away if you can do without it"),
        });
        read.map(Some)
    }

    pub(super) fn rename(&self, from: &str, to: &str) -> Result<(), Refusal> {
        let (from, to) = (self.path(from), self.path(to));
        fs::rename(&from, &to).map_err(|e| refused("renaming", &from, &e))?;
        self.sync_above(&to)?;
        self.sync_above(&from)
    }

    pub(super) fn remove(&self, name: &str) -> Result<(), Refusal> {
        let path = self.path(name);
        match fs::remove_file(&path) {
            Ok(()) => self.sync_above(&path),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
            Err(e) => Err(refused("removing", &path, &e)),
        }
    }

    pub(super) fn sync_above(&self, path: &Path) -> Result<(), Refusal> {
        let above = path.parent().unwrap_or(&self.folder);
        let synced = File::open(above).and_then(|folder| folder.sync_all());
        synced.map_err(|e| refused("syncing", above, &e))
    }

    /// Keeps a text under its version.
    pub(super) fn keep_text(&self, bytes: &[u8]) -> Result<Version, Refusal> {
        let version = Version::of(bytes);
        if self.text(&version)?.is_none() {
            self.write(&format!("texts/{version}"), bytes)?;
        }
        Ok(version)
    }

    /// A text that was kept; none when it is not there or no longer what it was.
    pub(super) fn text(&self, version: &Version) -> Result<Option<Vec<u8>>, Refusal> {
        let found = self.read(&format!("texts/{version}"))?;
        Ok(found.filter(|bytes| &Version::of(bytes) == version))
    }
}

/// Ending of files that are being written.
const PART: &str = ".part";

pub(super) fn refused(doing: &str, path: &Path, error: &io::Error) -> Refusal {
    Refusal::from_io(doing, &path.display().to_string(), error)
}
