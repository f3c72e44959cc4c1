//! The pages about one object: plate and key, detail, what differs.

use super::differences::{DifferenceFile, DifferencesShown};
use super::{CaptionedPicture, Described, Frame, KnownBy, Picture, RecordingShown};
use serde::Serialize;

/// The few facts that head every page of an object.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ObjectHead {
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) href: String,
    pub(crate) number: String,
    pub(crate) name: String,
    pub(crate) date: String,
}

/// A line of facts: term and value.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Fact {
    pub(crate) term: String,
    pub(crate) value: String,
    /// How it is known, as a short sentence; shown small beside the value.
    pub(crate) evidence: Option<KnownBy>,
}

/// Plate, key and story.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ObjectPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    /// First paragraph of the note.
    pub(crate) lead_html: String,
    /// The rest of the note.
    pub(crate) story_html: String,
    /// Identification.
    pub(crate) facts: Vec<Fact>,
    /// Original first, then the replica if there is one.
    pub(crate) bodies: Vec<BodyView>,
    /// All details with their letters, in order.
    pub(crate) key: Vec<KeyEntry>,
    pub(crate) photographs: Vec<CaptionedPicture>,
    pub(crate) recordings: Vec<RecordingShown>,
    /// One plain sentence: this is a replica / only the original is recorded.
    pub(crate) standing: String,
    /// Addresses of sibling pages.
    pub(crate) differs_href: Option<String>,
    pub(crate) making_href: Option<String>,
    /// Sheets for paper; none where an agreement does not permit printing.
    pub(crate) label_href: Option<String>,
    pub(crate) large_print_href: Option<String>,
    pub(crate) handout_href: Option<String>,
    pub(crate) raised_lines_href: Option<String>,
    pub(crate) data_href: String,
    /// The worker that keeps pages; nothing in a copy that is carried.
    pub(crate) offline_href: Option<String>,
}

/// One body on the object's page.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct BodyView {
    /// `original` or `replica`.
    pub(crate) kind: &'static str,
    /// "The original" in the page's language.
    pub(crate) heading: String,
    /// Its plate from the front.
    pub(crate) plate: Plate,
    /// Its plates from further sides, of the same scale.
    pub(crate) sides: Vec<Plate>,
    pub(crate) model: ModelFile,
    /// Size, material, finish, whereabouts, mass.
    pub(crate) facts: Vec<Fact>,
}

/// A still with letters and leader lines; numbers are in the units of the SVG view box.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Plate {
    /// Unique on its page.
    pub(crate) id: String,
    pub(crate) picture: Picture,
    /// What the alternative text has no room for.
    pub(crate) more: Option<String>,
    /// What the drawing over the picture is, and what it holds.
    pub(crate) title: String,
    pub(crate) description: String,
    /// "Seen from the left", in the page's language.
    pub(crate) seen_from: String,
    pub(crate) mark: OrientationMark,
    /// Whether so many letters stand in a margin that they must be small.
    pub(crate) crowded: bool,
    /// View box: the picture stands in the middle with a margin on either side.
    pub(crate) width: f64,
    pub(crate) height: f64,
    /// The picture's rectangle within the view box.
    pub(crate) picture_x: f64,
    pub(crate) picture_y: f64,
    pub(crate) picture_width: f64,
    pub(crate) picture_height: f64,
    /// One per detail that this side shows.
    pub(crate) leaders: Vec<Leader>,
    pub(crate) scale_bar: ScaleBar,
    /// Camera, for the viewer to begin exactly where the still was taken.
    pub(crate) azimuth_deg: f64,
    pub(crate) elevation_deg: f64,
    /// Half the picture's height in millimetres (orthographic).
    pub(crate) half_height_mm: f64,
    /// Point at the picture's centre, millimetres in the frame of the models.
    pub(crate) centre_mm: [f64; 3],
}

/// A plan of the object as a small ring, flat where its front is, with an arrow from the eye. The
/// ring is about the origin, has a radius of [`OrientationMark::RING`], and the front is below.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct OrientationMark {
    /// The arrow as the data of a path; empty when the eye is straight above or below.
    pub(crate) arrow: String,
    /// `level`, `above` or `below`.
    pub(crate) eye: &'static str,
}

/// A letter in the margin, tied to the surface.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Leader {
    pub(crate) letter: String,
    pub(crate) id: String,
    pub(crate) href: String,
    pub(crate) title: String,
    /// Kind of the detail, which decides the form of the line's end.
    pub(crate) kind: &'static str,
    /// Left or right margin.
    pub(crate) margin: &'static str,
    /// Where the letter stands (centre).
    pub(crate) letter_x: f64,
    pub(crate) letter_y: f64,
    /// Where the line leaves the margin.
    pub(crate) knee_x: f64,
    pub(crate) knee_y: f64,
    /// Where it touches the surface.
    pub(crate) anchor_x: f64,
    pub(crate) anchor_y: f64,
}

/// A bar of true length.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ScaleBar {
    pub(crate) text: String,
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) length: f64,
}

/// The models that a visitor's device may load.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ModelFile {
    /// The lightest first.
    pub(crate) levels: Vec<ModelLevel>,
    /// Size of the lightest, "0.2 MB" in the page's language.
    pub(crate) size: String,
    /// How many triangles the scan has, in words.
    pub(crate) scan: String,
    /// How all of that is known.
    pub(crate) known: Option<KnownBy>,
    /// Whether rights permit offering the finest as a download.
    pub(crate) download: bool,
    /// How to read what was measured, when any level has it.
    pub(crate) differences: Option<DifferencesShown>,
}

/// One level of a model.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ModelLevel {
    pub(crate) href: String,
    /// What the viewer reads: the same, or a script that carries it.
    pub(crate) read_from: String,
    pub(crate) bytes: usize,
    /// The farthest that it strays from the scan, rounded up to hundredths.
    pub(crate) strays_mm: f64,
    /// "On a phone … strays nowhere more than 0.21 mm from the scan."
    pub(crate) fidelity: String,
    /// What was measured; `None` also where the model has no sheet to lay it on.
    pub(crate) difference: Option<DifferenceFile>,
}

/// One line of the key.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KeyEntry {
    pub(crate) letter: String,
    pub(crate) id: String,
    pub(crate) href: String,
    pub(crate) title: String,
    /// First sentence of the detail's words.
    pub(crate) teaser: String,
    pub(crate) kind: &'static str,
    pub(crate) kind_word: String,
    /// "On both", "Only on the replica": in words.
    pub(crate) bearing: String,
    pub(crate) part: String,
    pub(crate) on_original: bool,
    pub(crate) on_replica: bool,
    /// Anchor on the surface, millimetres, frame of the models.
    pub(crate) anchor_mm: [f64; 3],
    pub(crate) normal: [f64; 3],
    pub(crate) radius_mm: f64,
    pub(crate) azimuth_deg: f64,
    pub(crate) elevation_deg: f64,
}

/// One detail.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DetailPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    pub(crate) letter: String,
    pub(crate) title: String,
    pub(crate) kind: &'static str,
    pub(crate) kind_word: String,
    /// What this kind means, in a sentence.
    pub(crate) kind_meaning: String,
    pub(crate) words_html: String,
    /// How it stands on each body.
    pub(crate) bearing: Vec<Fact>,
    pub(crate) stills: Vec<DetailStill>,
    pub(crate) raking: Option<super::Raking>,
    pub(crate) photographs: Vec<CaptionedPicture>,
    pub(crate) recordings: Vec<RecordingShown>,
    pub(crate) described: Option<Described>,
    /// Where it is in words and millimetres, how it is known.
    pub(crate) facts: Vec<Fact>,
    pub(crate) on_model_href: String,
    pub(crate) previous: Option<KeyEntry>,
    pub(crate) next: Option<KeyEntry>,
}

/// A close still of a detail on one body.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DetailStill {
    /// `original` or `replica`.
    pub(crate) body: &'static str,
    pub(crate) caption: String,
    pub(crate) picture: Picture,
}

/// What differs.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DiffersPage {
    pub(crate) frame: Frame,
    pub(crate) object: ObjectHead,
    /// The answer in a few plain sentences.
    pub(crate) answer: Vec<String>,
    pub(crate) rows: Vec<DifferenceRow>,
    /// Details that are not alike on both bodies come first.
    pub(crate) bearings: Vec<BearingRow>,
    /// The two plates side by side, same camera.
    pub(crate) bodies: Vec<BodyView>,
    /// What was measured on the surfaces.
    pub(crate) comparison: Option<super::differences::Comparison>,
    /// What every ± on the page is.
    pub(crate) uncertainty: String,
    pub(crate) built: Option<super::quantities::Built>,
    pub(crate) callipers: Option<super::quantities::Callipers>,
    pub(crate) assembly: Option<super::quantities::Assembly>,
    /// Half section, half elevation.
    pub(crate) profile: Option<super::differences::Profile>,
    /// From what each figure with an uncertainty was made.
    pub(crate) went_in: Vec<super::quantities::WentIn>,
}

/// One line of the table.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DifferenceRow {
    pub(crate) aspect: String,
    pub(crate) original: String,
    pub(crate) replica: String,
    /// Replica less original, a line for each number; empty when nothing was measured.
    pub(crate) measured: Vec<String>,
    /// What the numbers come to, in words, where they need it.
    pub(crate) verdict: Option<String>,
    /// `measured`, `declared` or `estimated`.
    pub(crate) status: &'static str,
    pub(crate) status_word: String,
    /// Why, and by what method.
    pub(crate) why: String,
    pub(crate) evidence: Option<KnownBy>,
    /// Where each figure of a reckoned row is known from.
    pub(crate) grounds: Vec<KnownBy>,
}

/// How one detail stands on both bodies.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct BearingRow {
    pub(crate) letter: String,
    pub(crate) title: String,
    pub(crate) href: String,
    pub(crate) kind: &'static str,
    pub(crate) kind_word: String,
    pub(crate) original: String,
    pub(crate) replica: String,
    /// Whether the two differ.
    pub(crate) differs: bool,
}
