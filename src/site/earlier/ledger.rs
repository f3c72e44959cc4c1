//! What is known of the site that stands: what each object was made from, and every file with its digest.
//!
//! ```text
//! digest of the rest, BLAKE3 · the ledger, postcard
//! ```

use super::Mark;
use super::inputs::Inputs;
use crate::record::ObjectId;
use crate::site::offline::Own;
use crate::site::pictures::BodyPlate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The whole of it.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct Ledger {
    /// Digest of the program.
    pub(super) program: Mark,
    /// Digest of what every page depends on.
    pub(super) shared: Mark,
    pub(super) inputs: Inputs,
    pub(super) objects: BTreeMap<ObjectId, Stood>,
    /// Files that are of no object.
    pub(super) whole: Vec<Entry>,
    /// Folders, relative to the root, each with the time at which something was last added or removed.
    pub(super) folders: Vec<(String, u128)>,
}

/// What an object was made from, and what was made of it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct Stood {
    pub(super) made_from: MadeFrom,
    /// Reading its models found nothing to say.
    pub(super) quiet: bool,
    pub(super) files: Vec<Entry>,
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

    /// Every file; one of several objects more than once.
    pub(super) fn files(&self) -> impl Iterator<Item = &Entry> {
        let objects = self.objects.values().flat_map(|stood| &stood.files);
        objects.chain(&self.whole)
    }
}
