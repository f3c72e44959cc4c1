//! What is known of the site that stands: what each object was made from, and every file with its digest.
//!
//! ```text
//! names and rows of each table: the content folder, files, folders · the ledger, postcard, without its tables
//! · lengths of these parts · digest of all before it, BLAKE3
//! ```

use super::inputs::Inputs;
use super::known::{Lies, Reading};
use super::lying::{Entry, Lying};
use super::ordered::{Figures, Ordered, number};
use super::{Mark, Stamp};
use crate::record::ObjectId;
use crate::site::offline::Own;
use crate::site::pictures::BodyPlate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom, Write};

/// The whole of it.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(crate) struct Ledger {
    pub(super) program: Program,
    /// Digest of what every page depends on.
    pub(super) shared: Mark,
    #[serde(skip)]
    pub(super) inputs: Inputs,
    /// Of the records that are kept; none when none are.
    pub(super) reading: Option<Reading>,
    pub(super) objects: BTreeMap<ObjectId, Stood>,
    /// By their paths relative to the root.
    pub(super) files: Lying,
    /// The same way.
    #[serde(skip)]
    pub(super) folders: Ordered<Folder>,
}

/// The program that made a site.
#[derive(Debug, Clone, Copy, Default, Serialize, Deserialize)]
pub(super) struct Program {
    /// Its digest.
    pub(super) mark: Mark,
    /// Where it stood for long enough that another would have another.
    pub(super) stamp: Option<Stamp>,
}

/// What an object was made from, and what was made of it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct Stood {
    pub(super) made_from: MadeFrom,
    /// Reading its models found nothing to say.
    pub(super) quiet: bool,
    /// Where it lies as it was read.
    pub(super) lies: Option<Lies>,
    /// How others show it.
    pub(super) plate: BodyPlate,
    /// Its files as a browser may keep them.
    pub(super) own: Option<Own>,
}

/// Everything that the pages of an object depend on, beside what all pages do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct MadeFrom {
    /// Its files.
    pub(super) files: Mark,
    /// What its agreements permit today, and which of its days have come.
    pub(super) rights: Mark,
    /// Where it stands among the others.
    pub(super) place: Mark,
}

/// When something was last added to a folder or removed from it, nanoseconds since 1970.
#[derive(Debug, Clone, Copy)]
pub(super) struct Folder {
    /// In the site that stands.
    pub(super) target: u64,
    /// In its second tree.
    pub(super) second: u64,
}

impl Figures for Folder {
    const BYTES: usize = 16;

    fn put(&self, to: &mut Vec<u8>) {
        for time in [self.target, self.second] {
            to.extend_from_slice(&time.to_le_bytes());
        }
    }

    fn take(from: &mut &[u8]) -> Self {
        let [target, second] = [(); 2].map(|()| number(from));
        Self { target, second }
    }
}

/// Parts of the file before their lengths.
const PARTS: usize = 7;
/// Bytes of the lengths and the digest, at the end.
const FOOT: usize = 8 * PARTS + blake3::OUT_LEN;

/// What lies in another form has another digest: to be changed with what any byte of it means.
const FORM: &[u8] = b"ledger 2";

fn hasher() -> blake3::Hasher {
    let mut hasher = blake3::Hasher::new();
    hasher.update(FORM);
    hasher
}

/// A ledger that is being written: its large tables, while the rest is not known yet.
pub(super) struct Draft {
    file: File,
    hasher: blake3::Hasher,
    lengths: Vec<u64>,
}

impl Draft {
    /// Writes what is known first into an empty file.
    pub(super) fn begin(file: File, inputs: &Inputs, files: &Ordered<Entry>) -> io::Result<Self> {
        let mut draft = Self {
            file,
            hasher: hasher(),
            lengths: Vec::new(),
        };
        for part in inputs.parts().into_iter().chain(files.parts()) {
            draft.add(part)?;
        }
        Ok(draft)
    }

    fn add(&mut self, part: &[u8]) -> io::Result<()> {
        self.hasher.update(part);
        self.lengths.push(part.len() as u64);
        self.file.write_all(part)
    }

    /// Writes the rest.
    pub(super) fn finish(mut self, ledger: &Ledger) -> io::Result<()> {
        for part in ledger.folders.parts() {
            self.add(part)?;
        }
        self.add(&postcard::to_stdvec(ledger).map_err(io::Error::other)?)?;
        let lengths = self.lengths.iter().flat_map(|length| length.to_le_bytes());
        let lengths: Vec<u8> = lengths.collect();
        self.hasher.update(&lengths);
        self.file.write_all(&lengths)?;
        self.file.write_all(self.hasher.finalize().as_bytes())
    }
}

impl Ledger {
    /// Reads it from a file; none when it is damaged, or another edition's.
    pub(super) fn read(file: &mut File) -> io::Result<Option<Self>> {
        let whole = file.metadata()?.len();
        let Some(start) = whole.checked_sub(FOOT as u64) else {
            return Ok(None);
        };
        let mut foot = [0; FOOT];
        file.seek(SeekFrom::Start(start))?;
        file.read_exact(&mut foot)?;
        let (told, digest) = foot.split_at(8 * PARTS);
        let mut rest = told;
        let lengths: [u64; PARTS] = [(); PARTS].map(|()| number(&mut rest));
        let mut sum = lengths.iter();
        let sum = sum.try_fold(0_u64, |sum, length| sum.checked_add(*length));
        if sum != Some(start) {
            return Ok(None);
        }
        file.rewind()?;
        let mut hasher = hasher();
        let mut parts = Vec::new();
        for length in lengths {
            let mut part = vec![0; usize::try_from(length).map_err(io::Error::other)?];
            file.read_exact(&mut part)?;
            hasher.update(&part);
            parts.push(part);
        }
        hasher.update(told);
        if hasher.finalize().as_bytes() != digest {
            return Ok(None);
        }
        Ok(Self::of_parts(parts))
    }

    fn of_parts(parts: Vec<Vec<u8>>) -> Option<Self> {
        let [a, b, c, d, e, f, own]: [Vec<u8>; PARTS] = parts.try_into().ok()?;
        let mut ledger: Self = postcard::from_bytes(&own).ok()?;
        ledger.inputs = Inputs::from_parts(a, b)?;
        ledger.files.entries = Ordered::from_parts(c, d)?;
        ledger.folders = Ordered::from_parts(e, f)?;
        Some(ledger)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_written_is_read_and_damage_is_seen() {
        let times = [("", 1), ("a", 2)].map(|(path, time)| {
            let (target, second) = (time, time + 7);
            (path, Folder { target, second })
        });
        let mut ledger = Ledger {
            shared: [5; 32],
            folders: times.into_iter().collect(),
            ..Ledger::default()
        };
        let entry = Entry::new(12, [8; 32], 99);
        ledger.files.push("a/index.html", entry, [0], None);
        let mut file = tempfile::tempfile().unwrap();
        let copy = file.try_clone().unwrap();
        let draft = Draft::begin(copy, &ledger.inputs, &ledger.files.entries).unwrap();
        draft.finish(&ledger).unwrap();
        let back = Ledger::read(&mut file).unwrap().unwrap();
        assert_eq!(format!("{ledger:?}"), format!("{back:?}"));
        let length = file.metadata().unwrap().len();
        for at in [0, 40, length - FOOT as u64, length - 1] {
            let mut byte = [0];
            file.seek(io::SeekFrom::Start(at)).unwrap();
            file.read_exact(&mut byte).unwrap();
            file.seek(io::SeekFrom::Start(at)).unwrap();
            file.write_all(&[byte[0] ^ 1]).unwrap();
            assert!(Ledger::read(&mut file).unwrap().is_none(), "{at}");
            file.seek(io::SeekFrom::Start(at)).unwrap();
            file.write_all(&byte).unwrap();
        }
        file.set_len(length - 1).unwrap();
        assert!(Ledger::read(&mut file).unwrap().is_none());
    }
}
