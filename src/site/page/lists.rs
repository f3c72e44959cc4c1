//! Pages that list some of many objects.

use super::{Frame, ObjectHead, Picture, SectionLink};
use serde::Serialize;

/// Some objects of a list, and the ways to the others.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Listing {
    /// "Objects 1 to 24 of 60", or how many there are in all.
    pub(crate) range: String,
    pub(crate) entries: Vec<Entry>,
    /// None when one page holds the whole list.
    pub(crate) pager: Option<Pager>,
}

/// One object of a list.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Entry {
    pub(crate) object: ObjectHead,
    /// Its title names it: the picture has no text of its own.
    pub(crate) picture: Picture,
}

/// Ways to the other pages of a list.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Pager {
    pub(crate) previous: Option<String>,
    pub(crate) next: Option<String>,
    /// First, last and neighbours.
    pub(crate) pages: Vec<PagerLink>,
}

#[derive(Debug, Clone, Serialize)]
pub(crate) struct PagerLink {
    pub(crate) number: usize,
    /// "Page 3".
    pub(crate) label: String,
    pub(crate) href: String,
    pub(crate) current: bool,
    /// Whether pages before it are not named.
    pub(crate) after_gap: bool,
}

/// More of all objects, or those of one value.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ObjectsPage {
    pub(crate) frame: Frame,
    pub(crate) heading: String,
    /// Ways up: all objects, all values.
    pub(crate) above: Vec<SectionLink>,
    pub(crate) listing: Listing,
}

/// Every value of a facet.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ChoicePage {
    pub(crate) frame: Frame,
    pub(crate) heading: String,
    pub(crate) above: Vec<SectionLink>,
    pub(crate) values: Vec<ValueLink>,
}

/// A facet on the home page, with its commonest values.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct FacetShown {
    /// To all its values.
    pub(crate) whole: SectionLink,
    pub(crate) values: Vec<ValueLink>,
    /// "all 57", when not all are shown.
    pub(crate) all: Option<String>,
}

/// A value with the number of its objects.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ValueLink {
    pub(crate) text: String,
    pub(crate) count: usize,
    pub(crate) href: String,
}

/// What the home page has when there are many objects.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ManyObjects {
    pub(crate) listing: Listing,
    pub(crate) facets: Vec<FacetShown>,
    /// The page that looks for words.
    pub(crate) find: String,
}
