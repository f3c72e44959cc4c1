//! Records of others: tables and LIDO, in and out, and files that mean harm.
mod hostile;
mod lido;
use crate::tree as place;
mod rounds;
mod table;

use counterpart::exchange::{Bounds, Received, read};
use counterpart::record::Lang;

pub(crate) fn lang(tag: &str) -> Lang {
    tag.parse().expect("a language")
}

/// Reads a text that must be readable.
pub(crate) fn taken(text: &str) -> Received {
    match read(text.as_bytes(), Some(&lang("en")), &Bounds::USUAL) {
        Ok(received) => received,
        Err(faults) => panic!("{faults:?}"),
    }
}

/// The faults of bytes that must be refused, one a line.
pub(crate) fn refused(bytes: &[u8], only: Option<&Lang>) -> String {
    match read(bytes, only, &Bounds::USUAL) {
        Ok(received) => panic!("it was read as {}", received.how),
        Err(faults) => faults.iter().map(|f| format!("{f}\n")).collect(),
    }
}
