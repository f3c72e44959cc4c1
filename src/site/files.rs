//! The files of a site while it is made: held in memory, or written at once to where the site will
//! stand, so that a large site needs no more memory than a small one.

use super::SiteError;
use super::earlier::Entry;
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
/// Many threads may add to it. What cannot be written is remembered and told by [`Files::settle`]: those who
/// add need not ask.
#[derive(Debug, Clone)]
pub(crate) struct Files {
    /// Where they are written; `None` while they are held.
    folder: Option<PathBuf>,
    /// The object that files are added for, if they are of one.
    object: Option<ObjectId>,
    /// Clones are of the same files.
    state: Arc<Mutex<State>>,
    /// What lies in the folder already.
    before: Arc<BTreeMap<String, Lying>>,
}

#[derive(Debug, Default)]
struct State {
    known: BTreeMap<String, Known>,
    folders: BTreeSet<PathBuf>,
    failed: Option<SiteError>,
}

/// What is known of a file.
#[derive(Debug)]
struct Known {
    bytes: usize,
    sha256: [u8; 32],
    /// The file itself, where it is not written.
    held: Option<Vec<u8>>,
    /// When it was written, nanoseconds since 1970.
    modified: u128,
    /// Whether it was written now, and did not lie there before.
    fresh: bool,
    /// Objects that it is of.
    objects: BTreeSet<ObjectId>,
}

/// A file that lies in the folder already.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lying {
    bytes: usize,
    sha256: [u8; 32],
    modified: u128,
}

impl Lying {
    pub(crate) fn of(entry: &Entry) -> Self {
        Self {
            bytes: entry.bytes,
            sha256: entry.sha256,
            modified: entry.modified,
        }
    }
}

/// All files when nothing more is added.
#[derive(Debug, Default)]
pub(crate) struct Settled {
    /// By object; one of several objects with each of them.
    pub(crate) objects: BTreeMap<ObjectId, Vec<Entry>>,
    /// Those of no object.
    pub(crate) whole: Vec<Entry>,
    /// Paths of those that were written.
    pub(crate) changed: Vec<String>,
    /// How many lie there as before.
    pub(crate) stood: usize,
    /// Paths of those that lie there and are no more of the site.
    pub(crate) gone: Vec<String>,
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
        Self::at(None, BTreeMap::new())
    }

    /// None yet; they will be written to this folder, where those lie that were there `before`.
    pub(crate) fn in_folder(folder: &Path, before: BTreeMap<String, Lying>) -> Self {
        Self::at(Some(folder.to_owned()), before)
    }

    fn at(folder: Option<PathBuf>, before: BTreeMap<String, Lying>) -> Self {
        Self {
            folder,
            object: None,
            state: Arc::default(),
            before: Arc::new(before),
        }
    }

    /// The same files; what is added is of this object.
    pub(crate) fn of_object(&self, object: &ObjectId) -> Self {
        Self {
            object: Some(object.clone()),
            ..self.clone()
        }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // Whoever panicked left no half of anything: each step below is one insertion.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Adds a file; one that was there is replaced.
    pub(crate) fn put(&self, path: &str, bytes: Vec<u8>) {
        let mut known = Known {
            bytes: bytes.len(),
            sha256: Sha256::digest(&bytes).into(),
            held: None,
            modified: 0,
            fresh: true,
            objects: self.object.iter().cloned().collect(),
        };
        let before = self.before.get(path);
        let mut failed = None;
        match &self.folder {
            None => known.held = Some(bytes),
            Some(_) if self.lies(path, &known) => {
                (known.fresh, known.modified) = (false, before.map_or(0, |entry| entry.modified));
            }
            Some(folder) => match self.write(folder, path, &bytes) {
                Ok(modified) => known.modified = modified,
                Err(error) => failed = Some(error),
            },
        }
        let mut state = self.state();
        if let Some(earlier) = state.known.remove(path) {
            known.objects.extend(earlier.objects);
        }
        state.known.insert(path.to_owned(), known);
        if let Some(error) = failed {
            state.failed.get_or_insert(error);
        }
    }

    /// Whether a file that lay there before is the same, and was not written over since.
    fn lies(&self, path: &str, new: &Known) -> bool {
        let same = |bytes, sha256: &[u8; 32]| bytes == new.bytes && *sha256 == new.sha256;
        let before = self.before.get(path);
        before.is_some_and(|entry| same(entry.bytes, &entry.sha256))
            && self
                .state()
                .known
                .get(path)
                .is_none_or(|known| !known.fresh)
    }

    /// Adds files of an object that lie there already.
    pub(crate) fn keep(&self, entries: &[Entry]) {
        let mut state = self.state();
        for entry in entries {
            let known = state.known.entry(entry.path.clone());
            let known = known.or_insert_with(|| Known {
                bytes: entry.bytes,
                sha256: entry.sha256,
                held: None,
                modified: entry.modified,
                fresh: false,
                objects: BTreeSet::new(),
            });
            known.objects.extend(self.object.iter().cloned());
        }
    }

    /// Tells that a file that was added is also of this object.
    pub(crate) fn share(&self, path: &str) {
        if let Some(known) = self.state().known.get_mut(path) {
            known.objects.extend(self.object.iter().cloned());
        }
    }

    /// Writes one; gives the time at which it was written.
    fn write(&self, root: &Path, name: &str, bytes: &[u8]) -> Result<u128, SiteError> {
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
            if self.before.contains_key(name) {
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
        self.state().known.contains_key(path)
    }

    /// What lists tell of a file.
    pub(crate) fn entry(&self, path: &str) -> Option<Listed> {
        let state = self.state();
        let known = state.known.get(path)?;
        Some(Listed {
            bytes: known.bytes,
            sha256: known.sha256,
        })
    }

    /// The bytes of a file that was added.
    pub(crate) fn bytes(&self, path: &str) -> Result<Option<Vec<u8>>, SiteError> {
        match (self.state().known.get(path), &self.folder) {
            (None, _) => return Ok(None),
            (Some(known), None) => return Ok(known.held.clone()),
            (Some(_), Some(_)) => {}
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

    /// All paths, in order.
    pub(crate) fn paths(&self) -> Vec<String> {
        self.state().known.keys().cloned().collect()
    }

    /// How many there are, and their bytes.
    pub(crate) fn count(&self) -> (usize, usize) {
        let state = self.state();
        let bytes = state.known.values().map(|k| k.bytes).sum();
        (state.known.len(), bytes)
    }

    /// All of them, when nothing more is added.
    ///
    /// # Errors
    /// The first file that could not be written.
    pub(crate) fn settle(&self) -> Result<Settled, SiteError> {
        let state = self.state();
        if let Some(error) = &state.failed {
            return Err(error.clone());
        }
        let mut all = Settled::default();
        for (path, known) in &state.known {
            let entry = Entry {
                path: path.clone(),
                bytes: known.bytes,
                sha256: known.sha256,
                modified: known.modified,
            };
            match known.fresh {
                true => all.changed.push(path.clone()),
                false => all.stood += 1,
            }
            for object in &known.objects {
                all.objects
                    .entry(object.clone())
                    .or_default()
                    .push(entry.clone());
            }
            if known.objects.is_empty() {
                all.whole.push(entry);
            }
        }
        let gone = self
            .before
            .keys()
            .filter(|path| !state.known.contains_key(*path));
        all.gone = gone.cloned().collect();
        Ok(all)
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
            Files::in_folder(place.path(), BTreeMap::new()),
        );
        for files in [&held, &written] {
            files.put("b/c/index.html", b"first".to_vec());
            files.put("b/c/index.html", b"second".to_vec());
            files.put("a", b"x".to_vec());
        }
        assert_eq!(held.paths(), ["a", "b/c/index.html"]);
        assert_eq!(held.paths(), written.paths());
        assert_eq!((held.count(), written.count()), ((2, 7), (2, 7)));
        for path in held.paths() {
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
        written.settle().unwrap();
    }

    #[test]
    fn the_first_that_cannot_be_written_is_told_at_the_end() {
        let place = tempfile::tempdir().unwrap();
        let files = Files::in_folder(place.path(), BTreeMap::new());
        files.put("a", b"a file where a folder is wanted".to_vec());
        files.put("a/index.html", b"page".to_vec());
        let told = files.settle().unwrap_err().to_string();
        assert!(
            told.contains("a/index.html") || told.contains("making"),
            "{told}"
        );
    }
}
