//! Pages of a screen in the gallery.

use super::lists::{Listing, ValueLink};
use super::{
    BodyView, Card, Described, Fact, Frame, KeyEntry, ObjectHead, Picture, RecordingShown,
    SectionLink,
};
use serde::Serialize;

/// What every page of the screen has beside its frame.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KioskScreen {
    /// The script, and the screen's own stylesheet.
    pub(crate) script: String,
    pub(crate) style: String,
    /// Seconds without a touch until the warning, and seconds that the warning stands.
    pub(crate) idle_seconds: u32,
    pub(crate) warning_seconds: u32,
    /// "Touch to begin", in every language.
    pub(crate) invitations: Vec<Invitation>,
    /// Where the screen begins: in the first language.
    pub(crate) start: String,
    /// Whether what is opened is counted.
    pub(crate) tally: bool,
}

#[derive(Debug, Clone, Serialize)]
pub(crate) struct Invitation {
    pub(crate) lang: String,
    pub(crate) dir: &'static str,
    pub(crate) text: String,
}

/// Every object.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KioskPage {
    pub(crate) frame: Frame,
    pub(crate) screen: KioskScreen,
    pub(crate) heading: String,
    pub(crate) introduction: Option<String>,
    /// Every object, when the screen holds them all.
    pub(crate) cards: Vec<Card>,
    /// When there are more: some of them.
    pub(crate) listing: Option<Listing>,
    /// Values to choose from, on a screen that shows no objects.
    pub(crate) values: Vec<ValueLink>,
    /// To those values.
    pub(crate) choose: Option<SectionLink>,
    /// To all objects, where only some may be seen.
    pub(crate) back: Option<SectionLink>,
}

/// One object.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KioskObjectPage {
    pub(crate) frame: Frame,
    pub(crate) screen: KioskScreen,
    pub(crate) object: ObjectHead,
    pub(crate) standing: String,
    pub(crate) lead_html: String,
    pub(crate) story_html: String,
    /// Of the object itself; in words, since a gallery is quiet.
    pub(crate) recordings: Vec<RecordingShown>,
    pub(crate) bodies: Vec<BodyView>,
    pub(crate) key: Vec<KeyEntry>,
    /// The words of each line of the key, in the same order.
    pub(crate) leaves: Vec<Leaf>,
    /// To all objects, where the screen has them.
    pub(crate) back: Option<SectionLink>,
}

/// The words of one detail, beside the object.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Leaf {
    pub(crate) letter: String,
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) kind: &'static str,
    pub(crate) kind_word: String,
    pub(crate) kind_meaning: String,
    pub(crate) described: Option<Described>,
    pub(crate) words_html: String,
    pub(crate) recordings: Vec<RecordingShown>,
    pub(crate) bearing: Vec<Fact>,
    pub(crate) picture: Option<Picture>,
    /// Ids of the details before and after, the first after the last.
    pub(crate) previous: String,
    pub(crate) next: String,
}

/// What the machine has counted, for those who look after it.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KioskTallyPage {
    pub(crate) frame: Frame,
    pub(crate) script: String,
    pub(crate) style: String,
    pub(crate) objects: Vec<TallyObject>,
}

/// Names of what can have been counted.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct TallyObject {
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) details: Vec<TallyName>,
}

#[derive(Debug, Clone, Serialize)]
pub(crate) struct TallyName {
    pub(crate) id: String,
    pub(crate) title: String,
}
