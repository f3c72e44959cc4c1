//! Differences gathered by what explains them, as a reader wants them told.

use super::{Collation, Explained, Found};
use crate::differ::{Kind, Region};
use crate::record::DetailId;

/// What explains a group.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason<'c> {
    /// A detail.
    Detail(&'c DetailId),
    /// An entry of the record's list of accepted differences.
    Accepted(usize),
    /// Nothing.
    None,
}

/// Differences that are told together.
#[derive(Debug, Clone)]
pub struct Group<'c> {
    /// What explains them.
    pub reason: Reason<'c>,
    /// The largest first.
    pub found: Vec<&'c Found>,
}

impl Collation {
    /// The differences by what explains them most, in the order of the largest of each.
    pub fn groups(&self) -> Vec<Group<'_>> {
        let mut groups: Vec<Group<'_>> = Vec::new();
        for found in &self.found {
            let reason = match &found.explained {
                Explained::By(ids) => ids.first().map_or(Reason::None, Reason::Detail),
                Explained::Accepted(index) => Reason::Accepted(*index),
                Explained::Not => Reason::None,
            };
            match groups.iter_mut().find(|g| g.reason == reason) {
                Some(group) => group.found.push(found),
                None => groups.push(Group {
                    reason,
                    found: vec![found],
                }),
            }
        }
        groups
    }

    /// The difference of a group that is shown: the largest that its reason explains alone.
    pub fn shown<'c>(&self, group: &Group<'c>) -> Option<&'c Found> {
        let alone = |f: &&&Found| !matches!(&f.explained, Explained::By(ids) if ids.len() > 1);
        let chosen = group.found.iter().find(alone).or(group.found.first());
        chosen.copied()
    }

    /// The region of a difference.
    pub fn region(&self, found: &Found) -> Option<&Region> {
        self.part(&found.part)?.comparison.regions.get(found.index)
    }
}

impl Group<'_> {
    /// The way in which all of them differ; `None` when not all alike.
    pub fn kind(&self, collation: &Collation) -> Option<Kind> {
        let mut kinds = self
            .found
            .iter()
            .filter_map(|f| collation.region(f))
            .map(|r| r.kind);
        let first = kinds.next()?;
        kinds.all(|k| k == first).then_some(first)
    }
}
