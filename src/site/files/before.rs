//! What lies in the folder of a site before anything is added.

use crate::record::ObjectId;
use crate::site::earlier::{Entry, Lying};

/// What lies in a folder before anything is added, and the objects of the site to come.
#[derive(Debug, Clone, Default)]
pub(crate) struct Before {
    /// The objects in their order, in which entries number them.
    pub(crate) objects: Vec<ObjectId>,
    /// Those that are of an object stay, whether they are added again or not.
    pub(crate) files: Lying,
    /// Whether a page would be made of the same model as before into the same bytes.
    pub(crate) models_hold: bool,
}

impl Before {
    pub(super) fn get(&self, path: &str) -> Option<Entry> {
        self.files.get(path)
    }

    /// An entry that stays of itself.
    pub(super) fn staying(&self, path: &str) -> Option<Entry> {
        self.get(path).filter(|entry| entry.is_of_an_object())
    }
}
