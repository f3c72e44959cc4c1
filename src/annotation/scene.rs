//! A manifest of scenes as it is written, keys in this order (IIIF Presentation API 4.0, draft).

use super::model::{Annotation, AnnotationPage, Specific, Target};
use super::place::Metres;
use serde::Serialize;
use std::collections::BTreeMap;

/// Words by language, a list each.
pub type Label = BTreeMap<String, Vec<String>>;

/// A label and a value.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pair {
    /// What it is.
    pub label: Label,
    /// What is said.
    pub value: Label,
}

/// An object with a scene for each body.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Manifest {
    /// The draft's context.
    #[serde(rename = "@context")]
    pub context: &'static str,
    /// Its address.
    pub id: String,
    /// `Manifest`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// Title of the object.
    pub label: Label,
    /// The words of its label.
    pub summary: Label,
    /// Which draft this follows.
    pub metadata: Vec<Pair>,
    /// Licence or statement for the words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rights: Option<String>,
    /// The site's statement, which readers must show.
    #[serde(rename = "requiredStatement", skip_serializing_if = "Option::is_none")]
    pub required_statement: Option<Pair>,
    /// Who publishes.
    pub provider: [Agent; 1],
    /// The bodies.
    pub items: Vec<Scene>,
}

/// Who publishes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Agent {
    /// The site's address.
    pub id: String,
    /// `Agent`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// Its name.
    pub label: Label,
}

/// One body.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Scene {
    /// Its address.
    pub id: String,
    /// `Scene`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// Title of the object, and where this body is.
    pub label: Label,
    /// Metres in one unit of its numbers.
    #[serde(rename = "spatialScale")]
    pub spatial_scale: Quantity,
    /// Models and cameras.
    pub items: [AnnotationPage<Painting>; 1],
    /// Words about it, a page for each language.
    pub annotations: Vec<AnnotationPage<Annotation>>,
}

/// A number with its unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Quantity {
    /// `Quantity`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The number.
    #[serde(rename = "quantityValue")]
    pub value: f64,
    /// `m`.
    pub unit: &'static str,
}

/// What puts something into a scene.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Painting {
    /// Its own address.
    pub id: String,
    /// `Annotation`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// `painting`.
    pub motivation: [&'static str; 1],
    /// What is put there.
    pub body: [Content; 1],
    /// Where.
    pub target: [Where; 1],
}

/// Where something is put.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Where {
    /// With its own origin at that of the scene.
    Whole(Target),
    /// With its origin at a point.
    At(Box<Specific>),
}

/// What is put into a scene.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Content {
    /// A part of a body.
    Model {
        /// Where its model is served.
        id: String,
        /// `Model`.
        #[serde(rename = "type")]
        kind: &'static str,
        /// Media type.
        format: &'static str,
        /// Name of the part.
        label: Label,
        /// Licence or statement for the model.
        #[serde(skip_serializing_if = "Option::is_none")]
        rights: Option<String>,
    },
    /// An eye.
    Camera(Camera),
}

/// An eye far away, so that sizes can be compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Camera {
    /// Its address.
    pub id: String,
    /// `OrthographicCamera`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// What is seen from it.
    pub label: Label,
    /// Height of what it shows, metres.
    #[serde(rename = "viewHeight")]
    pub view_height: f64,
    /// Nothing nearer is shown, metres.
    pub near: f64,
    /// Nothing farther is shown, metres.
    pub far: f64,
    /// Toward which it looks.
    #[serde(rename = "lookAt")]
    pub look_at: LookAt,
}

/// The point toward which a camera looks.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "type")]
pub enum LookAt {
    /// Metres.
    PointSelector(Metres),
}
