//! Page models: all that a template may show, in plain typed data.
//!
//! Text fields are plain text (the templates escape them); only fields ending in `_html` hold
//! markup, made by `record::words` from escaped input. Every `href` and picture address is
//! relative to the page, so that the site works from any folder. Numbers that a reader sees come
//! as finished text in the page's language, made in `site::figures`.

mod data;
pub(crate) mod differences;
mod evidence;
pub(crate) mod find;
mod kiosk;
pub(crate) mod lists;
mod object;
pub(crate) mod quantities;
mod raking;
mod recording;
mod rest;
mod sheets;

pub(crate) use data::{Alternate, DataFile, DataPage, DataRow};
pub(crate) use evidence::{
    ClaimGroup, ClaimRow, EvidencePage, GroundLink, KnownBy, SourceLink, SourceUse,
};
pub(crate) use kiosk::{
    Invitation, KioskObjectPage, KioskPage, KioskScreen, KioskTallyPage, Leaf, TallyName,
    TallyObject,
};
pub(crate) use object::{
    BearingRow, BodyView, DetailPage, DetailStill, DifferenceRow, DiffersPage, Fact, KeyEntry,
    Leader, ModelFile, ModelLevel, ObjectHead, ObjectPage, OrientationMark, Plate, ScaleBar,
};
pub(crate) use raking::{Light, LitPicture, Raking};
pub(crate) use recording::{
    Described, RecordingShown, SaidShown, TrackShown, TranscriptShown, TurnShown,
};
pub(crate) use rest::{
    Card, CreditRow, GlossaryPage, GlossaryTerm, HomePage, LabelPage, LabelText, LargePrintPage,
    LargePrintSection, MakingPage, MakingStep, MovedPage, NotKeptPage, RightsPage, SourceRow,
    ToldStep,
};
pub(crate) use sheets::{Code, HandoutPage, RaisedDrawing, RaisedLinesPage, SymbolMeaning};

use super::everywhere::Web;
use serde::Serialize;

/// What every page has around its content.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Frame {
    /// Language of the page.
    pub(crate) lang: String,
    /// `ltr` or `rtl`.
    pub(crate) dir: &'static str,
    /// `<title>`: page, object, site.
    pub(crate) title: String,
    /// One sentence for search results.
    pub(crate) description: String,
    /// Name of the site.
    pub(crate) site_name: String,
    /// Publisher.
    pub(crate) publisher: String,
    /// Statement at the foot of every page.
    pub(crate) statement: Option<String>,
    /// Content-Security-Policy for the `meta` tag.
    pub(crate) policy: String,
    /// What the page tells to machines: JSON-LD that may stand in a block of data.
    pub(crate) data: String,
    /// The same in other formats, for programs.
    pub(crate) alternates: Vec<Alternate>,
    /// Stylesheet address.
    pub(crate) stylesheet: String,
    /// Fonts to fetch early.
    pub(crate) preload_fonts: Vec<String>,
    /// Address of the script that comes with the page; only on pages that turn a model.
    pub(crate) viewer: Option<String>,
    /// Address of the viewer, which that script asks for.
    pub(crate) stage: Option<String>,
    /// Whether pictures of the bodies may be seen, and not printed.
    pub(crate) unprinted: bool,
    /// Address of this language's home page.
    pub(crate) home: String,
    /// This page in every language.
    pub(crate) languages: Vec<LanguageLink>,
    /// Pages of the current object, in order; empty on pages above the objects.
    pub(crate) sections: Vec<SectionLink>,
    /// Pages of the whole site (glossary), in order.
    pub(crate) site_links: Vec<SectionLink>,
    /// Addresses on the web; none where it is not served.
    pub(crate) web: Option<Web>,
    /// Whether search engines had better leave it alone.
    pub(crate) unlisted: bool,
}

/// The same page in another language.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LanguageLink {
    pub(crate) lang: String,
    pub(crate) dir: &'static str,
    /// The language's own name for itself.
    pub(crate) name: String,
    pub(crate) href: String,
    pub(crate) current: bool,
}

/// A link of the navigation.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SectionLink {
    pub(crate) text: String,
    pub(crate) href: String,
    pub(crate) current: bool,
}

/// A picture in several sizes and two formats, with its dimensions.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Picture {
    /// `srcset` of WebP files.
    pub(crate) webp: String,
    /// `srcset` of JPEG or PNG files.
    pub(crate) fallback: String,
    /// Media type is implied by this one address: the middle fallback size.
    pub(crate) src: String,
    /// Dimensions of the largest size, pixels.
    pub(crate) width: u32,
    pub(crate) height: u32,
    /// Alternative text.
    pub(crate) alt: String,
}

/// A picture with words and credit.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct CaptionedPicture {
    pub(crate) picture: Picture,
    pub(crate) caption: Option<String>,
    /// "Photograph: X. CC BY 4.0."
    pub(crate) credit: String,
    /// Address of the licence or statement.
    pub(crate) statement: String,
    /// Whether it may be printed.
    pub(crate) printed: bool,
}
