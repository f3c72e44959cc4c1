//! The rules of a bag (BagIt 1.0, RFC 8493), apart from any disk: names, digests, manifests and the
//! two files of facts.

pub(super) mod digest;
pub(super) mod facts;
pub(super) mod manifest;
pub(super) mod names;

pub use digest::Algorithm;
