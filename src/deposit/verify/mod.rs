//! Checking a bag, whoever wrote it: is everything there that is listed, is nothing there that is not,
//! and has every file the digest that it had?
//!
//! *Complete* and *valid* are told apart, as RFC 8493 (3) does. Nothing is ever fetched, no link is
//! followed, and no name is believed before it is known to stay in the bag.

mod folder;
mod judge;
mod lists;
mod packed;
mod told;

use super::DepositError;
use super::bag::Algorithm;
use crate::progress::Listener;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

/// Most files that a bag may have.
const MOST_FILES: usize = 1_000_000;
/// Most bytes of all files of a packed bag together, unpacked.
const MOST_BYTES: u64 = 1 << 44;

/// What sort of fault it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FaultKind {
    /// The bag or one of its lists does not have the form that the rules ask for.
    Form,
    /// A name that leads out of the bag, that some system cannot tell from another, or a link.
    Name,
    /// Listed, but not there.
    Missing,
    /// There, but not listed.
    Unlisted,
    /// There and listed, but with other bytes.
    Changed,
    /// There, but it cannot be read, or nothing that is listed of it can be checked.
    Unread,
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Fault {
    /// The file, relative to the bag; empty for the bag itself.
    pub file: String,
    /// The line, where the file is a list.
    pub line: Option<usize>,
    /// What sort.
    pub kind: FaultKind,
    /// What is wrong, in a sentence.
    pub what: String,
}

impl Fault {
    pub(super) fn of(kind: FaultKind, file: &str, what: impl Into<String>) -> Self {
        Self {
            file: file.to_owned(),
            line: None,
            kind,
            what: what.into(),
        }
    }

    fn at(mut self, line: usize) -> Self {
        self.line = Some(line);
        self
    }
}

/// What the check came to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Verdict {
    /// Whether it is one packed file.
    pub packed: bool,
    /// The version of BagIt that it says it follows: `1.0`.
    pub version: Option<String>,
    /// Everything listed is there, and nothing in `data/` is unlisted.
    pub complete: bool,
    /// It is complete, and every digest is right.
    pub valid: bool,
    /// Files of the payload.
    pub files: usize,
    /// Bytes of the payload.
    pub bytes: u64,
    /// The algorithms by which it was checked.
    pub checked: Vec<&'static str>,
    /// Everything that is wrong.
    pub faults: Vec<Fault>,
    /// What is worth knowing, and no fault.
    pub remarks: Vec<Fault>,
}

/// Where the files of a bag are.
trait Source {
    /// Lengths of all files by their name within the bag, and what is wrong with names.
    fn files(&mut self) -> Result<(BTreeMap<String, u64>, Vec<Fault>), io::Error>;
    /// Reads one, piece by piece, to its end.
    fn read(&mut self, name: &str, each: &mut dyn FnMut(&[u8])) -> io::Result<()>;
}

/// Checks the bag at `path`: its folder, or one packed file.
///
/// # Errors
/// There is nothing at `path`, or its folder cannot be looked into. What is wrong with the bag is no
/// error but a fault of the verdict.
pub fn verify(path: &Path, listener: &dyn Listener) -> Result<Verdict, DepositError> {
    let found = fs::metadata(path).map_err(|e| DepositError::io("looking at", path, &e))?;
    let mut verdict = if found.is_dir() {
        let mut source = folder::Folder::at(path);
        judge::judge(&mut source, listener)
            .map_err(|e| DepositError::io("looking into", path, &e))?
    } else {
        match packed::Packed::open(path) {
            Ok(mut source) => judge::judge(&mut source, listener)
                .map_err(|e| DepositError::io("looking into", path, &e))?,
            Err(fault) => judge::unreadable(fault),
        }
    };
    verdict.packed = !found.is_dir();
    Ok(verdict)
}

impl Verdict {
    fn settle(mut self) -> Self {
        self.faults.sort();
        self.faults.dedup();
        self.remarks.sort();
        self.remarks.dedup();
        let whole = |f: &Fault| matches!(f.kind, FaultKind::Changed | FaultKind::Unread);
        self.complete = self.faults.iter().all(whole);
        self.valid = self.faults.is_empty();
        self
    }
}

/// The words of algorithms, each once.
fn words(algorithms: impl IntoIterator<Item = Algorithm>) -> Vec<&'static str> {
    let mut all: Vec<Algorithm> = algorithms.into_iter().collect();
    all.sort();
    all.dedup();
    all.into_iter().map(Algorithm::word).collect()
}
