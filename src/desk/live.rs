//! The survey, kept up to date while files change.
//!
//! One thread reads. Records and words are read anew at every change, which takes a few hundredths of
//! a second, and what they say is handed out at once. Geometry is found anew only for objects of which
//! a record or a model has changed, and of those only what depends on the change; until it is there the
//! earlier geometry stands, and it is said that measuring goes on.

use crate::collate::{self, Kept, ObjectGeometry};
use crate::limits::Limits;
use crate::record::{self, Catalogue, Day, Findings, Object, ObjectId, Reading, Site, Sources};
use crate::site;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, RwLock};
use std::time::UNIX_EPOCH;

/// What is known of one object's models.
#[derive(Debug)]
struct Known {
    /// Digest of everything that it was found from.
    of: [u8; 32],
    geometry: Option<Arc<ObjectGeometry>>,
    findings: Findings,
}

/// The folder as it was at one moment.
#[derive(Debug)]
pub(super) struct Seen {
    /// Counts the readings.
    pub(super) number: u64,
    /// `None` when a record or note is missing or cannot be read.
    pub(super) catalogue: Option<Catalogue>,
    /// What `site.toml` says.
    pub(super) site: Option<Site>,
    /// All findings, of records and models.
    pub(super) findings: Findings,
    /// The texts.
    pub(super) sources: Sources,
    /// Geometry by object; of one that is being measured, the earlier.
    pub(super) geometry: BTreeMap<ObjectId, Arc<ObjectGeometry>>,
    /// Objects that are being measured.
    pub(super) measuring: Vec<ObjectId>,
}

/// Somebody who wants to know when there is something new: the number of the reading.
pub(super) type Told = Box<dyn Fn(u64) + Send + Sync>;

/// The live survey.
pub(super) struct Live {
    content: PathBuf,
    limits: Limits,
    today: Box<dyn Fn() -> Day + Send + Sync>,
    seen: RwLock<Arc<Seen>>,
    /// Changes that nobody has read yet; `None` when the desk is closed.
    waiting: Mutex<Option<u64>>,
    wake: Condvar,
    told: Told,
}

impl Live {
    /// Reads the records of a folder. Call [`Live::work`] on a thread of its own for the rest.
    pub(super) fn open(
        content: &Path,
        limits: Limits,
        today: Box<dyn Fn() -> Day + Send + Sync>,
        told: Told,
    ) -> Self {
        let reading = record::read(content, today(), &limits);
        let seen = assemble(1, reading, &BTreeMap::new(), Vec::new());
        Self {
            content: content.to_owned(),
            limits,
            today,
            seen: RwLock::new(Arc::new(seen)),
            waiting: Mutex::new(Some(1)),
            wake: Condvar::new(),
            told,
        }
    }

    /// The newest state.
    pub(super) fn seen(&self) -> Arc<Seen> {
        Arc::clone(&self.seen.read().unwrap_or_else(|e| e.into_inner()))
    }

    /// Says that a file may have changed.
    pub(super) fn poke(&self) {
        if let Some(waiting) = &mut *self.waiting.lock().unwrap_or_else(|e| e.into_inner()) {
            *waiting += 1;
        }
        self.wake.notify_all();
    }

    /// Ends the work.
    pub(super) fn close(&self) {
        *self.waiting.lock().unwrap_or_else(|e| e.into_inner()) = None;
        self.wake.notify_all();
    }

    /// Waits for a change; whether there was one before the desk was closed.
    fn wait(&self) -> bool {
        let mut waiting = self.waiting.lock().unwrap_or_else(|e| e.into_inner());
        loop {
            match &mut *waiting {
                None => return false,
                Some(0) => waiting = self.wake.wait(waiting).unwrap_or_else(|e| e.into_inner()),
                Some(changes) => {
                    *changes = 0;
                    return true;
                }
            }
        }
    }

    fn changed_again(&self) -> bool {
        let waiting = self.waiting.lock().unwrap_or_else(|e| e.into_inner());
        waiting.is_none_or(|changes| changes > 0)
    }

    /// Reads at every change, until the desk is closed.
    pub(super) fn work(&self) {
        let mut known: BTreeMap<ObjectId, Known> = BTreeMap::new();
        let mut kept = Kept::default();
        let mut number = 1;
        while self.wait() {
            let reading = record::read(&self.content, (self.today)(), &self.limits);
            let objects: &[Arc<Object>] = reading.catalogue.as_ref().map_or(&[], |c| &c.objects);
            // A folder in which a file is just being written may be unreadable for a moment; what was
            // measured is not let go for that.
            if reading.catalogue.is_some() {
                known.retain(|id, _| objects.iter().any(|o| &o.id == id));
            }
            let stale: Vec<(ObjectId, [u8; 32])> = objects
                .iter()
                .map(|object| (object.id.clone(), made_of(object, &reading.sources)))
                .filter(|(id, of)| known.get(id).is_none_or(|k| &k.of != of))
                .collect();
            let measuring = stale.iter().map(|(id, _)| id.clone()).collect();
            number += 1;
            let sources = reading.sources.clone();
            let catalogue = reading.catalogue.clone();
            self.show(assemble(number, reading, &known, measuring));
            let Some(catalogue) = catalogue else { continue };
            let mut whole = true;
            for (id, of) in &stale {
                let Some(object) = catalogue.object(id) else {
                    continue;
                };
                if self.changed_again() {
                    whole = false;
                    break;
                }
                let (geometry, findings) =
                    collate::read_again(&self.content, object, &sources, &self.limits, &mut kept);
                let found = Known {
                    of: *of,
                    geometry: geometry.map(Arc::new),
                    findings,
                };
                known.insert(id.clone(), found);
            }
            if !stale.is_empty() && whole {
                // What the other objects keep must not be let go of: only a full round sweeps.
                if stale.len() == catalogue.objects.len() {
                    kept.sweep();
                }
                let reading = record::read(&self.content, (self.today)(), &self.limits);
                number += 1;
                self.show(assemble(number, reading, &known, Vec::new()));
            }
        }
    }

    fn show(&self, seen: Seen) {
        let number = seen.number;
        *self.seen.write().unwrap_or_else(|e| e.into_inner()) = Arc::new(seen);
        (self.told)(number);
    }
}

fn assemble(
    number: u64,
    reading: Reading,
    known: &BTreeMap<ObjectId, Known>,
    measuring: Vec<ObjectId>,
) -> Seen {
    let mut findings = reading.findings;
    if let Some(catalogue) = &reading.catalogue {
        findings.extend(site::findings(catalogue));
    }
    let readable = reading.catalogue.is_some();
    let mut geometry = BTreeMap::new();
    for (id, known) in known {
        // Places in a record that has changed since would be wrong.
        if readable && !measuring.contains(id) {
            findings.extend(known.findings.clone());
        }
        if let Some(found) = &known.geometry {
            geometry.insert(id.clone(), Arc::clone(found));
        }
    }
    findings.settle();
    Seen {
        number,
        catalogue: reading.catalogue,
        site: reading.site,
        findings,
        sources: reading.sources,
        geometry,
        measuring,
    }
}

/// A digest of all that an object's geometry is found from: its records, and the state of the files
/// beside them. Words are no part of it.
fn made_of(object: &Object, sources: &Sources) -> [u8; 32] {
    let mut hasher = blake3::Hasher::new();
    let own = format!("{}/", object.id);
    for file in sources.iter() {
        if file.name.starts_with(&own) && file.name.ends_with(".toml") {
            for piece in [file.name.as_bytes(), file.text.as_bytes()] {
                hasher.update(&(piece.len() as u64).to_le_bytes());
                hasher.update(piece);
            }
        }
    }
    let skipped = |name: &str| name == "details" || name == "making";
    let files = walkdir::WalkDir::new(&object.folder)
        .sort_by_file_name()
        .max_depth(4)
        .into_iter()
        .filter_entry(|e| e.depth() != 1 || !e.file_name().to_str().is_some_and(skipped));
    for entry in files.flatten().filter(|e| e.file_type().is_file()) {
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.ends_with(".md") || name.ends_with(".toml") {
            continue;
        }
        let Ok(told) = entry.metadata() else { continue };
        let time = told.modified().ok();
        let time = time.and_then(|t| t.duration_since(UNIX_EPOCH).ok());
        let state = format!("{} {} {time:?}\n", entry.path().display(), told.len());
        hasher.update(state.as_bytes());
    }
    *hasher.finalize().as_bytes()
}
