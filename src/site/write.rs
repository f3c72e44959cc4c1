//! The whole site or nothing: built beside the target, synced, swapped in by one rename.
//!
//! Beside the target `NAME` stands a folder `.NAME.counterpart`. It holds the lock (two runs at once are
//! refused; see [`super::workbench`]), `next/` (the site being written; between two runs, see [`super::earlier`]) and, for a moment,
//! `previous/`. A run that dies leaves the target as it was; the next run clears what it left.
//! A folder that does not carry our mark is never replaced or removed.

use super::SiteError;
use super::earlier::RECORDS;
use super::workbench::{Workbench, clear, sync_all};
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// The file that marks a folder as a site written by this program.
pub const MARK: &str = ".counterpart-site";
/// The file beside a site that tells what it was made from.
pub(crate) const LEDGER: &str = "ledger";
/// The ledger while it is written.
pub(crate) const DRAFT: &str = "ledger.part";
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
            self.forget()?;
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

impl Place {
    /// Takes away what is known of records, and what of it and of the ledger was not finished.
    fn forget(&self) -> Result<(), SiteError> {
        let beside = Path::new(RECORDS).with_extension("part");
        for name in [Path::new(RECORDS), &beside, Path::new(DRAFT)] {
            let path = self.bench.folder.join(name);
            match fs::remove_file(&path) {
                Err(e) if e.kind() != io::ErrorKind::NotFound => {
                    return Err(failed("removing", &path, e));
                }
                _ => {}
            }
        }
        Ok(())
    }
}

impl Drop for Place {
    /// A site that was not finished leaves nothing behind.
    fn drop(&mut self) {
        if !self.keep {
            // What cannot be cleared now is cleared by the next run.
            let _ = fs::remove_dir_all(self.next());
            let _ = self.forget();
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
    /// The folder beside the site.
    pub(crate) fn bench(&self) -> PathBuf {
        self.place.bench().to_owned()
    }

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::files::{Before, Files};

    /// Publishes a site of two pages, one of which says `text`.
    fn replace(target: &Path, text: &str) -> Result<(), SiteError> {
        let next = Place::claim(target)?.start(false)?;
        let files = Files::in_folder(next.folder(), Before::default());
        files.put("index.html", text.as_bytes().to_vec());
        files.put("a/b/index.html", b"deep".to_vec());
        files.fault()?;
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
