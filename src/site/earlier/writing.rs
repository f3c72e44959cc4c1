//! A site that is being written over the one before, and what of that one stays.

use super::explain::{Explained, Reason};
use super::ledger::{Draft, Ledger, MadeFrom, Stood};
use super::{known, tree};
use crate::record::{Catalogue, Findings, ObjectId, Sources};
use crate::site::SiteError;
use crate::site::files::Files;
use crate::site::offline::Own;
use crate::site::pictures::BodyPlate;
use crate::site::write::{DRAFT, Next, failed};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io;
use std::path::PathBuf;
use std::thread;

/// A site that is being written over the one before.
pub(crate) struct Writing {
    pub(super) content: PathBuf,
    pub(super) known: BTreeSet<ObjectId>,
    pub(super) next: Next,
    pub(crate) files: Files,
    /// Objects that keep their files.
    pub(super) kept: BTreeMap<ObjectId, Stood>,
    pub(super) reasons: BTreeMap<ObjectId, Reason>,
    pub(super) all: Option<Reason>,
    /// Of the site to come.
    pub(super) ledger: Ledger,
    pub(super) made_from: BTreeMap<ObjectId, MadeFrom>,
}

/// What is known of the objects of a site after it was made.
pub(crate) struct Shown<'a> {
    /// Their records.
    pub(crate) catalogue: &'a Catalogue,
    /// What is to be said of those.
    pub(crate) findings: &'a Findings,
    /// The files that they were read from.
    pub(crate) sources: &'a Sources,
    /// How others show each.
    pub(crate) plates: &'a BTreeMap<ObjectId, BodyPlate>,
    /// Their files as a browser may keep them.
    pub(crate) own: &'a BTreeMap<ObjectId, Own>,
    /// Objects whose models had something to be said of.
    pub(crate) loud: &'a BTreeSet<ObjectId>,
}

/// Objects that keep their pages, as the making of the others has to know them.
#[derive(Default)]
pub(crate) struct Kept<'a>(Option<&'a BTreeMap<ObjectId, Stood>>);

impl Kept<'_> {
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_none_or(BTreeMap::is_empty)
    }

    pub(crate) fn holds(&self, id: &ObjectId) -> bool {
        self.0.is_some_and(|kept| kept.contains_key(id))
    }

    pub(crate) fn plates(&self) -> BTreeMap<ObjectId, BodyPlate> {
        let all = self.0.into_iter().flatten();
        all.map(|(id, stood)| (id.clone(), stood.plate.clone()))
            .collect()
    }

    pub(crate) fn own(&self, id: &ObjectId) -> Option<&Own> {
        self.0?.get(id)?.own.as_ref()
    }
}

impl Writing {
    pub(crate) fn kept(&self) -> Kept<'_> {
        Kept(Some(&self.kept))
    }

    /// Puts the site in its place, and keeps what the next run needs; gives how many files it has, and their bytes.
    pub(crate) fn finish(
        mut self,
        shown: &Shown<'_>,
    ) -> Result<(Explained, [usize; 2]), SiteError> {
        let folder = self.next.folder().to_owned();
        let mut written = self.files.settle()?;
        for gone in &written.gone {
            tree::take_away(&folder, gone)
                .map_err(|e| failed("taking away", &folder.join(gone), e))?;
        }
        let explained = Explained {
            all: self.all.map(|reason| reason.to_string()),
            objects: self
                .reasons
                .iter()
                .map(|(id, why)| (id.clone(), why.to_string()))
                .collect(),
            kept: self.kept.len(),
            written: written.changed.len(),
            stood: written.stood,
            taken_away: written.gone.len(),
            alone: None,
        };
        for (id, made_from) in self.made_from {
            // Every object has one, or its lists could not have been made; so the numbers of files hold.
            let plate = shown.plates.get(&id);
            let plate = plate.ok_or_else(|| SiteError::Picture(format!("no plate of ‘{id}’")))?;
            let kept = self.kept.get(&id);
            let quiet = match kept {
                Some(stood) => stood.quiet,
                None => !shown.loud.contains(&id),
            };
            self.ledger.objects.insert(
                id.clone(),
                Stood {
                    made_from,
                    quiet,
                    // One that was read again may have another thing to be said of it.
                    lies: kept
                        .filter(|_| self.known.contains(&id))
                        .and_then(|stood| stood.lies),
                    plate: plate.clone(),
                    own: shown.own.get(&id).cloned(),
                },
            );
        }
        let sizes = [written.files.len(), written.bytes];
        let (content, mut ledger, bench) = (self.content, self.ledger, self.next.bench());
        let inputs = std::mem::take(&mut ledger.inputs);
        ledger.files = written.files.take_beside();
        let mut old = self.next.finish()?;
        let left = thread::scope(|scope| {
            let files = &written.files.entries;
            let draft = scope.spawn(|| {
                let file = File::create(bench.join(DRAFT))?;
                Draft::begin(file, &inputs, files)
            });
            let died = |_| io::Error::other("the ledger could not be written");
            let draft = || draft.join().map_err(died)?;
            known::remember(&mut ledger, &bench, &content, shown)?;
            tree::leave_second(&mut old, &mut ledger, draft, &written)
        });
        let explained = Explained {
            alone: left.err().map(|error| error.to_string()),
            ..explained
        };
        Ok((explained, sizes))
    }
}
