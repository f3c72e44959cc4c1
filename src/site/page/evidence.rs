//! How claims are known: on every page a few words with a way to the page of evidence.

use super::{Frame, ObjectHead};
use serde::Serialize;

/// How something is known, in a few words.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KnownBy {
    pub(crate) text: String,
    /// Where it is told in full; `None` where nothing more is told.
    pub(crate) href: Option<String>,
    /// Marks the place to which the page of evidence leads back.
    pub(crate) id: Option<String>,
}

impl From<String> for KnownBy {
    fn from(text: String) -> Self {
        Self {
            text,
            href: None,
            id: None,
        }
    }
}

/// All evidence of one object.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct EvidencePage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    pub(crate) groups: Vec<ClaimGroup>,
    pub(crate) sources: Vec<SourceUse>,
}

/// Claims about one side of the object.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ClaimGroup {
    pub(crate) id: &'static str,
    pub(crate) heading: String,
    pub(crate) rows: Vec<ClaimRow>,
}

/// One claim.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ClaimRow {
    pub(crate) id: String,
    pub(crate) term: String,
    pub(crate) value: String,
    pub(crate) known: String,
    /// What it is from.
    pub(crate) source: Option<SourceLink>,
    /// What it was reckoned from; words alone where the address is empty.
    pub(crate) from: Vec<GroundLink>,
    /// The page that makes the claim.
    pub(crate) said_on: Option<GroundLink>,
}

/// A source of the page.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SourceLink {
    pub(crate) id: String,
    pub(crate) title: String,
    /// Language of the title when it differs from the page's.
    pub(crate) lang: Option<String>,
    pub(crate) dir: &'static str,
}

/// Words and where they lead.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct GroundLink {
    pub(crate) text: String,
    pub(crate) href: String,
}

/// A source, and what rests on it.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SourceUse {
    pub(crate) id: String,
    pub(crate) author: Option<String>,
    pub(crate) title: String,
    /// Language of the title when it differs from the page's.
    pub(crate) lang: Option<String>,
    pub(crate) dir: &'static str,
    pub(crate) date: Option<String>,
    pub(crate) held: Option<String>,
    pub(crate) claims: Vec<GroundLink>,
}
