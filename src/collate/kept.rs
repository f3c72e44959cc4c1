//! What is dear to find out, kept between two readings of a folder that is being worked on.
//!
//! Everything is kept under a digest of all that it depends on, so nothing kept is ever stale; what
//! one reading did not ask for is let go when it ends.

use super::bodies::PartGeometry;
use super::collation::{Assembly, Laid, PartCollation};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Kept results. A new one makes everything anew.
#[derive(Debug, Default)]
pub struct Kept {
    pub(super) parts: Shelf<Arc<PartGeometry>>,
    pub(super) laid: Shelf<Option<Laid>>,
    pub(super) compared: Shelf<Option<PartCollation>>,
    pub(super) assemblies: Shelf<Assembly>,
}

impl Kept {
    /// Lets go of everything that was not asked for since the last call.
    pub fn sweep(&mut self) {
        self.parts.sweep();
        self.laid.sweep();
        self.compared.sweep();
        self.assemblies.sweep();
    }
}

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
    fn inputs_do_not_run_together() {
        assert_ne!(mark(&[b"ab", b"c"]), mark(&[b"a", b"bc"]));
    }
}
