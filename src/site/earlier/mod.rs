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
mod ledger;
mod tree;

pub use explain::Explained;
pub(crate) use ledger::Entry;

use super::write::{Next, Place, failed};
use super::{Form, Published, SiteError};
use crate::record::ObjectId;
use crate::site::files::{Files, Lying};
use crate::site::offline::Own;
use crate::site::pictures::BodyPlate;
use explain::Reason;
use inputs::Inputs;
use ledger::{Ledger, MadeFrom, Stood};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::time::SystemTime;

/// A digest, BLAKE3.
pub(crate) type Mark = [u8; 32];

/// When a file was last written, and what tells it from another at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Stamp {
    bytes: u64,
    /// Nanoseconds since 1970.
    modified: u128,
    /// Of its content or of what is said of it, nanoseconds since 1970; nought where the system does not tell.
    changed: u128,
    /// Its number on the disk.
    inode: u64,
}

impl Stamp {
    fn of(found: &fs::Metadata) -> Self {
        #[cfg(unix)]
        let (changed, inode) = {
            use std::os::unix::fs::MetadataExt;
            let seconds = u128::try_from(found.ctime()).unwrap_or(0);
            let beyond = u128::try_from(found.ctime_nsec()).unwrap_or(0);
            (seconds * 1_000_000_000 + beyond, found.ino())
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

/// When a file was last written, nanoseconds since 1970.
pub(crate) fn modified(found: &fs::Metadata) -> u128 {
    let since = found.modified().ok();
    let since = since.and_then(|time| time.duration_since(SystemTime::UNIX_EPOCH).ok());
    since.map_or(0, |since| since.as_nanos())
}

/// The site at a target, held for one run.
pub struct Earlier {
    place: Place,
    form: Form,
    /// The content folder, as it was before anything of it was read.
    inputs: Inputs,
    /// Of the site that stands.
    ledger: Result<Ledger, String>,
    judged: Judged,
}

/// What a catalogue asks for, held against the site that stands.
#[derive(Default)]
struct Judged {
    program: Mark,
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
        let ledger = tree::ledger(&place);
        let none = Inputs::default();
        let before = ledger.as_ref().map_or(&none, |ledger| &ledger.inputs);
        let (held, inputs) = rayon::join(
            || ledger.as_ref().map(|ledger| tree::held(&place, ledger)),
            || Inputs::take(content, before),
        );
        let held = held.unwrap_or(Ok(()));
        let ledger = held.and(ledger);
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
            inputs,
            ledger,
            judged: Judged::default(),
        })
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
        let mut seen = BTreeMap::new();
        for entry in self.ledger.iter().flat_map(Ledger::files) {
            seen.insert(entry.path.as_str(), entry.bytes);
        }
        let pages = seen.keys().filter(|path| path.ends_with("index.html"));
        let published = Published {
            pages: pages.count(),
            files: seen.len(),
            bytes: seen.values().sum(),
        };
        let explained = Explained {
            all: None,
            objects: Vec::new(),
            kept: self.judged.made_from.len(),
            written: 0,
            stood: seen.len(),
            taken_away: 0,
            alone: None,
        };
        (published, explained)
    }

    /// Begins to write: gives the files of the next site, with nothing in them yet.
    pub(super) fn start(self) -> Result<Writing, SiteError> {
        let trusted = self.ledger.is_ok();
        let next = self.place.start(trusted)?;
        let before = self.ledger.iter().flat_map(Ledger::files);
        let before = before.map(|e| (e.path.clone(), Lying::of(e))).collect();
        let files = Files::in_folder(next.folder(), before);
        let mut kept = BTreeMap::new();
        if let Ok(ledger) = self.ledger {
            for (id, stood) in ledger.objects {
                if self.judged.keeps(&id) {
                    files.of_object(&id).keep(&stood.files);
                    kept.insert(id, stood);
                }
            }
        }
        Ok(Writing {
            next,
            files,
            kept,
            reasons: self.judged.reasons,
            all: self.judged.all,
            ledger: Ledger {
                program: self.judged.program,
                shared: self.judged.shared,
                inputs: self.inputs,
                objects: BTreeMap::new(),
                whole: Vec::new(),
                folders: Vec::new(),
            },
            made_from: self.judged.made_from,
        })
    }
}

/// A site that is being written over the one before.
pub(super) struct Writing {
    next: Next,
    pub(super) files: Files,
    /// Objects that keep their files.
    kept: BTreeMap<ObjectId, Stood>,
    reasons: BTreeMap<ObjectId, Reason>,
    all: Option<Reason>,
    /// Of the site to come.
    ledger: Ledger,
    made_from: BTreeMap<ObjectId, MadeFrom>,
}

/// What is known of the objects of a site after it was made.
pub(super) struct Shown<'a> {
    /// How others show each.
    pub(super) plates: &'a BTreeMap<ObjectId, BodyPlate>,
    /// Their files as a browser may keep them.
    pub(super) own: &'a BTreeMap<ObjectId, Own>,
    /// Objects whose models had something to be said of.
    pub(super) loud: &'a BTreeSet<ObjectId>,
}

/// Objects that keep their pages, as the making of the others has to know them.
#[derive(Default)]
pub(super) struct Kept<'a>(Option<&'a BTreeMap<ObjectId, Stood>>);

impl Kept<'_> {
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_none_or(BTreeMap::is_empty)
    }

    pub(super) fn holds(&self, id: &ObjectId) -> bool {
        self.0.is_some_and(|kept| kept.contains_key(id))
    }

    pub(super) fn plates(&self) -> BTreeMap<ObjectId, BodyPlate> {
        let all = self.0.into_iter().flatten();
        all.map(|(id, stood)| (id.clone(), stood.plate.clone()))
            .collect()
    }

    pub(super) fn own(&self, id: &ObjectId) -> Option<&Own> {
        self.0?.get(id)?.own.as_ref()
    }
}

impl Writing {
    pub(super) fn kept(&self) -> Kept<'_> {
        Kept(Some(&self.kept))
    }

    /// Puts the site in its place, and keeps what the next run needs.
    pub(super) fn finish(mut self, shown: &Shown<'_>) -> Result<Explained, SiteError> {
        let folder = self.next.folder().to_owned();
        let written = self.files.settle()?;
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
            let Some(plate) = shown.plates.get(&id) else {
                continue;
            };
            let quiet = match self.kept.get(&id) {
                Some(stood) => stood.quiet,
                None => !shown.loud.contains(&id),
            };
            self.ledger.objects.insert(
                id.clone(),
                Stood {
                    made_from,
                    quiet,
                    files: written.objects.get(&id).cloned().unwrap_or_default(),
                    plate: plate.clone(),
                    own: shown.own.get(&id).cloned(),
                },
            );
        }
        self.ledger.whole = written.whole;
        let old = self.next.finish()?;
        let left = tree::leave_second(old, self.ledger, &written.changed, &written.gone);
        Ok(Explained {
            alone: left.err().map(|error| error.to_string()),
            ..explained
        })
    }
}
