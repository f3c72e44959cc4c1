//! The files of a site as they lie in a folder, with the objects that each is of.

use super::Mark;
use super::ordered::{Figures, Ordered, mark, number};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A file of the site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Entry {
    pub(crate) bytes: usize,
    pub(crate) sha256: [u8; 32],
    /// When it was written, nanoseconds since 1970.
    pub(crate) modified: u64,
    of: Of,
}

/// Objects by their places among all, from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Of {
    Nobody,
    One(u32),
    /// More, which are told beside the table: few files are of more than one.
    Several,
}

impl Entry {
    /// Of no object yet.
    pub(crate) fn new(bytes: usize, sha256: [u8; 32], modified: u64) -> Self {
        Self {
            bytes,
            sha256,
            modified,
            of: Of::Nobody,
        }
    }

    pub(crate) fn is_of_an_object(&self) -> bool {
        self.of != Of::Nobody
    }
}

impl Figures for Entry {
    const BYTES: usize = 56;

    fn put(&self, to: &mut Vec<u8>) {
        let of = match self.of {
            Of::Nobody => 0,
            Of::Several => 1,
            Of::One(place) => 2 + u64::from(place),
        };
        for number in [self.bytes as u64, self.modified, of] {
            to.extend_from_slice(&number.to_le_bytes());
        }
        to.extend_from_slice(&self.sha256);
    }

    fn take(from: &mut &[u8]) -> Self {
        let [bytes, modified, of] = [(); 3].map(|()| number(from));
        Self {
            bytes: usize::try_from(bytes).unwrap_or(usize::MAX),
            modified,
            of: match of {
                0 => Of::Nobody,
                1 => Of::Several,
                place => u32::try_from(place - 2).map_or(Of::Nobody, Of::One),
            },
            sha256: mark(from),
        }
    }
}

/// Files by their paths relative to the root of the site.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(crate) struct Lying {
    #[serde(skip)]
    pub(super) entries: Ordered<Entry>,
    /// Of files that are of several objects, which.
    several: BTreeMap<String, Vec<u32>>,
    /// Digests of the models that pages were made of, where those are kept.
    models: BTreeMap<String, Mark>,
}

impl Lying {
    /// None yet, with room for as many as there were.
    pub(crate) fn like(other: &Self) -> Self {
        Self {
            entries: Ordered::like(&other.entries),
            ..Self::default()
        }
    }

    /// Adds a file whose path comes after all others; `of` are the objects that it is of, in their order.
    pub(crate) fn push(
        &mut self,
        path: &str,
        entry: Entry,
        of: impl IntoIterator<Item = u32>,
        model: Option<Mark>,
    ) {
        if let Some(model) = model {
            self.models.insert(path.to_owned(), model);
        }
        let of = self.told(path, of);
        self.entries.push(path, &Entry { of, ..entry });
    }

    fn told(&mut self, path: &str, of: impl IntoIterator<Item = u32>) -> Of {
        let mut of = of.into_iter();
        match (of.next(), of.next()) {
            (None, _) => Of::Nobody,
            (Some(one), None) => Of::One(one),
            (Some(one), Some(other)) => {
                let all = [one, other].into_iter().chain(of).collect();
                self.several.insert(path.to_owned(), all);
                Of::Several
            }
        }
    }

    /// Takes out what stands beside the table.
    pub(super) fn take_beside(&mut self) -> Self {
        Self {
            entries: Ordered::default(),
            several: std::mem::take(&mut self.several),
            models: std::mem::take(&mut self.models),
        }
    }

    pub(crate) fn len(&self) -> usize {
        self.entries.len()
    }

    pub(crate) fn get(&self, path: &str) -> Option<Entry> {
        self.entries.get(path)
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = (&str, Entry)> {
        self.entries.iter()
    }

    /// Those from the first that is not before this path.
    pub(crate) fn from(&self, path: &str) -> impl Iterator<Item = (&str, Entry)> {
        self.entries.from(path)
    }

    /// Places of the objects that a file is of.
    pub(crate) fn of(&self, path: &str, entry: &Entry) -> impl Iterator<Item = u32> {
        let (one, several) = match entry.of {
            Of::Nobody => (None, None),
            Of::One(place) => (Some(place), None),
            Of::Several => (None, self.several.get(path)),
        };
        one.into_iter()
            .chain(several.into_iter().flatten().copied())
    }

    /// Digest of the model that a page was made of, where that is kept.
    pub(crate) fn model(&self, path: &str) -> Option<Mark> {
        self.models.get(path).copied()
    }

    /// Gives the objects other numbers; those without have no files any more.
    pub(super) fn renumber(&mut self, numbers: &[Option<u32>]) {
        let new = |old: u32| *numbers.get(old as usize)?;
        let old = std::mem::take(&mut self.several);
        let mut told = BTreeMap::new();
        for (path, of) in old {
            let of = self.told(&path, of.into_iter().filter_map(new));
            told.insert(path, of);
        }
        self.entries.change(|path, entry| Entry {
            of: match entry.of {
                Of::Several => told.get(path).copied().unwrap_or(Of::Nobody),
                Of::One(old) => new(old).map_or(Of::Nobody, Of::One),
                Of::Nobody => Of::Nobody,
            },
            ..entry
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_keep_their_objects_when_those_get_other_numbers() {
        let mut all = Lying::default();
        let entry = Entry::new(7, [3; 32], 11);
        let model = Some([9; 32]);
        all.push("a", entry, [], model);
        all.push("b", entry, [0], None);
        all.push("c", entry, [0, 1, 3], None);
        all.push("d", entry, [2], None);
        all.push("e", entry, [1, 2], None);
        all.push("f", entry, [1, 3], None);
        assert_eq!((all.model("a"), all.model("b")), (model, None));
        let of = |all: &Lying, path: &str| -> Vec<u32> {
            let entry = all.get(path).unwrap();
            assert_eq!((entry.bytes, entry.modified), (7, 11));
            all.of(path, &entry).collect()
        };
        assert_eq!(of(&all, "c"), [0, 1, 3]);
        // The second is gone, and two came before the first.
        all.renumber(&[Some(2), None, Some(3), Some(4)]);
        let now = ["a", "b", "c", "d", "e", "f"].map(|path| of(&all, path));
        let want: [&[u32]; 6] = [&[], &[2], &[2, 4], &[3], &[3], &[4]];
        assert_eq!(now, want);
        assert!(!all.get("a").unwrap().is_of_an_object());
        assert_eq!(all.several.len(), 1);
    }
}
