//! Records that come from and go to other collections: a table (CSV, RFC 4180) and LIDO 1.1.
//!
//! Takes an object and hands on an [`Item`], what both formats can hold of it; takes a received
//! file and hands on items with what was [`Left`] out of them, so that nothing is lost in silence.
//! Export, import and export again give the same bytes for what both hold. What is received is
//! untrusted: sizes, depth and counts are bounded, document types and entities are refused, and a
//! cell that a spreadsheet would run as a formula is written so that it is text.

mod arms;
mod columns;
mod fault;
mod item;
pub mod lido;
#[cfg(unix)]
mod receive;
mod table;

pub(crate) use arms::{lido as lido_arm, table as table_arm};
pub use fault::{Fault, Left, Received, Taken};
pub use item::{Item, ItemMaterial, ItemStep, Mass, Measured, Replica, Resource};
#[cfg(unix)]
pub use receive::{Coming, coming};
pub use table::{Titles, read as read_table, write as write_table};

use crate::record::Lang;

/// What is read at most.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// Bytes of a file.
    pub bytes: u64,
    /// Records in it.
    pub records: usize,
    /// Columns of a table.
    pub columns: usize,
    /// Elements of an XML document.
    pub elements: usize,
    /// How deep they may lie in one another.
    pub depth: usize,
}

impl Bounds {
    /// Room for a collection of some thousand objects. LIDO itself is less than thirty deep.
    pub const USUAL: Self = Self {
        bytes: 64 << 20,
        records: 10_000,
        columns: 2_000,
        elements: 1_000_000,
        depth: 64,
    };
}

/// Reads a received file, told by its first bytes: XML is LIDO, all else is a table. `only` is the
/// language of texts that name none.
///
/// # Errors
/// What is wrong, with its place.
pub fn read(bytes: &[u8], only: Option<&Lang>, bounds: &Bounds) -> Result<Received, Vec<Fault>> {
    let text = fault::text(bytes, bounds)?;
    if text.trim_start().starts_with('<') {
        lido::read(text, only, bounds)
    } else {
        table::read(text, only, bounds)
    }
}
