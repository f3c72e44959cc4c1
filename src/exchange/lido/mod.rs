//! LIDO 1.1 (Lightweight Information Describing Objects, ICOM CIDOC): the event-oriented XML in which
//! museums exchange records. Version 1.0 has the same namespace and is read, too.
//!
//! Elements, their order and the addresses of terms are from memory: no registry of packages
//! carries the schema.

mod read;
mod tree;
mod write;

pub(super) use read::named;
pub use read::read;
pub use write::{Publisher, write};

/// Namespace of LIDO.
const NAMESPACE: &str = "http://www.lido-schema.org";
/// Beginning of the addresses of LIDO's own terms.
const TERMS: &str = "http://terminology.lido-schema.org/";
/// An identifier that is an address.
const URI: &str = "http://terminology.lido-schema.org/lido00099";
/// An identifier that means something in one place only.
const LOCAL: &str = "http://terminology.lido-schema.org/lido00100";
/// Making.
const PRODUCTION: &str = "lido00007";
/// Making, of a work of the mind.
const CREATION: &str = "lido00012";
/// What we call the taking of a scan; LIDO has no term of its own for it.
const DIGITISATION: &str = "Digitisation";
/// Kinds of description that we tell apart.
const FINISH: &str = "finish";
const LABEL: &str = "label";
/// The agreement that speaks of the work itself, and not of words, scans or pictures.
const WORK: &str = "work";
