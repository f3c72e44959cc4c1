//! How files and folders look from outside, asked of many below one folder.

use super::Stamp;
use std::fs;
use std::io;
use std::path::Path;

/// How a file or folder looks from outside.
#[derive(Clone, Copy)]
pub(super) struct Looks {
    pub(super) kind: Looking,
    pub(super) stamp: Stamp,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Looking {
    File,
    Folder,
    /// What leads elsewhere, or is no file at all.
    Other,
}

/// A folder below which many are looked at: where the system has a way from an open folder, not each time from
/// the root of all.
pub(super) struct Root {
    #[cfg(unix)]
    folder: fs::File,
    #[cfg(not(unix))]
    folder: std::path::PathBuf,
}

#[cfg(unix)]
impl Root {
    pub(super) fn open(folder: &Path) -> io::Result<Self> {
        let folder = fs::File::open(folder)?;
        Ok(Self { folder })
    }

    /// A path that ends in `/` is a folder's; the folder itself has none.
    pub(super) fn look(&self, path: &str) -> io::Result<Looks> {
        use rustix::fs::{AtFlags, FileType, statat};
        let path = match path.trim_end_matches('/') {
            "" => ".",
            path => path,
        };
        let found = statat(&self.folder, path, AtFlags::SYMLINK_NOFOLLOW)?;
        let kind = match FileType::from_raw_mode(found.st_mode) {
            FileType::RegularFile => Looking::File,
            FileType::Directory => Looking::Folder,
            _ => Looking::Other,
        };
        let stamp = Stamp {
            bytes: u64::try_from(found.st_size).unwrap_or(0),
            modified: time(found.st_mtime, found.st_mtime_nsec),
            changed: time(found.st_ctime, found.st_ctime_nsec),
            inode: found.st_ino,
        };
        Ok(Looks { kind, stamp })
    }
}

/// Nanoseconds since 1970; systems count seconds and what is beyond them in different numbers.
#[cfg(unix)]
fn time(seconds: impl TryInto<u64>, beyond: impl TryInto<u64>) -> u64 {
    let seconds = seconds.try_into().unwrap_or(0);
    let nanoseconds = seconds.saturating_mul(1_000_000_000);
    nanoseconds.saturating_add(beyond.try_into().unwrap_or(0))
}

#[cfg(not(unix))]
impl Root {
    pub(super) fn open(folder: &Path) -> io::Result<Self> {
        let folder = folder.to_owned();
        Ok(Self { folder })
    }

    pub(super) fn look(&self, path: &str) -> io::Result<Looks> {
        let found = fs::symlink_metadata(self.folder.join(path))?;
        let kind = match (found.is_file(), found.is_dir()) {
            (true, _) => Looking::File,
            (_, true) => Looking::Folder,
            _ => Looking::Other,
        };
        Ok(Looks {
            kind,
            stamp: Stamp::of(&found),
        })
    }
}
