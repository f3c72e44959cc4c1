//! Every format of an object, and the block of data in each page.

use super::{Frame, ObjectHead};
use serde::Serialize;

/// The same thing in another format, for programs.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Alternate {
    pub(crate) media_type: &'static str,
    /// The standard.
    pub(crate) title: &'static str,
    pub(crate) href: String,
}

/// The page that lists all formats of an object.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DataPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    pub(crate) rows: Vec<DataRow>,
    pub(crate) rights_href: String,
    /// Whether the documents are left out when a browser keeps the pages.
    pub(crate) kept_away: bool,
}

/// One format.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DataRow {
    pub(crate) id: String,
    pub(crate) name: String,
    /// What it is, and for whom.
    pub(crate) what: String,
    pub(crate) who: String,
    /// The standard with its version.
    pub(crate) standard: &'static str,
    /// Whether something of it follows a draft.
    pub(crate) draft: bool,
    pub(crate) languages: String,
    pub(crate) files: Vec<DataFile>,
}

/// One document.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DataFile {
    pub(crate) label: String,
    pub(crate) href: String,
    pub(crate) media_type: &'static str,
    /// "12 kB".
    pub(crate) size: String,
}
