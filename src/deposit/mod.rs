//! The deposit: all that is known of one object, as a package that an archive can keep.
//!
//! Takes the records, the geometry and a place; hands on a bag (BagIt 1.0, RFC 8493), as a folder or
//! as one packed file, whole or not at all. Steps: [`contents`] says what goes in and what is withheld;
//! [`told`] writes it all down for a reader without any program; [`stage`] puts it on the disk beside
//! its place, goes on where an earlier run was cut off, reads everything back, and only then lets it
//! take its place. [`verify()`] checks a bag, whoever wrote it.

mod bag;
mod contents;
mod pack;
mod place;
mod room;
mod stage;
mod tags;
mod told;
mod verify;

pub use bag::Algorithm;
pub use verify::{Fault, FaultKind, Verdict, verify};

use crate::collate::ObjectGeometry;
use crate::limits::Limits;
use crate::progress::Listener;
use crate::record::{Catalogue, ObjectId, Sources};
use crate::site::SiteError;
use crate::store::Store;
use std::collections::BTreeMap;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The label under which a bag says what wrote it.
const AGENT: &str = "Bag-Software-Agent";

/// What this program calls itself in a bag.
fn agent() -> String {
    format!("counterpart {}", env!("CARGO_PKG_VERSION"))
}

/// Whether a bag's software is this program, in whatever version.
fn is_agent(value: &str) -> bool {
    value.starts_with("counterpart ")
}

/// Everything that [`deposit`] works from. Rights are judged for the catalogue's day, which is also
/// the day of the bag.
pub struct Request<'a> {
    /// The records.
    pub catalogue: &'a Catalogue,
    /// Geometry of every object of the catalogue.
    pub geometry: &'a BTreeMap<ObjectId, Arc<ObjectGeometry>>,
    /// The files that were read.
    pub sources: &'a Sources,
    /// The object.
    pub object: &'a ObjectId,
    /// The folder in which the bag is to stand, under the object's name.
    pub to: &'a Path,
    /// Whether it is one packed file.
    pub packed: bool,
    /// Where dear results are kept.
    pub store: &'a Store,
    /// Bounds for what is read.
    pub limits: &'a Limits,
    /// Hears how far the work has come.
    pub listener: &'a dyn Listener,
}

/// A bag that was written, read back and found right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Deposited {
    /// Where it stands.
    pub path: PathBuf,
    /// Files of its payload.
    pub files: usize,
    /// Bytes of its payload.
    pub bytes: u64,
    /// Files that an earlier run, cut off before its end, had written already.
    pub found_files: usize,
    /// Bytes of those.
    pub found_bytes: u64,
    /// What was withheld and why, in the site's first language, one sentence each.
    pub withheld: Vec<String>,
}

/// Why there is no deposit. An earlier one is untouched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DepositError {
    /// The record does not allow it as it stands; what to write instead is said.
    Refused(String),
    /// What stands in the place is not ours, or another run works on it.
    Target(String),
    /// The disk has too little room.
    NoRoom {
        /// The folder that was to be written to.
        place: PathBuf,
        /// Bytes that are wanted, and not there yet.
        needed: u64,
        /// Bytes that are free, when the system tells.
        free: Option<u64>,
    },
    /// What was read back is not what was written.
    Changed(String),
    /// Pages or pictures could not be made.
    Site(SiteError),
    /// Reading or writing failed.
    Io(String),
}

impl DepositError {
    fn io(doing: &str, path: &Path, error: &io::Error) -> Self {
        Self::Io(format!("{doing} {}: {error}", path.display()))
    }
}

impl From<SiteError> for DepositError {
    fn from(error: SiteError) -> Self {
        Self::Site(error)
    }
}

impl fmt::Display for DepositError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(text) | Self::Target(text) | Self::Changed(text) | Self::Io(text) => {
                f.write_str(text)
            }
            Self::Site(error) => error.fmt(f),
            Self::NoRoom {
                place,
                needed,
                free,
            } => {
                write!(
                    f,
                    "there is too little room on the disk of {}: {} more are wanted",
                    place.display(),
                    megabytes(*needed)
                )?;
                if let Some(free) = free {
                    write!(f, ", {} are free", megabytes(*free))?;
                }
                f.write_str("; make room, or name another place with --to, and run it again: what is written already is used")
            }
        }
    }
}

impl std::error::Error for DepositError {}

/// Decimal megabytes, rounded up.
fn megabytes(bytes: u64) -> String {
    let tenths = bytes.div_ceil(100_000);
    format!("{}.{} MB", tenths / 10, tenths % 10)
}

/// Writes the deposit of one object.
///
/// # Errors
/// Nothing is left half-written under the bag's name, whatever goes wrong, and an earlier bag there is
/// whole.
pub fn deposit(request: &Request<'_>) -> Result<Deposited, DepositError> {
    let target = place::target(request)?;
    place::may_replace(&target, request)?;
    let gathered = contents::gather(request)?;
    stage::write(request, &target, gathered)
}
