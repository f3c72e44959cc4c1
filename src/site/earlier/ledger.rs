//! What is known of the site that stands: what each object was made from, and every file with its digest.
//!
//! ```text
//! digest of the rest, BLAKE3 · the ledger, postcard
//! ```

use super::inputs::Inputs;
use super::known::{Lies, Reading};
use super::{Mark, Stamp};
use crate::record::ObjectId;
use crate::site::offline::Own;
use crate::site::pictures::BodyPlate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The whole of it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct Ledger {
    pub(super) program: Program,
    /// Digest of what every page depends on.
    pub(super) shared: Mark,
    pub(super) inputs: Inputs,
    /// Of the records that are kept; none when none are.
    pub(super) reading: Option<Reading>,
    pub(super) objects: BTreeMap<ObjectId, Stood>,
    /// In the order of their paths.
    pub(super) files: Vec<Entry>,
    /// By their paths relative to the root.
    pub(super) folders: BTreeMap<String, Folder>,
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

/// A file of the site.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Entry {
    pub(crate) path: String,
    pub(crate) bytes: usize,
    pub(crate) sha256: [u8; 32],
    /// When it was written, nanoseconds since 1970.
    pub(crate) modified: u128,
    /// Digest of the model that it was made of, where that is kept.
    pub(crate) model: Option<Mark>,
    /// Which of the objects it is of, by their places among all, from 0.
    pub(crate) of: Vec<u32>,
}

/// When something was last added to a folder or removed from it, nanoseconds since 1970.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
pub(super) struct Folder {
    /// In the site that stands.
    pub(super) target: u128,
    /// In its second tree.
    pub(super) second: u128,
}

impl Ledger {
    /// For a file.
    pub(super) fn packed(&self) -> Result<Vec<u8>, postcard::Error> {
        let own = postcard::to_stdvec(self)?;
        let mut out = blake3::hash(&own).as_bytes().to_vec();
        out.extend(own);
        Ok(out)
    }

    /// None when it is damaged, or another edition's.
    pub(super) fn unpacked(bytes: &[u8]) -> Option<Self> {
        let (digest, own) = bytes.split_at_checked(blake3::OUT_LEN)?;
        if blake3::hash(own).as_bytes() != digest {
            return None;
        }
        postcard::from_bytes(own).ok()
    }
}
