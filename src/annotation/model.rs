//! Web Annotations as they are written, keys in this order.

use super::place::Metres;
use serde::Serialize;

/// An annotation that stands alone, with its context.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Kept {
    /// W3C's context first, the draft's last: the draft asks for the last place.
    #[serde(rename = "@context")]
    pub context: [&'static str; 2],
    /// The annotation.
    #[serde(flatten)]
    pub annotation: Annotation,
    /// Which part of it follows a draft.
    #[serde(rename = "rdfs:comment")]
    pub comment: &'static str,
}

/// A page of annotations that stands alone, with its context.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KeptPage<'a> {
    /// As of an annotation.
    #[serde(rename = "@context")]
    pub context: [&'static str; 2],
    /// The page.
    #[serde(flatten)]
    pub page: AnnotationPage<&'a Annotation>,
    /// Which part of it follows a draft.
    #[serde(rename = "rdfs:comment")]
    pub comment: &'static str,
}

/// An annotation (Web Annotation Data Model, 3.1).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Annotation {
    /// Its own address.
    pub id: String,
    /// `Annotation`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// Why it was made (3.3.5).
    pub motivation: [&'static str; 1],
    /// Licence or statement for the words (3.3.6).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rights: Option<String>,
    /// Words in one language or several.
    pub body: Vec<TextualBody>,
    /// What they are about.
    pub target: Vec<Specific>,
}

/// Words (3.2.4).
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TextualBody {
    /// `TextualBody`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The words: the title, an empty line, the note.
    pub value: String,
    /// Their language, BCP 47.
    pub language: String,
    /// `text/plain`.
    pub format: &'static str,
    /// `ltr` or `rtl` (3.2.2).
    #[serde(rename = "textDirection")]
    pub text_direction: &'static str,
    /// `describing`.
    pub purpose: &'static str,
}

/// A place within something (4).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Specific {
    /// Its own address.
    pub id: String,
    /// `SpecificResource`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The thing within which it lies.
    pub source: Target,
    /// Where.
    pub selector: [Selector; 1],
    /// The annotation that paints the camera from which it is seen (4.4).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scope: Option<String>,
}

/// Something that is served.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Target {
    /// Its address.
    pub id: String,
    /// `Model`, `Scene` or `Image`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// Media type; a scene has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub format: Option<&'static str>,
}

/// A way to say where.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "type")]
pub enum Selector {
    /// A point in space, metres (draft).
    PointSelector(Metres),
    /// A region of a picture (4.2.1).
    FragmentSelector(Region),
}

/// A rectangle by the Media Fragments recommendation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Region {
    /// The recommendation.
    #[serde(rename = "conformsTo")]
    pub conforms_to: &'static str,
    /// `xywh=160,120,320,240`, pixels.
    pub value: String,
}

/// Annotations together (5.2).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnnotationPage<T> {
    /// Its address.
    pub id: String,
    /// `AnnotationPage`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// What the page holds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<super::scene::Label>,
    /// The annotations.
    pub items: Vec<T>,
}
