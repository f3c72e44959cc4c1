//! All files of a site when nothing more is added, beside those that lay there before.

use super::{Files, Known};
use crate::site::SiteError;
use crate::site::earlier::{Entry, Lying, side_by_side};
use std::collections::BTreeSet;

/// All files when nothing more is added.
#[derive(Debug, Default)]
pub(crate) struct Settled {
    pub(crate) files: Lying,
    /// Bytes of all.
    pub(crate) bytes: usize,
    /// Paths of those that were written.
    pub(crate) changed: Vec<String>,
    /// How many lie there as before.
    pub(crate) stood: usize,
    /// Paths of those that lie there and are no more of the site.
    pub(crate) gone: Vec<String>,
}

impl Known {
    fn entry(&self) -> Entry {
        Entry::new(self.bytes, self.sha256, self.modified)
    }
}

impl Files {
    /// All of them, when nothing more is added.
    ///
    /// # Errors
    /// As [`Files::fault`].
    pub(crate) fn settle(self) -> Result<Settled, SiteError> {
        self.fault()?;
        let known = std::mem::take(&mut self.state().known);
        let before = &self.before.files;
        let mut all = Settled {
            files: Lying::like(before),
            ..Settled::default()
        };
        let added = known.iter().map(|(path, known)| (path.as_str(), known));
        for (path, lay, known) in side_by_side(before.iter(), added) {
            // What it lies over may be of others too.
            let of = lay.iter().flat_map(|entry| before.of(path, entry));
            let (entry, fresh) = match (lay, known) {
                (Some(lay), None) if !lay.is_of_an_object() => {
                    all.gone.push(path.to_owned());
                    continue;
                }
                (Some(lay), None) => {
                    all.files.push(path, lay, of, before.model(path));
                    (lay, false)
                }
                (_, Some(known)) => {
                    let of: BTreeSet<u32> = of.chain(known.of.iter().copied()).collect();
                    all.files.push(path, known.entry(), of, known.model);
                    (known.entry(), known.fresh)
                }
                (None, None) => continue,
            };
            match fresh {
                true => all.changed.push(path.to_owned()),
                false => all.stood += 1,
            }
            all.bytes += entry.bytes;
        }
        Ok(all)
    }
}
