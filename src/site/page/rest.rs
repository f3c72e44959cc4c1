//! Home, making, glossary, rights, label and large print.

use super::lists::ManyObjects;
use super::{
    CaptionedPicture, Described, Fact, Frame, ObjectHead, Picture, RecordingShown, SectionLink,
};
use serde::Serialize;

/// All objects.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct HomePage {
    pub(crate) frame: Frame,
    pub(crate) introduction: String,
    /// Every object, when one page lists them all.
    pub(crate) cards: Vec<Card>,
    /// When there are more than one page lists: the first of them, and choices.
    pub(crate) many: Option<ManyObjects>,
}

/// In place of a page that was not kept, without a network.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct NotKeptPage {
    pub(crate) frame: Frame,
    /// Objects, as many as a page lists: some may be kept.
    pub(crate) objects: Vec<SectionLink>,
    /// To the others.
    pub(crate) others: Option<SectionLink>,
}

/// At an old address.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct MovedPage {
    pub(crate) frame: Frame,
    /// Where it leads.
    pub(crate) to: String,
    /// What is there.
    pub(crate) title: String,
    pub(crate) script: String,
}

/// One object on the home page.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Card {
    pub(crate) object: ObjectHead,
    pub(crate) lead_html: String,
    pub(crate) picture: Picture,
    /// "Replica shown; the original is in …" or "Original".
    pub(crate) standing: String,
    /// "12 details" in words of the language.
    pub(crate) details: String,
}

/// How it was made.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct MakingPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    /// Total hours, people, materials.
    pub(crate) facts: Vec<Fact>,
    pub(crate) steps: Vec<MakingStep>,
    /// The general caution on tools, powder and heat.
    pub(crate) caution: String,
}

/// One step.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct MakingStep {
    pub(crate) id: String,
    /// Ids that it had before: links to them still lead here.
    pub(crate) formerly: Vec<String>,
    pub(crate) number: usize,
    pub(crate) title: String,
    pub(crate) words_html: String,
    /// Date, hours, people, quantities, how known.
    pub(crate) facts: Vec<Fact>,
    pub(crate) caution: Option<String>,
    pub(crate) photographs: Vec<CaptionedPicture>,
    pub(crate) recordings: Vec<RecordingShown>,
}

/// Terms explained.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct GlossaryPage {
    pub(crate) frame: Frame,
    pub(crate) terms: Vec<GlossaryTerm>,
}

/// One term.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct GlossaryTerm {
    pub(crate) id: String,
    /// Ids that it had before: links to them still lead here.
    pub(crate) formerly: Vec<String>,
    pub(crate) title: String,
    pub(crate) words_html: String,
}

/// Sources, rights and credits of one object.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct RightsPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    pub(crate) credits: Vec<CreditRow>,
    /// What is not shown here, each in a sentence.
    pub(crate) left_out: Vec<String>,
    pub(crate) sources: Vec<SourceRow>,
    /// People and what they did.
    pub(crate) people: Vec<Fact>,
    pub(crate) data_href: String,
}

/// One asset and its rights.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct CreditRow {
    /// "Model of the original, mortar", "Photograph: …", "Words".
    pub(crate) asset: String,
    pub(crate) holder: String,
    pub(crate) statement: String,
    /// Short label of the licence or statement.
    pub(crate) label: String,
    /// "Display, print" in words; with the last day when there is one.
    pub(crate) permits: String,
}

/// One source.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SourceRow {
    pub(crate) id: String,
    pub(crate) author: Option<String>,
    pub(crate) title: String,
    /// Language of the title when it differs from the page's.
    pub(crate) lang: Option<String>,
    pub(crate) dir: &'static str,
    pub(crate) date: Option<String>,
    pub(crate) held: Option<String>,
}

/// A label to print and set beside the object.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LabelPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    /// The label's words in every language of the site, this page's first.
    pub(crate) texts: Vec<LabelText>,
    pub(crate) code: super::Code,
    pub(crate) facts: Vec<Fact>,
}

/// Words of the label in one language.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LabelText {
    pub(crate) lang: String,
    pub(crate) dir: &'static str,
    pub(crate) title: String,
    pub(crate) standing: String,
    pub(crate) text: String,
}

/// The whole object in large print.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LargePrintPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    pub(crate) lead_html: String,
    pub(crate) standing: String,
    pub(crate) facts: Vec<Fact>,
    /// None where it may not be printed.
    pub(crate) picture: Option<Picture>,
    /// Of the object itself; in words, as all recordings here.
    pub(crate) recordings: Vec<RecordingShown>,
    pub(crate) sections: Vec<LargePrintSection>,
    /// Steps of the making that have recordings.
    pub(crate) told_steps: Vec<ToldStep>,
}

/// One detail in large print.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LargePrintSection {
    pub(crate) letter: String,
    pub(crate) title: String,
    pub(crate) kind_word: String,
    pub(crate) bearing: String,
    pub(crate) described: Option<Described>,
    pub(crate) words_html: String,
    pub(crate) recordings: Vec<RecordingShown>,
}

/// The recordings of one step, in words.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ToldStep {
    pub(crate) title: String,
    pub(crate) recordings: Vec<RecordingShown>,
}
