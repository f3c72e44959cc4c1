//! `<object>/record.toml`: the thing, its two bodies, their parts and materials.

use super::{
    BodyKind, ByLang, Collation, Day, Detail, Evidence, Lang, Localised, MaterialId, Note,
    ObjectId, PartId, Photograph, Recording, Rights, RightsId, SourceId, Step, Talk,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// One object with everything the keeper wrote about it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Object {
    /// Folder name.
    pub id: ObjectId,
    /// Folder, for resolving files.
    pub folder: PathBuf,
    /// The facts.
    pub record: ObjectRecord,
    /// Title, introduction and story, one per language of the site.
    pub notes: ByLang<Note>,
    /// The texts of its recordings.
    pub talk: Talk,
    /// Details in the keeper's order (`order` in the record, then id).
    pub details: Vec<Detail>,
    /// Steps of the making, in the order of their folders.
    pub making: Vec<Step>,
}

/// The facts of `record.toml`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ObjectRecord {
    /// Version of the record format; always 1.
    pub format: u32,
    /// Names that its folder had before, the oldest first: their addresses lead on to it.
    #[serde(default)]
    pub formerly: Vec<ObjectId>,
    /// What it is.
    pub identification: Identification,
    /// The original and, usually, the replica.
    pub bodies: Bodies,
    /// Materials by id.
    pub materials: BTreeMap<MaterialId, Material>,
    /// Statements of rights; every asset names one.
    pub rights: Vec<Rights>,
    /// Rights in the words of this object's notes.
    pub words_rights: RightsId,
    /// Books, reports and letters by id.
    #[serde(default)]
    pub sources: BTreeMap<SourceId, Source>,
    /// Differences that no scan shows: metal, surface, finish, weight.
    #[serde(default)]
    pub differences: Vec<DeclaredDifference>,
    /// What a comparison of the two bodies may take for granted.
    #[serde(default)]
    pub collation: Collation,
    /// The direction from which the object is first seen; chosen by the program when absent.
    pub front: Option<ViewFrom>,
    /// Photographs of the whole object.
    #[serde(default)]
    pub photographs: Vec<Photograph>,
    /// Recordings of sound or film.
    #[serde(default)]
    pub recordings: Vec<Recording>,
    /// The two or three sentences for the printed object label (60–75 words), per language.
    pub label: Localised,
}

/// Identification, in the units of information of Spectrum 5.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Identification {
    /// Object number.
    pub number: String,
    /// Object name: what kind of thing it is ("mortar").
    pub name: Localised,
    /// Object production date, as it should be read.
    pub date: Localised,
    /// Object production place.
    pub place: Option<Localised>,
    /// Object production person or organisation.
    pub maker: Option<Localised>,
    /// Owner or keeper of the original.
    pub keeper: Localised,
    /// How these facts are known.
    pub evidence: Evidence,
}

/// Original and replica.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bodies {
    /// The original.
    pub original: Body,
    /// The replica, if there is one.
    pub replica: Option<Body>,
}

impl Bodies {
    /// The body of this kind.
    pub fn get(&self, kind: BodyKind) -> Option<&Body> {
        match kind {
            BodyKind::Original => Some(&self.original),
            BodyKind::Replica => self.replica.as_ref(),
        }
    }

    /// The parts of the body of this kind; none where there is no such body.
    pub fn parts(&self, kind: BodyKind) -> &[Part] {
        self.get(kind).map_or(&[], |body| &body.parts)
    }
}

/// One body: a set of parts.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Body {
    /// Where it is now.
    pub location: Localised,
    /// Its surface as a visitor sees it.
    pub finish: Localised,
    /// What its still shows, for someone who cannot see it, in the keeper's words instead of the
    /// program's.
    pub alt: Option<Localised>,
    /// Weighed mass in grams, if it was put on a scale.
    pub weighed_g: Option<Weighed>,
    /// How well its models tell the shape, if a certificate says so.
    pub scan: Option<Scan>,
    /// Dimensions taken on it with callipers.
    #[serde(default)]
    pub calipers: Vec<Caliper>,
    /// When it was made (a replica) or scanned (an original).
    pub dated: Option<Day>,
    /// How its whereabouts, surface and day are known, and which of its parts are solid.
    pub evidence: Option<Evidence>,
    /// Its parts.
    pub parts: Vec<Part>,
}

/// A mass read from a scale.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weighed {
    /// Reading in grams.
    pub value_g: f64,
    /// Half-width of the scale's resolution or stated uncertainty, in grams (k = 2).
    pub uncertainty_g: f64,
    /// How it is known.
    pub evidence: Evidence,
}

/// How well the models of a body tell its shape.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scan {
    /// Expanded uncertainty (k = 2) of the models' points, millimetres, as the scanner's
    /// certificate states it.
    pub uncertainty_mm: f64,
    /// How it is known.
    pub evidence: Evidence,
}

/// A dimension taken with callipers between two places of one part.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Caliper {
    /// What was measured: "height".
    pub name: Localised,
    /// The part it was taken on.
    pub part: PartId,
    /// One end, on the part's model, millimetres, in the frame of the body's models.
    pub from_mm: [f64; 3],
    /// The other end.
    pub to_mm: [f64; 3],
    /// The reading, millimetres.
    pub measured_mm: f64,
    /// Expanded uncertainty (k = 2) of the reading, millimetres.
    pub uncertainty_mm: f64,
    /// How it is known.
    pub evidence: Evidence,
}

/// A separable piece of a body.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// The same id on both bodies means the same part.
    pub id: PartId,
    /// Its name.
    pub name: Localised,
    /// Path of the model, inside the object's folder.
    pub model: String,
    /// Unit of the model's numbers; glTF is always metres.
    pub unit: LengthUnit,
    /// Upward axis of the model's numbers; glTF is always +Y.
    #[serde(default)]
    pub up: UpAxis,
    /// Key into `materials`.
    pub material: MaterialId,
    /// Rights in the model.
    pub rights: RightsId,
    /// Whether the part is solid metal, when known.
    pub solid: Option<bool>,
    /// Thickness of the wall, millimetres, when the part is a shell (`solid = false`).
    pub wall_mm: Option<f64>,
}

/// The axis of a model file that points upward.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum UpAxis {
    /// +Y, as in glTF.
    #[default]
    Y,
    /// +Z, as on a build plate or a survey.
    Z,
}

/// Unit of length in a model file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum LengthUnit {
    /// Millimetre.
    #[serde(rename = "mm")]
    Millimetre,
    /// Centimetre.
    #[serde(rename = "cm")]
    Centimetre,
    /// Metre.
    #[serde(rename = "m")]
    Metre,
    /// Inch, 25.4 mm exactly (international yard and pound agreement, 1959).
    #[serde(rename = "in")]
    Inch,
}

impl LengthUnit {
    /// Millimetres in one unit.
    pub fn in_mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Metre => 1000.0,
            Self::Inch => 25.4,
        }
    }
}

/// A material with its density as a range.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Its name.
    pub name: Localised,
    /// Lowest and highest density, grams per cubic centimetre.
    pub density_g_per_cm3: [f64; 2],
    /// Where the density is from.
    pub evidence: Evidence,
}

/// Something that can be cited.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Who wrote or made it.
    pub author: Option<String>,
    /// Its title.
    pub title: String,
    /// The title's language, when it is not the page's.
    pub lang: Option<Lang>,
    /// Date as written on it.
    pub date: Option<String>,
    /// Where it can be seen.
    pub held: Option<String>,
}

/// A difference that is stated rather than measured.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeclaredDifference {
    /// What differs, in a word or two: "finish".
    pub aspect: Localised,
    /// How it is on the original.
    pub original: Localised,
    /// How it is on the replica.
    pub replica: Localised,
    /// Why.
    pub reason: Localised,
    /// How it is known.
    pub evidence: Evidence,
}

/// A direction of sight onto the object, angles in degrees.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ViewFrom {
    /// Turn about the vertical (+Y), 0 looking from +Z, 90 looking from +X.
    #[serde(default)]
    pub azimuth_deg: f64,
    /// Height of the eye above the horizon, −90 to 90.
    #[serde(default)]
    pub elevation_deg: f64,
}
