//! Details for the record that outlives the website: Web Annotations, and a manifest of scenes.
//!
//! Takes an object, where its details lie and where its models are served; hands on JSON-LD.
//! [`annotations`] gives one W3C Web Annotation (Recommendation, 23 February 2017) a detail: its
//! words in each language, and what they are about. [`manifest`] gives one scene a body: its
//! models, a camera for the whole and for each detail, lights left to the reader's program, and
//! the same words in a page of annotations for each language.
//!
//! **Draft.** The W3C model has no point in space. Point, camera and scene are those of the IIIF
//! Presentation API 4.0, which its pages call a draft ([`DRAFT`]); `scope` for a camera is W3C's
//! own property, and that it names a camera is our reading of the draft, from memory. So each
//! annotation can have a second target that is no draft: a region of a still.
//!
//! Lengths are metres, as in glTF; a scene says so (`spatialScale`). Identifiers are below the
//! site's address. Nothing is fetched, contexts neither.

mod annotate;
mod model;
mod place;
mod scene;
mod stage;
mod subject;

pub use annotate::{PAGE_NAME, annotation, annotations, name_of, page};
pub use model::{
    Annotation, AnnotationPage, Kept, KeptPage, Region, Selector, Specific, Target, TextualBody,
};
pub use place::{Metres, metres};
pub use scene::{Camera, Content, Label, Manifest, Painting, Scene};
pub use stage::{MANIFEST_NAME, manifest};
pub use subject::{BodyFiles, ModelFile, Stand, Still, Subject, stand};

use std::fmt;

/// Which draft is followed, in words that stand in each document.
pub const DRAFT: &str = "Scenes, points and cameras follow the IIIF Presentation API 4.0.0 as its pages stood in May 2026, marked there as a draft (“pre: draft”). They may have to be written anew when it is final.";

/// Media type of a Web Annotation (Web Annotation Data Model, 3.1; Protocol, 3).
pub const ANNOTATION_TYPE: &str =
    "application/ld+json; profile=\"http://www.w3.org/ns/anno.jsonld\"";

/// Why no annotation can be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotAnnotated {
    /// Path of the record that is meant, relative to the object's folder.
    pub record: String,
    /// What is wrong.
    pub what: String,
    /// What to do instead.
    pub remedy: String,
}

impl fmt::Display for NotAnnotated {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}; {}", self.record, self.what, self.remedy)
    }
}

impl std::error::Error for NotAnnotated {}
