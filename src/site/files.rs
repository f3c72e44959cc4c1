//! The files of a site while it is made: held in memory, or written at once to where the site will
//! stand, so that a large site needs no more memory than a small one.

use super::SiteError;
use sha2::{Digest, Sha256};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Files by their path relative to the root of the site, `/` between steps.
///
/// Many threads may add to it. What cannot be written is remembered and told by [`Files::done`]: those who
/// add need not ask.
#[derive(Debug, Clone)]
pub(crate) struct Files {
    /// Where they are written; `None` while they are held.
    folder: Option<PathBuf>,
    /// Clones are of the same files.
    state: Arc<Mutex<State>>,
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
}

/// A file as lists tell of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Entry {
    /// Its length.
    pub(crate) bytes: usize,
    /// Its digest.
    pub(crate) sha256: [u8; 32],
}

impl Files {
    /// None yet; they will be held in memory.
    pub(crate) fn held() -> Self {
        Self::at(None)
    }

    /// None yet; they will be written to this folder, which is there and empty.
    pub(crate) fn in_folder(folder: &Path) -> Self {
        Self::at(Some(folder.to_owned()))
    }

    fn at(folder: Option<PathBuf>) -> Self {
        Self {
            folder,
            state: Arc::default(),
        }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // Whoever panicked left no half of anything: each step below is one insertion.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Adds a file; one that was there is replaced.
    pub(crate) fn put(&self, path: &str, bytes: Vec<u8>) {
        let known = Known {
            bytes: bytes.len(),
            sha256: Sha256::digest(&bytes).into(),
            held: None,
        };
        let Some(folder) = &self.folder else {
            let held = Some(bytes);
            self.state()
                .known
                .insert(path.to_owned(), Known { held, ..known });
            return;
        };
        let written = self.write(folder, path, &bytes);
        let mut state = self.state();
        state.known.insert(path.to_owned(), known);
        if let Err(error) = written {
            state.failed.get_or_insert(error);
        }
    }

    fn write(&self, root: &Path, name: &str, bytes: &[u8]) -> Result<(), SiteError> {
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
        fs::write(&path, bytes).or_else(|e| failed("writing", &path, e))
    }

    /// Whether there is such a file.
    pub(crate) fn contains(&self, path: &str) -> bool {
        self.state().known.contains_key(path)
    }

    /// What lists tell of a file.
    pub(crate) fn entry(&self, path: &str) -> Option<Entry> {
        let state = self.state();
        let known = state.known.get(path)?;
        Some(Entry {
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

    /// Whether all could be written so far.
    ///
    /// # Errors
    /// The first file that could not.
    pub(crate) fn done(&self) -> Result<(), SiteError> {
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
        let (held, written) = (Files::held(), Files::in_folder(place.path()));
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
        written.done().unwrap();
    }

    #[test]
    fn the_first_that_cannot_be_written_is_told_at_the_end() {
        let place = tempfile::tempdir().unwrap();
        let files = Files::in_folder(place.path());
        files.put("a", b"a file where a folder is wanted".to_vec());
        files.put("a/index.html", b"page".to_vec());
        let told = files.done().unwrap_err().to_string();
        assert!(
            told.contains("a/index.html") || told.contains("making"),
            "{told}"
        );
    }
}
