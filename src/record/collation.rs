//! `[collation]` of an object's record: what a comparison of the two bodies may take for granted.

use super::{BodyKind, DetailId, Evidence, Localised, PartId};
use serde::{Deserialize, Serialize};

/// What the keeper decided about the comparison.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Collation {
    /// Surfaces nearer than this count as the same, millimetres; when absent, what the
    /// uncertainties allow.
    pub tolerance_mm: Option<f64>,
    /// Whether the size of the replica may be fitted too. Off unless asked for: a best fit of the
    /// size would hide a replica that is too large.
    #[serde(default)]
    pub fit_scale: bool,
    /// Least and greatest thickness of a finish laid over the replica, millimetres.
    pub coating_mm: Option<[f64; 2]>,
    /// How tolerance and thickness of the finish are known.
    pub evidence: Option<Evidence>,
    /// Places that are the same on both bodies.
    #[serde(default)]
    pub pairs: Vec<PlacePair>,
    /// Differences that a person has looked at and accepted.
    #[serde(default)]
    pub accepted: Vec<AcceptedDifference>,
}

/// One place, as it is found on each body: by a detail or by a point, one of the two on each side.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlacePair {
    /// The part it is on.
    pub part: PartId,
    /// A detail whose anchor lies on the original.
    pub original: Option<DetailId>,
    /// A point of the original, millimetres, in the frame of its models.
    pub original_mm: Option<[f64; 3]>,
    /// A detail whose anchor lies on the replica.
    pub replica: Option<DetailId>,
    /// A point of the replica, millimetres, in the frame of its models.
    pub replica_mm: Option<[f64; 3]>,
}

/// One side of a [`PlacePair`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PairedPlace<'r> {
    /// Where the anchor of this detail is.
    Detail(&'r DetailId),
    /// This point, millimetres.
    Point([f64; 3]),
}

impl PlacePair {
    /// The place on one body. `None` never occurs in a record without errors: reading asks for
    /// exactly one of the two on each side.
    pub fn place(&self, body: BodyKind) -> Option<PairedPlace<'_>> {
        let (detail, point_mm) = match body {
            BodyKind::Original => (&self.original, self.original_mm),
            BodyKind::Replica => (&self.replica, self.replica_mm),
        };
        match (detail, point_mm) {
            (Some(detail), None) => Some(PairedPlace::Detail(detail)),
            (None, Some(point_mm)) => Some(PairedPlace::Point(point_mm)),
            _ => None,
        }
    }
}

/// How the replica's surface differs in one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum DifferenceKind {
    /// It stands further out.
    Gained,
    /// It lies further in.
    Lost,
    /// It is there, in another place.
    Moved,
}

/// A difference that needs no further search: a person knows of it and answers for it.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AcceptedDifference {
    /// The part it is on.
    pub part: PartId,
    /// How the surface differs.
    pub kind: DifferenceKind,
    /// Its middle, millimetres, in the frame of the original's models.
    pub centre_mm: [f64; 3],
    /// Radius of a ball around all of it, millimetres.
    pub radius_mm: f64,
    /// Why it is accepted.
    pub reason: Localised,
    /// Who accepted it, and how it is known; `by` is required here.
    pub evidence: Evidence,
}
