//! The files of a site while it is made: held in memory, or written at once to where the site will
//! stand, so that a large site needs no more memory than a small one.

mod before;
mod settled;

pub(crate) use before::Before;
pub(crate) use settled::Settled;

use super::SiteError;
use super::earlier::{Entry, Mark};
use crate::record::ObjectId;
use sha2::{Digest, Sha256};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Files by their path relative to the root of the site, `/` between steps.
///
/// Many threads may add to it. What cannot be written is remembered and told by [`Files::fault`]: those who
/// add need not ask.
#[derive(Debug, Clone)]
pub(crate) struct Files {
    /// Where they are written; `None` while they are held.
    folder: Option<PathBuf>,
    /// The number of the object that files are added for, if they are of one.
    object: Option<u32>,
    /// Clones are of the same files.
    state: Arc<Mutex<State>>,
    /// What lies in the folder already.
    before: Arc<Before>,
}

#[derive(Debug, Default)]
struct State {
    /// Those that were added.
    known: BTreeMap<String, Known>,
    folders: BTreeSet<PathBuf>,
    failed: Option<SiteError>,
}

/// What is known of a file that was added.
#[derive(Debug)]
struct Known {
    bytes: usize,
    sha256: [u8; 32],
    /// The file itself, where it is not written.
    held: Option<Vec<u8>>,
    /// When it was written, nanoseconds since 1970.
    modified: u64,
    /// Whether it was written now, and did not lie there before.
    fresh: bool,
    /// Digest of the model that it was made of, where that is kept.
    model: Option<Mark>,
    /// Numbers of the objects that it is of.
    of: BTreeSet<u32>,
}

impl Known {
    /// One that lies there already.
    fn lying(entry: Entry, model: Option<Mark>, object: Option<u32>) -> Self {
        Self {
            bytes: entry.bytes,
            sha256: entry.sha256,
            held: None,
            modified: entry.modified,
            fresh: false,
            model,
            of: object.into_iter().collect(),
        }
    }
}

/// A file as lists tell of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Listed {
    /// Its length.
    pub(crate) bytes: usize,
    /// Its digest.
    pub(crate) sha256: [u8; 32],
}

impl Files {
    /// None yet; they will be held in memory.
    pub(crate) fn held() -> Self {
        Self::at(None, Before::default())
    }

    /// Those that stay of what was there `before`; more will be written to this folder.
    pub(crate) fn in_folder(folder: &Path, before: Before) -> Self {
        Self::at(Some(folder.to_owned()), before)
    }

    fn at(folder: Option<PathBuf>, before: Before) -> Self {
        Self {
            folder,
            object: None,
            state: Arc::default(),
            before: Arc::new(before),
        }
    }

    /// The same files; what is added is of this object.
    pub(crate) fn of_object(&self, object: &ObjectId) -> Self {
        let number = self.before.objects.binary_search(object).ok();
        Self {
            object: number.and_then(|number| u32::try_from(number).ok()),
            ..self.clone()
        }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // Whoever panicked left no half of anything: each step below is one insertion.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Adds a file; one that was there is replaced.
    pub(crate) fn put(&self, path: &str, bytes: Vec<u8>) {
        self.add(path, bytes, None);
    }

    /// The same of a page, with the digest of the model that it was made of.
    pub(crate) fn put_made_of(&self, path: &str, model: Mark, bytes: Vec<u8>) {
        self.add(path, bytes, Some(model));
    }

    fn add(&self, path: &str, bytes: Vec<u8>, model: Option<Mark>) {
        let mut known = Known {
            bytes: bytes.len(),
            sha256: Sha256::digest(&bytes).into(),
            held: None,
            modified: 0,
            fresh: true,
            model,
            of: self.object.into_iter().collect(),
        };
        let mut failed = None;
        match (&self.folder, self.lying(path, &known)) {
            (None, _) => known.held = Some(bytes),
            (Some(_), Some(entry)) => (known.fresh, known.modified) = (false, entry.modified),
            (Some(folder), None) => match self.write(folder, path, &bytes) {
                Ok(modified) => known.modified = modified,
                Err(error) => failed = Some(error),
            },
        }
        let mut state = self.state();
        if let Some(earlier) = state.known.remove(path) {
            known.of.extend(earlier.of);
        }
        state.known.insert(path.to_owned(), known);
        if let Some(error) = failed {
            state.failed.get_or_insert(error);
        }
    }

    /// A file that lay there before, if it is the same, and was not written over since.
    fn lying(&self, path: &str, new: &Known) -> Option<Entry> {
        let before = self.before.get(path);
        let same = before.filter(|e| e.bytes == new.bytes && e.sha256 == new.sha256);
        same.filter(|_| {
            self.state()
                .known
                .get(path)
                .is_none_or(|known| !known.fresh)
        })
    }

    /// Adds a page that lies there already, if it was made of the same model; whether it does.
    pub(crate) fn stands_made_of(&self, path: &str, model: &Mark) -> bool {
        let lying = &self.before.files;
        if !self.before.models_hold || lying.model(path).as_ref() != Some(model) {
            return false;
        }
        let Some(entry) = lying.get(path) else {
            return false;
        };
        let mut state = self.state();
        if state.known.contains_key(path) {
            return false;
        }
        let known = Known::lying(entry, Some(*model), self.object);
        state.known.insert(path.to_owned(), known);
        true
    }

    /// Tells that a file that was added or stays is also of this object.
    pub(crate) fn share(&self, path: &str) {
        let Some(object) = self.object else { return };
        let mut state = self.state();
        if let Some(known) = state.known.get_mut(path) {
            known.of.insert(object);
        } else if let Some(entry) = self.before.staying(path) {
            let model = self.before.files.model(path);
            let known = Known::lying(entry, model, Some(object));
            state.known.insert(path.to_owned(), known);
        }
    }

    /// Writes one; gives the time at which it was written.
    fn write(&self, root: &Path, name: &str, bytes: &[u8]) -> Result<u64, SiteError> {
        let path = root.join(name);
        let failed = |doing, path: &Path, e| Err(super::write::failed(doing, path, e));
        if let Some(folder) = path.parent()
            && !self.state().folders.contains(folder)
        {
            if let Err(e) = fs::create_dir_all(folder) {
                return failed("making", folder, e);
            }
            self.state().folders.insert(folder.to_owned());
        }
        let write = || {
            // The one that lies there is the same on the disk as that of the site that stands.
            if self.before.get(name).is_some() {
                fs::remove_file(&path).or_else(|e| match e.kind() {
                    io::ErrorKind::NotFound => Ok(()),
                    _ => Err(e),
                })?;
            }
            let mut file = fs::File::create(&path)?;
            file.write_all(bytes)?;
            Ok(super::earlier::modified(&file.metadata()?))
        };
        write().or_else(|e| failed("writing", &path, e))
    }

    /// Whether there is such a file.
    pub(crate) fn contains(&self, path: &str) -> bool {
        self.entry(path).is_some()
    }

    /// What lists tell of a file.
    pub(crate) fn entry(&self, path: &str) -> Option<Listed> {
        if let Some(known) = self.state().known.get(path) {
            return Some(Listed {
                bytes: known.bytes,
                sha256: known.sha256,
            });
        }
        self.before.staying(path).map(|entry| Listed {
            bytes: entry.bytes,
            sha256: entry.sha256,
        })
    }

    /// The bytes of a file that was added or stays.
    pub(crate) fn bytes(&self, path: &str) -> Result<Option<Vec<u8>>, SiteError> {
        match (self.state().known.get(path), &self.folder) {
            (None, _) if self.before.staying(path).is_none() => return Ok(None),
            (known, None) => return Ok(known.and_then(|known| known.held.clone())),
            (_, Some(_)) => {}
        }
        let path = self.folder.as_deref().unwrap_or(Path::new("")).join(path);
        let read = fs::read(&path).map_err(|e| super::write::failed("reading", &path, e));
        read.map(Some)
    }

    /// A file as text; what is no UTF-8 in it is replaced.
    pub(crate) fn text(&self, path: &str) -> Result<String, SiteError> {
        let bytes = self.bytes(path)?.unwrap_or_default();
        Ok(match String::from_utf8_lossy(&bytes) {
            Cow::Borrowed(text) => text.to_owned(),
            Cow::Owned(text) => text,
        })
    }

    /// Paths that are wanted, in order.
    pub(crate) fn paths(&self, wanted: impl Fn(&str) -> bool) -> BTreeSet<String> {
        self.paths_from("", |_| true, wanted)
    }

    /// Paths that begin so, in order.
    pub(crate) fn below(&self, beginning: &str) -> BTreeSet<String> {
        self.paths_from(beginning, |path| path.starts_with(beginning), |_| true)
    }

    /// Wanted paths, from the first that is not before `first`, until one is `beyond` those looked for.
    fn paths_from(
        &self,
        first: &str,
        within: impl Fn(&str) -> bool,
        wanted: impl Fn(&str) -> bool,
    ) -> BTreeSet<String> {
        let stay = self.before.files.from(first);
        let stay = stay.take_while(|(path, _)| within(path));
        let stay = stay.filter(|(path, entry)| entry.is_of_an_object() && wanted(path));
        let mut all: BTreeSet<String> = stay.map(|(path, _)| path.to_owned()).collect();
        let state = self.state();
        let known = state.known.range(first.to_owned()..).map(|(path, _)| path);
        let known = known.take_while(|path| within(path));
        all.extend(known.filter(|path| wanted(path)).cloned());
        all
    }

    /// How many there are, and their bytes.
    pub(crate) fn count(&self) -> (usize, usize) {
        let state = self.state();
        let stay = self.before.files.iter();
        let stay = stay.filter(|(path, e)| e.is_of_an_object() && !state.known.contains_key(*path));
        let stay = stay.map(|(_, entry)| entry.bytes);
        let all = state.known.values().map(|known| known.bytes).chain(stay);
        all.fold((0, 0), |(files, sum), bytes| (files + 1, sum + bytes))
    }

    /// Tells what could not be written.
    ///
    /// # Errors
    /// The first file that could not be written.
    pub(crate) fn fault(&self) -> Result<(), SiteError> {
        self.state().failed.clone().map_or(Ok(()), Err)
    }

    /// The files themselves, where they are held.
    pub(crate) fn into_held(self) -> BTreeMap<String, Vec<u8>> {
        let held = std::mem::take(&mut self.state().known).into_iter();
        held.filter_map(|(path, known)| Some((path, known.held?)))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn held_or_written_they_are_the_same() {
        let place = tempfile::tempdir().unwrap();
        let (held, written) = (
            Files::held(),
            Files::in_folder(place.path(), Before::default()),
        );
        for files in [&held, &written] {
            files.put("b/c/index.html", b"first".to_vec());
            files.put("b/c/index.html", b"second".to_vec());
            files.put("a", b"x".to_vec());
        }
        let paths = |files: &Files| files.paths(|_| true);
        assert!(paths(&held).iter().eq(["a", "b/c/index.html"]));
        assert_eq!(paths(&held), paths(&written));
        assert_eq!((held.count(), written.count()), ((2, 7), (2, 7)));
        for path in paths(&held) {
            assert_eq!(held.entry(&path), written.entry(&path));
            assert_eq!(held.bytes(&path), written.bytes(&path));
        }
        // FIPS 180-4, the digest of "abc", as its examples have it.
        held.put("abc", b"abc".to_vec());
        let digest = held.entry("abc").unwrap().sha256;
        assert_eq!(digest[..4], [0xba, 0x78, 0x16, 0xbf]);
        assert_eq!(held.into_held()["b/c/index.html"], b"second");
        assert_eq!(
            fs::read(place.path().join("b/c/index.html")).unwrap(),
            b"second"
        );
        assert_eq!(written.settle().unwrap().files.len(), 2);
    }

    #[test]
    fn the_first_that_cannot_be_written_is_told_at_the_end() {
        let place = tempfile::tempdir().unwrap();
        let files = Files::in_folder(place.path(), Before::default());
        files.put("a", b"a file where a folder is wanted".to_vec());
        files.put("a/index.html", b"page".to_vec());
        let told = files.fault().unwrap_err().to_string();
        assert!(files.settle().is_err());
        assert!(
            told.contains("a/index.html") || told.contains("making"),
            "{told}"
        );
    }
}
