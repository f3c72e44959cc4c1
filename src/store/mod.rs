//! A content-addressed store for results that are dear to make: safe to delete at any time.
//!
//! A key is the BLAKE3 digest of everything that the result depends on, the version of the
//! method included, so a stored result is never stale. Each file begins with the digest of its
//! own payload: a damaged or half-written file is recognised and made anew.

mod rooms;

pub(crate) use rooms::{Rooms, of_several, sweep};

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Length of the digest in front of a payload, bytes.
const DIGEST: usize = blake3::OUT_LEN;

/// A folder of stored results, or none.
#[derive(Debug, Clone, Default)]
pub struct Store {
    folder: Option<PathBuf>,
    /// What the rooms of one store have in common.
    run: Arc<Mutex<Run>>,
}

/// What is known of a store in one run.
#[derive(Debug, Default)]
struct Run {
    /// The first result that could not be kept.
    failed: Option<String>,
    /// Where results were found or put, by their names: two objects may have the same model.
    seen: BTreeMap<String, PathBuf>,
}

/// What a result depends on, fed piece by piece.
#[derive(Debug, Clone)]
pub struct Key(blake3::Hasher);

impl Key {
    /// Begins a key for one method. Change `method` whenever its output would change.
    pub fn of(method: &str) -> Self {
        Self(blake3::Hasher::new()).and(method.as_bytes())
    }

    /// Adds one input. Its length goes in first, so that no two lists of inputs run together.
    #[must_use]
    pub fn and(mut self, input: &[u8]) -> Self {
        self.0.update(&(input.len() as u64).to_le_bytes());
        self.0.update(input);
        self
    }

    fn name(&self) -> String {
        self.0.finalize().to_hex().to_string()
    }
}

impl Store {
    /// Opens (and makes, when missing) the store in this folder.
    pub fn open(folder: &Path) -> io::Result<Self> {
        fs::create_dir_all(folder)?;
        Ok(Self {
            folder: Some(folder.to_owned()),
            run: Arc::default(),
        })
    }

    /// A store that keeps nothing.
    pub fn none() -> Self {
        Self::default()
    }

    /// The stored result, or else what `make` gives, which is then stored.
    ///
    /// A store that cannot be written does not stop the work: the result is simply not kept.
    pub fn or_make<E>(
        &self,
        key: &Key,
        make: impl FnOnce() -> Result<Vec<u8>, E>,
    ) -> Result<Vec<u8>, E> {
        let Some(folder) = &self.folder else {
            return make();
        };
        let name = key.name();
        let path = folder.join(&name);
        if let Some(found) = read_whole(&path) {
            self.run().seen.insert(name, path);
            return Ok(found);
        }
        let elsewhere = self.run().seen.get(&name).cloned();
        if let Some(other) = elsewhere
            && let Some(found) = read_whole(&other)
        {
            // Where it cannot be had a second time it is only found a second time.
            let had = fs::create_dir_all(folder).and_then(|()| fs::hard_link(&other, &path));
            if had.is_ok() {
                self.run().seen.insert(name, path);
            }
            return Ok(found);
        }
        let made = make()?;
        // Losing the store costs time, never truth: a full disk will be reported where it matters,
        // by the writing of the site itself, or by whoever asks.
        match write_whole(&path, &made) {
            Ok(()) => {
                self.run().seen.insert(name, path);
            }
            Err(error) => {
                let failed = format!("{}: {error}", path.display());
                self.run().failed.get_or_insert(failed);
            }
        }
        Ok(made)
    }

    fn run(&self) -> MutexGuard<'_, Run> {
        self.run.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Why results are not kept, if some are not.
    pub fn failure(&self) -> Option<String> {
        if self.folder.is_none() {
            return Some("there is no store".to_owned());
        }
        self.run().failed.clone()
    }

    /// A store within this one, for what may have to go as a whole. The name is that of a folder.
    pub(crate) fn room(&self, name: &str) -> Self {
        Self {
            folder: self.folder.as_ref().map(|folder| folder.join(name)),
            run: Arc::clone(&self.run),
        }
    }

    /// Takes out everything, rooms within it too.
    pub(crate) fn clear(&self) {
        if let Some(folder) = &self.folder {
            // A room that was never used is not there.
            let _ = fs::remove_dir_all(folder);
        }
    }

    /// Takes out everything but rooms of these names. Whether there was nothing else.
    pub(crate) fn keep_only<'n>(&self, names: impl IntoIterator<Item = &'n String>) -> bool {
        let names: Vec<&String> = names.into_iter().collect();
        !self.clear_rooms(|name| names.iter().all(|kept| *kept != name))
    }

    /// Takes out what lies under such names. Whether there was any.
    fn clear_rooms(&self, gone: impl Fn(&str) -> bool) -> bool {
        let within = self.folder.iter().filter_map(|f| fs::read_dir(f).ok());
        let mut any = false;
        for entry in within.flatten().flatten() {
            if gone(&entry.file_name().to_string_lossy()) {
                any = true;
                let path = entry.path();
                // Another machine that shares the store may have been faster.
                let _ = fs::remove_dir_all(&path).or_else(|_| fs::remove_file(&path));
            }
        }
        any
    }
}

fn read_whole(path: &Path) -> Option<Vec<u8>> {
    let stored = fs::read(path).ok()?;
    let (digest, payload) = stored.split_at_checked(DIGEST)?;
    (blake3::hash(payload).as_bytes() == digest).then(|| payload.to_vec())
}

/// Writes beside the place and renames, under a name that no other machine takes. Nothing is synced: what
/// a power cut leaves half-written is recognised by its digest.
fn write_whole(path: &Path, payload: &[u8]) -> io::Result<()> {
    let mut chance = [0; 8];
    getrandom::fill(&mut chance).map_err(io::Error::other)?;
    let own = u64::from_le_bytes(chance);
    let beside = path.with_extension(format!("{own:016x}.part"));
    let write = || {
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        let mut file = fs::File::create_new(&beside)?;
        file.write_all(blake3::hash(payload).as_bytes())?;
        file.write_all(payload)?;
        drop(file);
        fs::rename(&beside, path)
    };
    write().inspect_err(|_| {
        // On a full disk the half is in the way.
        let _ = fs::remove_file(&beside);
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    fn make(text: &str) -> Result<Vec<u8>, Infallible> {
        Ok(text.as_bytes().to_vec())
    }

    #[test]
    fn keeps_by_key_and_heals_damage() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).unwrap();
        let key = Key::of("test 1").and(b"input");
        assert_eq!(store.or_make(&key, || make("first")), make("first"));
        assert_eq!(store.or_make(&key, || make("second")), make("first"));
        let file = fs::read_dir(folder.path())
            .unwrap()
            .next()
            .unwrap()
            .unwrap()
            .path();
        let mut bytes = fs::read(&file).unwrap();
        bytes.truncate(DIGEST + 2);
        fs::write(&file, bytes).unwrap();
        assert_eq!(store.or_make(&key, || make("third")), make("third"));
        let room = store.room("objects");
        let own = Key::of("test 2");
        assert_eq!(room.or_make(&own, || make("own")), make("own"));
        assert_eq!(room.or_make(&own, || make("other")), make("own"));
        // What one room has another may have, as long as the first is not cleared.
        let beside = store.room("beside");
        assert_eq!(beside.or_make(&own, || make("other")), make("own"));
        room.clear();
        assert_eq!(room.or_make(&own, || make("other")), make("own"));
        room.clear();
        beside.clear();
        assert_eq!(room.or_make(&own, || make("other")), make("other"));
        assert_eq!(store.failure(), None);
        fs::remove_dir_all(folder.path().join("objects")).unwrap();
        fs::write(folder.path().join("objects"), "no folder").unwrap();
        assert_eq!(room.or_make(&own, || make("unkept")), make("unkept"));
        assert!(store.failure().is_some(), "who asks is told");
        let other = Key::of("test 1").and(b"in").and(b"put");
        assert_eq!(store.or_make(&other, || make("fourth")), make("fourth"));
    }
}
