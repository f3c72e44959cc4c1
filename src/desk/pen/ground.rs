//! The content folder, reached step by step through open folders: a symbolic link on the way is
//! refused by the system at the moment of opening, so none can be slipped in between a look and
//! an act.

use super::inside::folded;
use super::{Inside, Refusal};
use rustix::fs::{self, AtFlags, FileType, Mode, OFlags};
use rustix::io::Errno;
use std::fs::File;
use std::io::{self, Read};
use std::os::fd::OwnedFd;
use std::path::{Path, PathBuf};

/// The content folder, held open.
#[derive(Debug)]
pub(super) struct Ground {
    root: OwnedFd,
    path: PathBuf,
}

/// A name in an open folder.
#[derive(Debug)]
pub(super) struct Spot {
    pub(super) dir: OwnedFd,
    pub(super) name: String,
    /// The path, for sentences.
    pub(super) path: String,
}

const FOLDER: OFlags = OFlags::RDONLY
    .union(OFlags::DIRECTORY)
    .union(OFlags::NOFOLLOW)
    .union(OFlags::CLOEXEC);

impl Ground {
    pub(super) fn open(path: &Path) -> Result<Self, Refusal> {
        let shown = path.display().to_string();
        let path = path
            .canonicalize()
            .map_err(|e| Refusal::from_io("opening the content folder", &shown, &e))?;
        let root = fs::open(&path, FOLDER, Mode::empty())
            .map_err(|e| failed("opening the content folder", &shown, e))?;
        Ok(Self { root, path })
    }

    /// A folder that was put in another's place while the desk was open is not the one that was
    /// opened: what is written there now would be lost from sight.
    fn root(&self) -> Result<OwnedFd, Refusal> {
        let shown = self.path.display().to_string();
        let now = fs::open(&self.path, FOLDER, Mode::empty())
            .map_err(|e| failed("opening the content folder", &shown, e))?;
        let same = |a: &fs::Stat, b: &fs::Stat| a.st_dev == b.st_dev && a.st_ino == b.st_ino;
        match (fs::fstat(&self.root), fs::fstat(&now)) {
            (Ok(held), Ok(there)) if same(&held, &there) => Ok(now),
            _ => Err(Refusal::Failed {
                doing: format!("opening the content folder {shown}"),
                cause: "it was moved or replaced; start the desk again".to_owned(),
            }),
        }
    }

    /// The folder at these steps; none when one of them is missing.
    fn folder(&self, steps: &[&str]) -> Result<Option<OwnedFd>, Refusal> {
        let mut at = self.root()?;
        for (i, step) in steps.iter().enumerate() {
            match fs::openat(&at, *step, FOLDER, Mode::empty()) {
                Ok(next) => at = next,
                Err(Errno::NOENT) => return Ok(None),
                Err(e) => return Err(not_a_folder(&at, step, &steps[..=i].join("/"), e)),
            }
        }
        Ok(Some(at))
    }

    /// Where a path leads, if the folder that holds it is there.
    pub(super) fn spot(&self, inside: &Inside) -> Result<Option<Spot>, Refusal> {
        let steps = inside.steps();
        let dir = self.folder(&steps[..steps.len() - 1])?;
        Ok(dir.map(|dir| Spot {
            dir,
            name: inside.name().to_owned(),
            path: inside.as_str().to_owned(),
        }))
    }

    /// Where a path leads; folders on the way are made.
    pub(super) fn made_spot(&self, inside: &Inside) -> Result<Spot, Refusal> {
        let steps = inside.steps();
        let (mut at, last) = (self.root()?, steps.len() - 1);
        for (i, step) in steps[..last].iter().enumerate() {
            let path = steps[..=i].join("/");
            match fs::mkdirat(&at, *step, Mode::from_raw_mode(0o777)) {
                Ok(()) => sync_folder(&at, &path)?,
                Err(Errno::EXIST) => {}
                Err(e) => return Err(failed("making", &path, e)),
            }
            at = fs::openat(&at, *step, FOLDER, Mode::empty())
                .map_err(|e| not_a_folder(&at, step, &path, e))?;
        }
        Ok(Spot {
            dir: at,
            name: inside.name().to_owned(),
            path: inside.as_str().to_owned(),
        })
    }

    /// Which folders above a path are missing, outermost first. Names that some systems would take
    /// for one that is there are refused, the last name's too.
    pub(super) fn missing_above(&self, inside: &Inside) -> Result<Vec<String>, Refusal> {
        let steps = inside.steps();
        let mut at = self.root()?;
        for (i, step) in steps.iter().enumerate() {
            let path = steps[..=i].join("/");
            no_other_like_it(&at, step, &path)?;
            if i + 1 == steps.len() {
                break;
            }
            match fs::openat(&at, *step, FOLDER, Mode::empty()) {
                Ok(next) => at = next,
                Err(Errno::NOENT) => {
                    return Ok(inside.ancestors()[i..]
                        .iter()
                        .map(|p| (*p).to_owned())
                        .collect());
                }
                Err(e) => return Err(not_a_folder(&at, step, &path, e)),
            }
        }
        Ok(Vec::new())
    }

    /// The bytes of a file; none when there is no such file. Only plain files are read.
    pub(super) fn read(&self, inside: &Inside, most: u64) -> Result<Option<Vec<u8>>, Refusal> {
        match self.spot(inside)? {
            Some(spot) => spot.read(&spot.name, most),
            None => Ok(None),
        }
    }

    /// Removes a folder if nothing is in it.
    pub(super) fn remove_if_empty(&self, path: &str) -> Result<(), Refusal> {
        let Some(spot) = self.spot(&Inside::folder(path)?)? else {
            return Ok(());
        };
        match fs::unlinkat(&spot.dir, &spot.name, AtFlags::REMOVEDIR) {
            Ok(()) => sync_folder(&spot.dir, path),
            // Someone has put something there, or took it away already: theirs to decide.
            Err(Errno::NOTEMPTY | Errno::EXIST | Errno::NOENT | Errno::NOTDIR) => Ok(()),
            Err(e) => Err(failed("removing", path, e)),
        }
    }
}

impl Spot {
    /// What kind of thing has this name here; none when there is nothing.
    pub(super) fn kind(&self, name: &str) -> Result<Option<FileType>, Refusal> {
        match fs::statat(&self.dir, name, AtFlags::SYMLINK_NOFOLLOW) {
            Ok(found) => Ok(Some(FileType::from_raw_mode(found.st_mode))),
            Err(Errno::NOENT) => Ok(None),
            Err(e) => Err(failed("looking at", &self.path, e)),
        }
    }

    /// Opens a plain file of this folder.
    pub(super) fn open(&self, name: &str) -> Result<Option<File>, Refusal> {
        // Without NONBLOCK a pipe of that name would hold us for ever.
        let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::CLOEXEC | OFlags::NONBLOCK;
        let file = match fs::openat(&self.dir, name, flags, Mode::empty()) {
            Ok(file) => file,
            Err(Errno::NOENT) => return Ok(None),
            Err(Errno::LOOP | Errno::MLINK | Errno::NXIO) => return Err(self.link()),
            Err(e) => return Err(failed("opening", &self.path, e)),
        };
        let found = fs::fstat(&file).map_err(|e| failed("looking at", &self.path, e))?;
        match FileType::from_raw_mode(found.st_mode) {
            FileType::RegularFile => Ok(Some(File::from(file))),
            FileType::Directory => Err(Refusal::Taken {
                path: self.path.clone(),
                by: self.path.clone(),
            }),
            _ => Err(self.link()),
        }
    }

    /// The bytes of a plain file of this folder.
    pub(super) fn read(&self, name: &str, most: u64) -> Result<Option<Vec<u8>>, Refusal> {
        let Some(file) = self.open(name)? else {
            return Ok(None);
        };
        let mut bytes = Vec::new();
        file.take(most + 1)
            .read_to_end(&mut bytes)
            .map_err(|e| Refusal::from_io("reading", &self.path, &e))?;
        if bytes.len() as u64 > most {
            return Err(Refusal::TooLarge {
                path: self.path.clone(),
                most,
            });
        }
        Ok(Some(bytes))
    }

    /// A new file of this name in this folder, with the rights of the file that it will replace.
    pub(super) fn create(&self, name: &str) -> Result<File, Refusal> {
        let flags =
            OFlags::WRONLY | OFlags::CREATE | OFlags::EXCL | OFlags::NOFOLLOW | OFlags::CLOEXEC;
        let file = fs::openat(&self.dir, name, flags, Mode::from_raw_mode(0o666))
            .map_err(|e| failed("making a file beside", &self.path, e))?;
        if let Ok(found) = fs::statat(&self.dir, &self.name, AtFlags::SYMLINK_NOFOLLOW)
            && FileType::from_raw_mode(found.st_mode) == FileType::RegularFile
        {
            fs::fchmod(&file, Mode::from_raw_mode(found.st_mode & 0o7777))
                .map_err(|e| failed("keeping the rights of", &self.path, e))?;
        }
        Ok(File::from(file))
    }

    /// Removes a file of this folder, if it is there.
    pub(super) fn remove(&self, name: &str) -> Result<(), Refusal> {
        match fs::unlinkat(&self.dir, name, AtFlags::empty()) {
            Ok(()) | Err(Errno::NOENT) => Ok(()),
            Err(e) => Err(failed("removing a file beside", &self.path, e)),
        }
    }

    /// Renames within this folder, never over anything. Whether the new name was free.
    pub(super) fn rename_to_free(&self, from: &str, to: &str) -> Result<bool, Refusal> {
        move_to_free(&self.dir, from, &self.dir, to)
            .map_err(|e| failed("putting in place", &self.path, e))
    }

    /// Lets two files of this folder change places, or reports that this system cannot.
    pub(super) fn exchange(&self, a: &str, b: &str) -> Result<Exchanged, Refusal> {
        match exchange(&self.dir, a, b) {
            Ok(()) => Ok(Exchanged::Yes),
            Err(Errno::NOENT) => Ok(Exchanged::Gone),
            Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) => Ok(Exchanged::Cannot),
            Err(e) => Err(failed("putting in place", &self.path, e)),
        }
    }

    /// Puts one file over another: only where files cannot be exchanged.
    pub(super) fn rename_over(&self, from: &str, to: &str) -> Result<(), Refusal> {
        fs::renameat(&self.dir, from, &self.dir, to)
            .map_err(|e| failed("putting in place", &self.path, e))
    }

    pub(super) fn sync(&self) -> Result<(), Refusal> {
        sync_folder(&self.dir, &self.path)
    }

    pub(super) fn link(&self) -> Refusal {
        Refusal::Link {
            path: self.path.clone(),
        }
    }
}

/// How two files changed places.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Exchanged {
    Yes,
    /// One of them was not there.
    Gone,
    /// This file system cannot do it in one step.
    Cannot,
}

/// Moves to a name that must be free. Whether it was.
pub(super) fn move_to_free(
    from: &OwnedFd,
    name: &str,
    to: &OwnedFd,
    new: &str,
) -> Result<bool, Errno> {
    match rename_no_replace(from, name, to, new) {
        Ok(()) => Ok(true),
        Err(Errno::EXIST | Errno::NOTEMPTY) => Ok(false),
        Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) => {
            // A second name fails where the name is taken; folders, and file systems without
            // second names, are looked at first.
            match fs::linkat(from, name, to, new, AtFlags::empty()) {
                Ok(()) => fs::unlinkat(from, name, AtFlags::empty()).map(|()| true),
                Err(Errno::EXIST) => Ok(false),
                Err(Errno::XDEV) => Err(Errno::XDEV),
                Err(_) => match fs::statat(to, new, AtFlags::SYMLINK_NOFOLLOW) {
                    Ok(_) => Ok(false),
                    Err(Errno::NOENT) => fs::renameat(from, name, to, new).map(|()| true),
                    Err(e) => Err(e),
                },
            }
        }
        Err(e) => Err(e),
    }
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn rename_no_replace(from: &OwnedFd, name: &str, to: &OwnedFd, new: &str) -> Result<(), Errno> {
    fs::renameat_with(from, name, to, new, fs::RenameFlags::NOREPLACE)
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn rename_no_replace(_: &OwnedFd, _: &str, _: &OwnedFd, _: &str) -> Result<(), Errno> {
    Err(Errno::NOSYS)
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn exchange(dir: &OwnedFd, a: &str, b: &str) -> Result<(), Errno> {
    fs::renameat_with(dir, a, dir, b, fs::RenameFlags::EXCHANGE)
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn exchange(_: &OwnedFd, _: &str, _: &str) -> Result<(), Errno> {
    Err(Errno::NOSYS)
}

pub(super) fn failed(doing: &str, path: &str, error: Errno) -> Refusal {
    Refusal::from_io(doing, path, &io::Error::from(error))
}

/// Makes names in a folder last through a loss of power.
pub(super) fn sync_folder(dir: &OwnedFd, path: &str) -> Result<(), Refusal> {
    fs::fsync(dir).map_err(|e| failed("syncing the folder of", path, e))
}

/// What to say of a step that could not be opened as a folder.
fn not_a_folder(at: &OwnedFd, step: &str, path: &str, error: Errno) -> Refusal {
    match fs::statat(at, step, AtFlags::SYMLINK_NOFOLLOW)
        .map(|s| FileType::from_raw_mode(s.st_mode))
    {
        Ok(FileType::RegularFile) => Refusal::Taken {
            path: format!("The folder {path}"),
            by: format!("the file {path}"),
        },
        Ok(FileType::Directory) | Err(_) => failed("opening", path, error),
        Ok(_) => Refusal::Link {
            path: path.to_owned(),
        },
    }
}

/// Refuses a name when another one stands here that some systems take for the same.
fn no_other_like_it(dir: &OwnedFd, name: &str, path: &str) -> Result<(), Refusal> {
    let wanted = folded(name);
    let entries =
        fs::Dir::read_from(dir).map_err(|e| failed("looking into the folder of", path, e))?;
    for entry in entries {
        let entry = entry.map_err(|e| failed("looking into the folder of", path, e))?;
        let Ok(there) = entry.file_name().to_str() else {
            continue;
        };
        if there != name && folded(there) == wanted {
            let above = path
                .rsplit_once('/')
                .map_or(String::new(), |(a, _)| format!("{a}/"));
            return Err(Refusal::Taken {
                path: path.to_owned(),
                by: format!("{above}{there}"),
            });
        }
    }
    Ok(())
}
