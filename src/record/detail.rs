//! `details/<id>/record.toml`: a place on the surface worth telling about.

use super::{
    ByLang, DetailId, Evidence, FilesByLang, Localised, Note, PartId, Recording, RightsId, Talk,
    ViewFrom,
};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// Which of the two bodies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BodyKind {
    /// The old one.
    Original,
    /// The copy.
    Replica,
}

impl BodyKind {
    /// Its name in records and file names.
    pub fn word(self) -> &'static str {
        match self {
            Self::Original => "original",
            Self::Replica => "replica",
        }
    }
}

/// What sort of thing a detail is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Ornament or image.
    Motif,
    /// Lettering.
    Inscription,
    /// Old mending.
    Repair,
    /// Wear, dent, crack.
    Damage,
    /// Added to the replica on purpose.
    Addition,
    /// Left on the replica by the process of making.
    Trace,
    /// How it was put together.
    Construction,
    /// Something that is no longer there.
    Loss,
}

/// How a detail stands on one body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Stands {
    /// It is there.
    Present,
    /// It is not there.
    Absent,
    /// It is there, changed.
    Altered,
    /// Nobody knows.
    Unknown,
}

/// The bearing of a detail on both bodies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bearing {
    /// On the original.
    pub original: Stands,
    /// On the replica; left out when the object has no replica.
    pub replica: Option<Stands>,
    /// Whether the difference between the bodies is one of shape, and not of colour or polish
    /// alone.
    #[serde(default = "yes")]
    pub in_shape: bool,
}

impl Bearing {
    /// Whether the detail can be pointed at on this body.
    pub fn is_on(&self, body: BodyKind) -> bool {
        let stands = match body {
            BodyKind::Original => Some(self.original),
            BodyKind::Replica => self.replica,
        };
        matches!(stands, Some(Stands::Present | Stands::Altered))
    }
}

fn yes() -> bool {
    true
}

/// One detail.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Detail {
    /// Folder name.
    pub id: DetailId,
    /// Folder, for resolving files.
    pub folder: PathBuf,
    /// The facts.
    pub record: DetailRecord,
    /// Title and words, one per language of the site.
    pub notes: ByLang<Note>,
    /// The texts of its recordings.
    pub talk: Talk,
}

/// The facts of a detail's `record.toml`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DetailRecord {
    /// Version of the record format; always 1.
    pub format: u32,
    /// Names that its folder had before: their addresses lead on to it.
    #[serde(default)]
    pub formerly: Vec<DetailId>,
    /// Place in the key; details with the same number are ordered by id.
    #[serde(default)]
    pub order: u32,
    /// What sort of thing it is.
    pub kind: Kind,
    /// The part it is on.
    pub part: PartId,
    /// How it stands on each body.
    pub bearing: Bearing,
    /// Where it is.
    pub anchor: Anchor,
    /// Further patches of it on the body of the anchor.
    #[serde(default)]
    pub elsewhere: Vec<Patch>,
    /// The direction from which it is best seen; chosen by the program when absent.
    pub view: Option<ViewFrom>,
    /// Whether it is shown in raking light; when not said, inscriptions are.
    pub raking: Option<bool>,
    /// What its stills show, in the keeper's words instead of the program's.
    #[serde(default)]
    pub alt: StillWords,
    /// How it is known.
    pub evidence: Evidence,
    /// What someone who cannot see it would be told, in the order in which fingers or eyes meet it.
    pub description: Option<Localised>,
    /// The same, spoken: a recording of this record for each language that has one.
    #[serde(default)]
    pub spoken: FilesByLang,
    /// Photographs.
    #[serde(default)]
    pub photographs: Vec<Photograph>,
    /// Recordings of sound or film.
    #[serde(default)]
    pub recordings: Vec<Recording>,
}

impl DetailRecord {
    /// Whether it is shown in raking light.
    pub fn raked(&self) -> bool {
        self.raking.unwrap_or(self.kind == Kind::Inscription)
    }
}

/// What the stills of a detail show, for someone who cannot see them.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StillWords {
    /// The still of the original.
    pub original: Option<Localised>,
    /// The still of the replica.
    pub replica: Option<Localised>,
}

/// A point on the surface of a part.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Anchor {
    /// The body in whose model the point lies.
    pub body: BodyKind,
    /// The point, in millimetres in the frame of the body's models (+Y up).
    pub point_mm: [f64; 3],
    /// Radius of the patch of surface meant, in millimetres.
    pub radius_mm: f64,
}

/// A further patch of surface that belongs to a detail.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Patch {
    /// Its middle, millimetres, in the frame of the models of the anchor's body.
    pub point_mm: [f64; 3],
    /// Radius of the patch of surface meant, in millimetres.
    pub radius_mm: f64,
}

/// A photograph beside its record.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photograph {
    /// File name, in the same folder as the record.
    pub file: String,
    /// Rights, a key of the object's `[[rights]]`.
    pub rights: RightsId,
    /// What it shows, for someone who cannot see it.
    pub alt: Localised,
    /// Caption under it.
    pub caption: Option<Localised>,
}
