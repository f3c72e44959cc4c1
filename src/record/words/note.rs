//! A note as it was read: text, title, links and pictures with their places.

use super::gather::Reading;
use crate::record::{Findings, Lang, SourceFile};
use pulldown_cmark::{Options, Parser};
use serde::{Deserialize, Serialize};
use std::ops::Range;

/// A heading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Heading {
    /// 1 to 6.
    pub level: u8,
    /// Its words.
    pub text: String,
    /// Bytes of the file.
    pub span: Range<usize>,
}

/// Where a link leads.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum LinkTarget {
    /// `detail:id` in the same object, or `detail:object/id`.
    Detail {
        /// The other object.
        object: Option<String>,
        /// The detail.
        detail: String,
    },
    /// `step:id`
    Step(String),
    /// `term:id`
    Term(String),
    /// `source:id` of the same object.
    Source(String),
    /// `object:id`
    Object(String),
    /// `lang:tag`: no link, but a passage in another language.
    Lang(String),
    /// `http:`, `https:` or `mailto:`
    Web(String),
    /// `#place` of the same page, as footnotes make them.
    Place(String),
    /// Anything else.
    Unknown(String),
}

impl LinkTarget {
    pub(super) fn of(address: &str) -> Self {
        let id = |text: &str| text.to_owned();
        match address.split_once(':') {
            Some(("detail", rest)) => match rest.split_once('/') {
                Some((object, detail)) => Self::Detail {
                    object: Some(id(object)),
                    detail: id(detail),
                },
                None => Self::Detail {
                    object: None,
                    detail: id(rest),
                },
            },
            Some(("step", rest)) => Self::Step(id(rest)),
            Some(("term", rest)) => Self::Term(id(rest)),
            Some(("source", rest)) => Self::Source(id(rest)),
            Some(("object", rest)) => Self::Object(id(rest)),
            Some(("lang", rest)) => Self::Lang(id(rest)),
            // Without the slashes and a host, a browser would take it for a page beside this one.
            Some(("http" | "https", rest)) if has_host(rest) => Self::Web(id(address)),
            Some(("mailto", to)) if !to.is_empty() => Self::Web(id(address)),
            None if address.starts_with('#') => Self::Place(id(address)),
            _ => Self::Unknown(id(address)),
        }
    }
}

/// Whether what follows the scheme of a web address names a host (RFC 9110, 4.2.1 and 4.2.2).
fn has_host(rest: &str) -> bool {
    let host = rest.strip_prefix("//");
    host.is_some_and(|h| h.starts_with(|c: char| c.is_alphanumeric() || c == '['))
}

/// A link of a note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NoteLink {
    /// Where it leads.
    pub target: LinkTarget,
    /// Its words.
    pub text: String,
    /// Bytes of the file.
    pub span: Range<usize>,
}

/// A picture in a note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NotePicture {
    /// Name of the file beside the note.
    pub file: String,
    /// Its alternative text, as written in the note.
    pub alt: String,
    /// Bytes of the file.
    pub span: Range<usize>,
}

/// One note in one language.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Note {
    /// Its language.
    pub lang: Lang,
    /// The file.
    pub source: SourceFile,
    /// Words of the first heading.
    pub title: String,
    /// All headings.
    pub headings: Vec<Heading>,
    /// All links.
    pub links: Vec<NoteLink>,
    /// All pictures.
    pub pictures: Vec<NotePicture>,
    /// Plain words of every block but the title and the inscriptions.
    pub(super) blocks: Vec<String>,
}

/// The Markdown that notes may use.
pub(super) fn parser(text: &str) -> Parser<'_> {
    let options = Options::ENABLE_TABLES
        | Options::ENABLE_FOOTNOTES
        | Options::ENABLE_DEFINITION_LIST
        | Options::ENABLE_SMART_PUNCTUATION;
    Parser::new_ext(text, options)
}

/// Kinds of fenced block that make an inscription.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fence {
    Leiden,
    Expanded,
    Translation,
}

/// `leiden la` → the kind and the language.
pub(super) fn fence(info: &str) -> Option<(Fence, Option<&str>)> {
    let mut words = info.split_whitespace();
    let kind = match words.next()? {
        "leiden" => Fence::Leiden,
        "expanded" => Fence::Expanded,
        "translation" => Fence::Translation,
        _ => return None,
    };
    Some((kind, words.next()))
}

impl Note {
    /// Reads a note; the findings are those that it shows by itself.
    pub fn read(source: SourceFile, lang: Lang) -> (Self, Findings) {
        let mut reading = Reading::new(&source);
        for (event, span) in parser(&source.text).into_offset_iter() {
            reading.take(event, span);
        }
        reading.finish();
        let Reading {
            findings,
            headings,
            links,
            pictures,
            blocks,
            ..
        } = reading;
        let title = headings
            .first()
            .filter(|h| h.level == 1)
            .map(|h| h.text.clone())
            .unwrap_or_default();
        (
            Self {
                lang,
                title,
                headings,
                links,
                pictures,
                blocks,
                source,
            },
            findings,
        )
    }

    /// Words of the first paragraph.
    pub fn lead_text(&self) -> String {
        self.blocks.first().cloned().unwrap_or_default()
    }

    /// First sentence of the first paragraph.
    pub fn first_sentence(&self) -> String {
        let lead = self.lead_text();
        let mut end = None;
        let mut chars = lead.char_indices().peekable();
        while let Some((at, c)) = chars.next() {
            if matches!(c, '.' | '!' | '?') && chars.peek().is_none_or(|(_, n)| n.is_whitespace()) {
                end = Some(at + c.len_utf8());
                break;
            }
        }
        match end {
            Some(end) => lead[..end].to_owned(),
            None => lead,
        }
    }

    /// Words of everything but title and inscriptions.
    pub fn plain_text(&self) -> String {
        self.blocks.join("\n")
    }

    /// Words, title and inscriptions not counted.
    pub fn word_count(&self) -> usize {
        self.blocks
            .iter()
            .map(|b| {
                b.split_whitespace()
                    .filter(|w| w.chars().any(char::is_alphanumeric))
                    .count()
            })
            .sum()
    }
}
