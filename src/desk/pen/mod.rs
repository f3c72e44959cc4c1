//! The pen: everything that the desk writes below the content folder goes through it.
//!
//! Takes paths below the content folder ([`Inside`]), texts, the versions they were begun from, and
//! the time. Promises that a file is whole at every moment, that several files are changed all
//! or none, that what somebody else wrote meanwhile is never overwritten, that every change can
//! be taken back, and that what is typed (drafts) and what is deleted (the bin) is kept. Refuses
//! paths that lead out, symbolic links, names that some system takes for another, and a second desk.
//!
//! How a change goes: the texts before and after are kept; a journal says what will be done; the new
//! files are written beside the old ones and synced; each changes places with the old one in one
//! step; the journal is renamed into the history, and at that moment the change is done. Whoever
//! opens the folder after a crash finds the journal, and finishes the change, or takes it back.

mod amend;
mod bin;
mod deed;
mod drafts;
mod ground;
mod history;
mod inside;
mod journal;
mod keep;
mod refusal;
mod swap;
mod take_in;
mod translations;
mod version;
mod window;

pub use amend::{Change, Step, Value, amended};
pub use deed::{BinId, Binned, Entry, Recovered, Undone};
pub use drafts::Draft;
pub use inside::Inside;
pub use refusal::Refusal;
pub use take_in::Taken;
pub use version::{Leaf, Moment, Version};
pub use window::WindowId;

use crate::limits::Limits;
use deed::{Altered, Deed, Record};
use ground::Ground;
use keep::Keep;
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Largest text, bytes: what the survey reads.
const MOST_TEXT: u64 = Limits::USUAL.text_bytes;

/// A content folder opened for writing. Threads may share it.
#[derive(Debug)]
pub struct Pen {
    ground: Ground,
    keep: Keep,
    state: Mutex<State>,
    recovered: Option<Recovered>,
}

/// What one thread at a time may touch.
#[derive(Debug)]
struct State {
    /// All that was done, in order.
    history: Vec<Record>,
    /// Number of the next deed.
    next: u64,
}

/// One of several files that are written together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fresh {
    /// The file.
    pub file: Inside,
    /// The version it was begun from; none for a new file.
    pub expected: Option<Version>,
    /// The whole text.
    pub text: String,
}

impl Pen {
    /// Opens a content folder for writing. `keep` is the folder `.counterpart/desk` beside it, made
    /// when missing and locked: one desk per folder. A change that was interrupted is finished or
    /// taken back; [`Pen::recovered`] tells.
    pub fn open(content: &Path, keep: &Path) -> Result<Pen, Refusal> {
        let ground = Ground::open(content)?;
        let keep = Keep::open(keep)?;
        let history = history::load(&keep)?;
        let last = history.last().map_or(0, |r| r.id);
        let mut pen = Pen {
            ground,
            keep,
            state: Mutex::new(State { history, next: 1 }),
            recovered: None,
        };
        let recovered = {
            let mut state = pen.lock();
            state.next = last.max(pen.last_elsewhere()?) + 1;
            let recovered = pen.settle(&mut state)?;
            pen.sweep_arrivals()?;
            pen.sweep_bin()?;
            recovered
        };
        pen.recovered = recovered;
        pen.hold_reserve();
        Ok(pen)
    }

    /// What became of a change that was interrupted when the folder was last open.
    pub fn recovered(&self) -> Option<&Recovered> {
        self.recovered.as_ref()
    }

    /// A file's text with its version; none when there is no such file.
    pub fn read(&self, file: &Inside) -> Result<Option<Leaf>, Refusal> {
        file.must_be_file()?;
        let Some(bytes) = self.ground.read(file, MOST_TEXT)? else {
            return Ok(None);
        };
        let text = String::from_utf8(bytes).map_err(|e| Refusal::Failed {
            doing: format!("reading {file}"),
            cause: format!(
                "it is not UTF-8 from byte {} on; save it as UTF-8",
                e.utf8_error().valid_up_to() + 1
            ),
        })?;
        Ok(Some(Leaf::of(text)))
    }

    /// The bytes of a file, at most so many; none when there is no such file.
    pub fn bytes(&self, file: &Inside, most: u64) -> Result<Option<Vec<u8>>, Refusal> {
        self.ground.read(file, most)
    }

    /// Writes a whole text. `expected` is the version it was begun from; none for a new file.
    pub fn write(
        &self,
        file: &Inside,
        expected: Option<&Version>,
        text: &str,
        why: &str,
        at: Moment,
    ) -> Result<Version, Refusal> {
        let leaf = Fresh {
            file: file.clone(),
            expected: expected.cloned(),
            text: text.to_owned(),
        };
        self.write_all(std::slice::from_ref(&leaf), why, at)?;
        Ok(Version::of(text.as_bytes()))
    }

    /// Writes several files at once (a new detail: record and notes): all or none. Their versions
    /// come back in the same order.
    pub fn write_all(
        &self,
        leaves: &[Fresh],
        why: &str,
        at: Moment,
    ) -> Result<Vec<Version>, Refusal> {
        let mut state = self.lock();
        self.settle(&mut state)?;
        let (mut files, mut made) = (Vec::new(), Vec::new());
        for (i, leaf) in leaves.iter().enumerate() {
            let twice = |other: &&Fresh| {
                inside::folded(other.file.as_str()) == inside::folded(leaf.file.as_str())
            };
            if let Some(other) = leaves[..i].iter().find(twice) {
                return Err(Refusal::Taken {
                    path: leaf.file.to_string(),
                    by: other.file.to_string(),
                });
            }
            files.extend(self.plan(leaf, &mut made)?);
        }
        if !files.is_empty() {
            let record = state.record(Deed::Wrote { files }, made, why, at);
            self.carry_out(&mut state, record)?;
        }
        Ok(leaves
            .iter()
            .map(|l| Version::of(l.text.as_bytes()))
            .collect())
    }

    /// What writing a leaf takes; none when the file is so already.
    fn plan(&self, leaf: &Fresh, made: &mut Vec<String>) -> Result<Option<Altered>, Refusal> {
        let file = &leaf.file;
        file.must_be_file()?;
        if leaf.text.len() as u64 > MOST_TEXT {
            return Err(Refusal::TooLarge {
                path: file.to_string(),
                most: MOST_TEXT,
            });
        }
        for folder in self.ground.missing_above(file)? {
            if !made.contains(&folder) {
                made.push(folder);
            }
        }
        let there = self.ground.read(file, MOST_TEXT)?;
        let now = there.as_deref().map(Version::of);
        if now != leaf.expected {
            return Err(self.clash(file, &leaf.text));
        }
        let after = Version::of(leaf.text.as_bytes());
        if now.as_ref() == Some(&after) {
            return Ok(None);
        }
        if let Some(bytes) = &there {
            self.keep.keep_text(bytes)?;
        }
        self.keep.keep_text(leaf.text.as_bytes())?;
        Ok(Some(Altered {
            file: file.clone(),
            before: now,
            after: Some(after),
        }))
    }

    fn clash(&self, file: &Inside, yours: &str) -> Refusal {
        Refusal::Clash {
            file: file.clone(),
            yours: yours.to_owned(),
            theirs: self.read(file).ok().flatten(),
        }
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        // A thread that panicked leaves at most a journal, and that is settled first of all.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    fn take_number(&mut self) -> u64 {
        self.next += 1;
        self.next - 1
    }

    fn record(&mut self, deed: Deed, made: Vec<String>, why: &str, at: Moment) -> Record {
        Record {
            format: 1,
            id: self.take_number(),
            at,
            why: why.to_owned(),
            deed,
            made,
            unmade: Vec::new(),
            undoes: None,
        }
    }
}
