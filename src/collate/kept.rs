//! What is dear to find out, kept between two readings of a folder that is being worked on, and, where
//! there is a store, between two runs.
//!
//! Everything is kept under a digest of all that it depends on, so nothing kept is ever stale; what
//! one reading did not ask for is let go when it ends. In the store the sources of this program's geometry
//! are part of that digest: another edition of the program finds everything out anew.

use super::bodies::PartGeometry;
use super::collation::{Assembly, Laid, PartCollation};
use crate::record::{Day, Object};
use crate::store::{Key, Rooms, Store};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::Arc;

/// Kept results. A new one makes everything anew.
#[derive(Debug, Default)]
pub struct Kept {
    /// What stays between two runs, and the day for which rights are judged.
    stored: Option<(Store, Day)>,
    /// Where comparisons of the object that is being read may stay.
    pub(super) room: Store,
    pub(super) parts: Shelf<Arc<PartGeometry>>,
    pub(super) laid: Shelf<Option<Laid>>,
    pub(super) compared: Shelf<Option<PartCollation>>,
    pub(super) assemblies: Shelf<Assembly>,
}

impl Kept {
    /// None yet, but for what is in a store, where it may stay by the rights of `today`.
    pub fn in_store(store: &Store, today: Day) -> Self {
        Self {
            stored: Some((store.clone(), today)),
            ..Self::default()
        }
    }

    /// Begins an object: of what is in the store, all goes that may lie there no longer.
    pub(super) fn begin(&mut self, object: &Object) {
        let rooms = self.stored.as_ref();
        let rooms = rooms.map(|(store, today)| Rooms::open(store, object, *today));
        self.room = rooms.unwrap_or_default().compared;
    }

    /// Ends an object: only what others may have in common with it is kept.
    pub fn end(&mut self) {
        self.laid = Shelf::default();
        self.compared = Shelf::default();
        // Of a body that was put elsewhere, the one before is needed no more.
        self.parts
            .0
            .retain(|_, (part, _)| Arc::strong_count(part) > 1);
    }

    /// Lets go of everything that was not asked for since the last call.
    pub fn sweep(&mut self) {
        self.parts.sweep();
        self.laid.sweep();
        self.compared.sweep();
        self.assemblies.sweep();
    }
}

/// The digest of the sources that find out what is stored, from the build.
const EDITION: &str = env!("COUNTERPART_GEOMETRY");

/// A key: what a result depends on.
pub(super) type Mark = [u8; 32];

/// The digest of some words and bytes, each with its length in front.
pub(super) fn mark(inputs: &[&[u8]]) -> Mark {
    let mut hasher = blake3::Hasher::new();
    for input in inputs {
        hasher.update(&(input.len() as u64).to_le_bytes());
        hasher.update(input);
    }
    *hasher.finalize().as_bytes()
}

/// Results of one kind, each with whether it was asked for lately.
#[derive(Debug)]
pub(super) struct Shelf<T>(BTreeMap<Mark, (T, bool)>);

impl<T> Default for Shelf<T> {
    fn default() -> Self {
        Self(BTreeMap::new())
    }
}

impl<T: Clone> Shelf<T> {
    pub(super) fn get(&mut self, mark: &Mark) -> Option<T> {
        let (found, asked) = self.0.get_mut(mark)?;
        *asked = true;
        Some(found.clone())
    }

    pub(super) fn put(&mut self, mark: Mark, made: T) {
        self.0.insert(mark, (made, true));
    }

    pub(super) fn or_make(&mut self, mark: Mark, make: impl FnOnce() -> T) -> T {
        if let Some(found) = self.get(&mark) {
            return found;
        }
        let made = make();
        self.put(mark, made.clone());
        made
    }

    /// The same, looked for in a store as well.
    pub(super) fn or_store(
        &mut self,
        mark: Mark,
        (method, store): (&str, &Store),
        make: impl Fn() -> T,
    ) -> T
    where
        T: Serialize + DeserializeOwned,
    {
        if let Some(found) = self.get(&mark) {
            return found;
        }
        let key = Key::of(method).and(EDITION.as_bytes()).and(&mark);
        let mut fresh = None;
        let stored = store.or_make(&key, || {
            // What cannot be written down is found out each time.
            let made = fresh.insert(make());
            Ok::<_, Infallible>(postcard::to_stdvec(made).unwrap_or_default())
        });
        let Ok(stored) = stored;
        let found = fresh.or_else(|| postcard::from_bytes(&stored).ok());
        let found = found.unwrap_or_else(make);
        self.put(mark, found.clone());
        found
    }

    fn sweep(&mut self) {
        self.0.retain(|_, (_, asked)| std::mem::take(asked));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shelf_keeps_what_was_asked_for_and_lets_go_of_the_rest() {
        let mut shelf = Shelf::default();
        let (one, other) = (mark(&[b"one"]), mark(&[b"other"]));
        assert_eq!(shelf.or_make(one, || 1), 1);
        assert_eq!(shelf.or_make(other, || 2), 2);
        shelf.sweep();
        assert_eq!(shelf.or_make(one, || 3), 1);
        shelf.sweep();
        assert_eq!((shelf.get(&one), shelf.get(&other)), (Some(1), None));
    }

    #[test]
    fn what_one_run_found_the_next_takes_from_the_store() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).unwrap();
        let one = mark(&[b"one"]);
        let ask = |found: f64| {
            let mut shelf = Shelf::default();
            shelf.or_store(one, ("test", &store), || vec![found, 0.1])
        };
        assert_eq!(ask(1.0), [1.0, 0.1]);
        assert_eq!(ask(2.0), [1.0, 0.1]);
        store.clear();
        assert_eq!(ask(3.0), [3.0, 0.1]);
    }

    #[test]
    fn inputs_do_not_run_together() {
        assert_ne!(mark(&[b"ab", b"c"]), mark(&[b"a", b"bc"]));
    }
}
