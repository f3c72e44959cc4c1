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
mod tree;

pub use explain::Explained;
pub(crate) use known::RECORDS;
pub(crate) use ledger::Entry;

use super::write::{Next, Place, failed};
use super::{Form, Published, SiteError};
use crate::record::{Catalogue, Day, Findings, Known, ObjectId, Sources};
use crate::site::files::{Before, Files};
use crate::site::offline::Own;
use crate::site::pictures::BodyPlate;
use explain::Reason;
use inputs::Inputs;
use known::Reading;
use ledger::{Ledger, MadeFrom, Program, Stood};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};
use std::thread::{JoinHandle, spawn};
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
        let (known, looking) = (OnceLock::new(), OnceLock::new());
        let inputs = Inputs::take(content, || {
            let ledger = known.get_or_init(|| tree::ledger(&place).map(Arc::new));
            let ledger = ledger.as_ref().ok()?;
            let (own, target) = (Arc::clone(ledger), place.target().to_owned());
            let second = place.next();
            // It is set this once.
            let _ = looking.set(spawn(move || tree::held(&target, &second, &own)));
            Some(&ledger.inputs)
        });
        let ledger = known.into_inner();
        let ledger = ledger.unwrap_or_else(|| Err("nothing was known of it".to_owned()));
        let looking = looking.into_inner();
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
        let files = self.ledger.as_ref().map_or(&[][..], |ledger| &ledger.files);
        let pages = files.iter().filter(|e| e.path.ends_with("index.html"));
        let published = Published {
            pages: pages.count(),
            files: files.len(),
            bytes: files.iter().map(|entry| entry.bytes).sum(),
        };
        let explained = Explained {
            all: None,
            objects: Vec::new(),
            kept: self.judged.made_from.len(),
            written: 0,
            stood: files.len(),
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
        let (mut kept, mut folders) = (BTreeMap::new(), BTreeMap::new());
        if let Ok(ledger) = self.ledger {
            let ledger = Arc::unwrap_or_clone(ledger);
            // An object that keeps its files has another number where others came or went.
            let number = |id: &ObjectId| {
                let place = objects.binary_search(id).ok();
                let place = place.filter(|_| self.judged.keeps(id));
                place.and_then(|place| u32::try_from(place).ok())
            };
            let numbers: Vec<Option<u32>> = ledger.objects.keys().map(number).collect();
            before.entries = ledger.files;
            for entry in &mut before.entries {
                let of = entry
                    .of
                    .iter()
                    .filter_map(|old| *numbers.get(*old as usize)?);
                entry.of = of.collect();
            }
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
                files: Vec::new(),
                folders,
            },
            made_from: self.judged.made_from,
        })
    }
}

/// A site that is being written over the one before.
pub(super) struct Writing {
    content: PathBuf,
    known: BTreeSet<ObjectId>,
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
    /// Their records.
    pub(super) catalogue: &'a Catalogue,
    /// What is to be said of those.
    pub(super) findings: &'a Findings,
    /// The files that they were read from.
    pub(super) sources: &'a Sources,
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
        self.ledger.files = written.files;
        let old = self.next.finish()?;
        let left = remember(&mut self.ledger, old.place().bench(), &self.content, shown);
        let left = left
            .and_then(|()| tree::leave_second(old, self.ledger, &written.changed, &written.gone));
        Ok(Explained {
            alone: left.err().map(|error| error.to_string()),
            ..explained
        })
    }
}

/// Keeps the records of objects of whose models nothing is to be said.
fn remember(
    ledger: &mut Ledger,
    bench: &Path,
    content: &Path,
    shown: &Shown<'_>,
) -> std::io::Result<()> {
    let read = known::read_of(shown.catalogue, shown.findings, shown.sources);
    let (mut lying, mut others) = (BTreeMap::new(), Vec::new());
    for (id, stood) in &ledger.objects {
        match (read.get(id).filter(|_| stood.quiet), stood.lies) {
            (Some(_), Some(lies)) => drop(lying.insert(id.clone(), lies)),
            (Some(known), None) => others.push(known),
            (None, _) => {}
        }
    }
    let mut lying = known::keep(bench, lying, &others)?;
    for (id, stood) in &mut ledger.objects {
        stood.lies = lying.remove(id);
    }
    ledger.reading = Some(Reading {
        content: content.to_owned(),
        today: shown.catalogue.today,
    });
    Ok(())
}
