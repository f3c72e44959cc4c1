//! The site that stands at a target, and what of it still holds: an object whose files, rights and place are
//! as they were keeps its pages, pictures and documents, and is not made again.
//!
//! Between two runs a folder `.NAME.counterpart` lies beside the target `NAME`: a ledger of what the site was
//! made from, and a second tree of it whose files are the very same on the disk (hard links). The next run
//! changes in that tree what has to be, and exchanges the two. Whatever is not as the ledger has it, and
//! every run that did not end well, leads to a site that is made from the ground.

mod explain;
mod inputs;
mod judge;
mod known;
mod ledger;
mod looks;
mod lying;
mod ordered;
mod tree;
mod writing;

pub use explain::Explained;
pub(crate) use known::RECORDS;
pub(crate) use lying::{Entry, Lying};
pub(crate) use ordered::side_by_side;
pub(crate) use writing::{Kept, Shown, Writing};

use super::write::Place;
use super::{Form, Published, SiteError};
use crate::record::{Day, Known, ObjectId};
use crate::site::files::{Before, Files};
use explain::Reason;
use inputs::Inputs;
use known::Reading;
use ledger::{Ledger, MadeFrom, Program, Stood};
use ordered::Ordered;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::{JoinHandle, spawn};
use std::time::SystemTime;

/// A digest, BLAKE3.
pub(crate) type Mark = [u8; 32];

/// When a file was last written, and what tells it from another at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Stamp {
    bytes: u64,
    /// Nanoseconds since 1970.
    modified: u64,
    /// Of its content or of what is said of it, nanoseconds since 1970; nought where the system does not tell.
    changed: u64,
    /// Its number on the disk.
    inode: u64,
}

impl Stamp {
    fn of(found: &fs::Metadata) -> Self {
        #[cfg(unix)]
        let (changed, inode) = {
            use std::os::unix::fs::MetadataExt;
            let seconds = u64::try_from(found.ctime()).unwrap_or(0);
            let beyond = u64::try_from(found.ctime_nsec()).unwrap_or(0);
            let nanoseconds = seconds.saturating_mul(1_000_000_000);
            (nanoseconds.saturating_add(beyond), found.ino())
        };
        #[cfg(not(unix))]
        let (changed, inode) = (0, 0);
        Self {
            bytes: found.len(),
            modified: modified(found),
            changed,
            inode,
        }
    }
}

/// When a file was last written, nanoseconds since 1970, which there is room for until 2554.
pub(crate) fn modified(found: &fs::Metadata) -> u64 {
    let since = found.modified().ok();
    let since = since.and_then(|time| time.duration_since(SystemTime::UNIX_EPOCH).ok());
    since.map_or(0, |since| since.as_nanos().try_into().unwrap_or(u64::MAX))
}

/// The site at a target, held for one run.
pub struct Earlier {
    place: Place,
    form: Form,
    /// Where the content folder is.
    content: PathBuf,
    /// The content folder, as it was before anything of it was read.
    inputs: Inputs,
    /// Of the site that stands.
    ledger: Result<Arc<Ledger>, String>,
    /// Looks meanwhile whether all is as the ledger tells.
    looking: Option<JoinHandle<Result<(), String>>>,
    judged: Judged,
    /// Objects that were not read again.
    known: BTreeSet<ObjectId>,
}

/// What a catalogue asks for, held against the site that stands.
#[derive(Default)]
struct Judged {
    program: Program,
    shared: Mark,
    made_from: BTreeMap<ObjectId, MadeFrom>,
    /// Objects to be made, and why.
    reasons: BTreeMap<ObjectId, Reason>,
    /// Why all of them are.
    all: Option<Reason>,
    /// Whether there are other objects than before.
    others: bool,
}

impl Judged {
    /// Whether an object of the earlier site keeps its pages.
    fn keeps(&self, id: &ObjectId) -> bool {
        self.all.is_none() && self.made_from.contains_key(id) && !self.reasons.contains_key(id)
    }
}

impl Earlier {
    /// Takes hold of a target, before the content folder is read.
    ///
    /// # Errors
    /// A target that is not ours, or in use.
    pub fn begin(content: &Path, target: &Path, form: Form) -> Result<Self, SiteError> {
        let place = Place::claim(target)?;
        let ledger = tree::ledger(&place).map(Arc::new);
        let looking = ledger.as_ref().ok().map(|ledger| {
            let (own, target, second) =
                (Arc::clone(ledger), place.target().to_owned(), place.next());
            spawn(move || tree::held(&target, &second, &own))
        });
        let inputs = Inputs::take(content, ledger.as_ref().ok().map(|ledger| &ledger.inputs));
        let (inputs, ledger) = match inputs {
            Ok(inputs) => (inputs, ledger),
            // What stands in the way is told by whoever reads the records.
            Err(error) => {
                let why = format!("{}: {error}", content.display());
                (Inputs::default(), Err(why))
            }
        };
        Ok(Self {
            place,
            form,
            content: content.to_owned(),
            inputs,
            ledger,
            looking,
            judged: Judged::default(),
            known: BTreeSet::new(),
        })
    }

    /// Whether all of the site is as the ledger tells. If it is not, there is no earlier site any more to go by,
    /// and whatever was asked of it before is void.
    pub fn holds(&mut self) -> bool {
        let looked = self.looking.take().map(JoinHandle::join);
        let died = |_| Err("the earlier site could not be looked at".to_owned());
        match looked.map_or(Ok(()), |looked| looked.unwrap_or_else(died)) {
            Ok(()) => true,
            Err(why) => {
                self.ledger = Err(why);
                self.judged = Judged::default();
                self.known.clear();
                false
            }
        }
    }

    /// Objects whose records need not be read again for this day.
    pub fn known(&mut self, today: Day) -> Vec<Known> {
        let now = self.reading(today);
        let ledger = self.ledger.iter();
        let ledger = ledger.filter(|l| l.program.mark == judge::program(Some(&l.program)).mark);
        let mut known = ledger.map(|l| known::known(self.place.bench(), l, &self.inputs, &now));
        let known = known.next().unwrap_or_default();
        self.known = known.iter().map(|known| known.object.id.clone()).collect();
        known
    }

    fn reading(&self, today: Day) -> Reading {
        Reading {
            content: self.content.clone(),
            today,
        }
    }

    /// Objects that keep their pages, and whose models had nothing to be said of when they were read.
    pub fn quiet(&self) -> BTreeSet<ObjectId> {
        let stood = self.stood().filter(|(_, stood)| stood.quiet);
        stood.map(|(id, _)| id.clone()).collect()
    }

    /// Whether the site that stands is the one that is asked for.
    pub(super) fn stands(&self) -> bool {
        let judged = &self.judged;
        self.ledger.is_ok() && judged.all.is_none() && judged.reasons.is_empty() && !judged.others
    }

    /// Objects that keep their pages.
    pub(super) fn stood(&self) -> impl Iterator<Item = (&ObjectId, &Stood)> {
        let objects = self.ledger.iter().flat_map(|ledger| &ledger.objects);
        objects.filter(|(id, _)| {
            let judged = &self.judged;
            judged.keeps(id)
        })
    }

    /// The site that stands, as if it had been published.
    pub(super) fn as_it_is(&self) -> (Published, Explained) {
        let files = self.ledger.iter().flat_map(|ledger| ledger.files.iter());
        let mut published = Published {
            pages: 0,
            files: 0,
            bytes: 0,
        };
        for (path, entry) in files {
            published.pages += usize::from(path.ends_with("index.html"));
            published.files += 1;
            published.bytes += entry.bytes;
        }
        let explained = Explained {
            all: None,
            objects: Vec::new(),
            kept: self.judged.made_from.len(),
            written: 0,
            stood: published.files,
            taken_away: 0,
            alone: None,
        };
        (published, explained)
    }

    /// Begins to write: gives the files of the next site, with nothing in them yet.
    pub(super) fn start(self) -> Result<Writing, SiteError> {
        let trusted = self.ledger.is_ok();
        let next = self.place.start(trusted)?;
        let objects: Vec<ObjectId> = self.judged.made_from.keys().cloned().collect();
        let mut before = Before {
            models_hold: self.judged.all.is_none(),
            ..Before::default()
        };
        let (mut kept, mut folders) = (BTreeMap::new(), Ordered::default());
        if let Ok(ledger) = self.ledger {
            let ledger = Arc::unwrap_or_clone(ledger);
            // An object that keeps its files has another number where others came or went.
            let number = |id: &ObjectId| {
                let place = objects.binary_search(id).ok();
                let place = place.filter(|_| self.judged.keeps(id));
                place.and_then(|place| u32::try_from(place).ok())
            };
            let numbers: Vec<Option<u32>> = ledger.objects.keys().map(number).collect();
            before.files = ledger.files;
            before.files.renumber(&numbers);
            let all = ledger.objects.into_iter();
            kept.extend(all.filter(|(id, _)| self.judged.keeps(id)));
            folders = ledger.folders;
        }
        before.objects = objects;
        let files = Files::in_folder(next.folder(), before);
        Ok(Writing {
            content: self.content,
            known: self.known,
            next,
            files,
            kept,
            reasons: self.judged.reasons,
            all: self.judged.all,
            ledger: Ledger {
                program: self.judged.program,
                shared: self.judged.shared,
                inputs: self.inputs,
                reading: None,
                objects: BTreeMap::new(),
                files: Lying::default(),
                folders,
            },
            made_from: self.judged.made_from,
        })
    }
}
