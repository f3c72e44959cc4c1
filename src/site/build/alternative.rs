//! What a picture shows, told to someone who cannot see it: composed from facts, in the page's
//! language, one short sentence after another.
//!
//! What does not fit into an alternative text goes below the picture, for everyone. The keeper's own
//! words stand in for the first sentence; the direction of sight, what was left out and the letters
//! are the program's to tell, since it drew them.

use super::{Site, Subject};
use crate::picture::Camera;
use crate::record::{BodyKind, Detail, DetailId, Object, Stands, ViewFrom};
use crate::site::pictures::DetailView;
use crate::site::words::Words;
use crate::site::{SiteError, figures};
use std::collections::BTreeMap;

/// Characters of an alternative text. Screen readers read it in one breath and cannot go back within
/// it; common practice, no source.
pub(super) const MOST: usize = 250;
/// A detail of which less is seen is said to be partly hidden.
const HALF: f64 = 0.5;
/// Of so many details beside the one that is meant the place is told at most.
const BESIDE: usize = 3;

/// Sentences about a picture: those that an alternative text holds, and the rest.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Told {
    pub(super) alt: String,
    /// What goes below the picture.
    pub(super) more: Vec<String>,
}

impl Told {
    fn begin(first: &str) -> Self {
        Self {
            alt: ended(first),
            more: Vec::new(),
        }
    }

    /// Adds a sentence to the alternative text where it fits, else to the rest.
    fn and(&mut self, sentence: String) {
        if !self.if_room(&sentence) {
            self.more.push(sentence);
        }
    }

    /// Adds a sentence that is told elsewhere on the page as well, where it fits.
    fn if_room(&mut self, sentence: &str) -> bool {
        let fits = self.alt.chars().count() + 1 + sentence.chars().count() <= MOST;
        if fits {
            self.alt.push(' ');
            self.alt.push_str(sentence);
        }
        fits
    }
}

/// With a full stop, so that a voice pauses before what follows.
pub(super) fn ended(text: &str) -> String {
    let text = text.trim();
    let closed = text.trim_end_matches(['”', '’', '"', ')', '»']);
    if closed.ends_with(['.', '!', '?', '…']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

/// "from the front left, a little from above": the same quarters as the viewer tells.
pub(super) fn view(from: ViewFrom, words: &Words) -> Result<String, SiteError> {
    const SIDES: [&str; 8] = [
        "view_front",
        "view_front_right",
        "view_right",
        "view_back_right",
        "view_back",
        "view_back_left",
        "view_left",
        "view_front_left",
    ];
    // Eighths, 45° wide, about the front, its right and so on.
    let turned = (from.azimuth_deg + 22.5).rem_euclid(360.0);
    let eighth = (0..8)
        .rfind(|i| turned >= 45.0 * f64::from(*i))
        .unwrap_or(0);
    let side = words.get(SIDES[eighth as usize])?;
    let height = match from.elevation_deg {
        e if e > 60.0 => "view_steeply_above",
        e if e > 30.0 => "view_above",
        e if e > 8.0 => "view_a_little_above",
        e if e >= -8.0 => "view_level",
        e if e >= -30.0 => "view_a_little_below",
        e if e >= -60.0 => "view_below",
        _ => "view_steeply_below",
    };
    words.fill(height, &[("side", side)])
}

/// Which ninth of a picture a place lies in, from the upper left to the lower right.
fn ninth(camera: &Camera, at: [f64; 2]) -> usize {
    let third = |k: usize| {
        let share = at[k] / f64::from(camera.size_px[k]);
        usize::from(share >= 1.0 / 3.0) + usize::from(share >= 2.0 / 3.0)
    };
    3 * third(1) + third(0)
}

const NINTHS: [&str; 9] = [
    "at_upper_left",
    "at_upper_middle",
    "at_upper_right",
    "at_left",
    "at_middle",
    "at_right",
    "at_lower_left",
    "at_lower_middle",
    "at_lower_right",
];

fn seen_from(camera: &Camera, words: &Words) -> Result<String, SiteError> {
    let from = ViewFrom {
        azimuth_deg: camera.azimuth_deg,
        elevation_deg: camera.elevation_deg,
    };
    words.fill("alt_seen", &[("view", &view(from, words)?)])
}

/// Letters by their places: "Letters: upper left e; middle a, b."
fn letters(
    camera: &Camera,
    drawn: &[(String, [f64; 2])],
    words: &Words,
) -> Result<String, SiteError> {
    let mut by_place: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
    for (letter, at) in drawn {
        by_place.entry(ninth(camera, *at)).or_default().push(letter);
    }
    let comma = words.get("list_separator")?;
    let mut told = Vec::new();
    for (place, letters) in by_place {
        let place = words.get(NINTHS[place])?;
        let list = letters.join(comma);
        told.push(words.fill("alt_letters_at", &[("place", place), ("list", &list)])?);
    }
    words.fill("alt_letters", &[("list", &told.join("; "))])
}

fn body_key(stem: &str, kind: BodyKind) -> String {
    format!("{stem}_{}", kind.word())
}

impl Site<'_> {
    /// What a still of a whole body shows. `drawn` are the details whose letters stand on it, with
    /// their places in the picture (pixels); none where the picture stands without letters.
    pub(super) fn plate_told(
        &self,
        object: &Object,
        kind: BodyKind,
        camera: &Camera,
        drawn: &BTreeMap<DetailId, [f64; 2]>,
    ) -> Result<Told, SiteError> {
        let words = self.words;
        let body = object.record.bodies.get(kind);
        let title = &self.note(&object.notes)?.title;
        let mut told = match body.and_then(|b| b.alt.as_ref()) {
            Some(own) => Told::begin(self.text(own)?),
            None => Told::begin(&words.fill(&body_key("alt_body", kind), &[("title", title)])?),
        };
        told.and(seen_from(camera, words)?);
        let details = object.details.iter().enumerate();
        let drawn: Vec<(String, [f64; 2])> = details
            .filter_map(|(i, d)| Some((figures::letter(i), *drawn.get(&d.id)?)))
            .collect();
        if !drawn.is_empty() {
            told.and(letters(camera, &drawn, words)?);
        }
        let Some(body) = body else { return Ok(told) };
        if body.parts.len() > 1 {
            let names = body.parts.iter().map(|p| self.text(&p.name));
            let names = names.collect::<Result<Vec<_>, _>>()?;
            let list = names.join(words.get("list_separator")?);
            told.if_room(&words.fill("alt_parts", &[("list", &list)])?);
        }
        if body.alt.is_none() {
            let finish = self.text(&body.finish)?;
            told.if_room(&words.fill("alt_surface", &[("finish", finish)])?);
        }
        Ok(told)
    }
}

impl Subject<'_> {
    /// What a detail's still on one body shows.
    pub(super) fn detail_told(
        &self,
        detail: &Detail,
        kind: BodyKind,
        view: &DetailView,
    ) -> Result<Told, SiteError> {
        let (site, words) = (self.site, self.site.words);
        let (stands, own) = match kind {
            BodyKind::Original => (
                Some(detail.record.bearing.original),
                &detail.record.alt.original,
            ),
            BodyKind::Replica => (detail.record.bearing.replica, &detail.record.alt.replica),
        };
        let title = &site.note(&detail.notes)?.title;
        let stem = if stands == Some(Stands::Absent) {
            "alt_place"
        } else {
            "alt_detail"
        };
        let mut told = match own {
            Some(own) => Told::begin(site.text(own)?),
            None => Told::begin(&words.fill(&body_key(stem, kind), &[("title", title)])?),
        };
        told.and(seen_from(&view.camera, words)?);
        for sentence in self.left_out(kind, view)? {
            told.and(sentence);
        }
        if stands == Some(Stands::Altered) {
            told.and(words.get(&body_key("alt_altered", kind))?.to_owned());
        }
        if let Some(sentence) = self.beside(detail, kind, view)? {
            told.and(sentence);
        }
        Ok(told)
    }

    /// What was left out of a still, and whether something is left that hides the detail, a sentence
    /// each; also for its caption.
    pub(super) fn left_out(
        &self,
        kind: BodyKind,
        view: &DetailView,
    ) -> Result<Vec<String>, SiteError> {
        let words = self.site.words;
        let mut told = Vec::new();
        let parts = self.object.record.bodies.parts(kind);
        let away = parts.iter().filter(|p| view.without.contains(&p.id));
        let names = away
            .map(|p| self.site.text(&p.name))
            .collect::<Result<Vec<_>, _>>()?;
        if !names.is_empty() {
            let list = names.join(words.get("list_separator")?);
            told.push(words.fill("left_out_parts", &[("list", &list)])?);
        }
        if view.cut {
            told.push(words.get("left_out_half")?.to_owned());
        }
        if view.seen.get(&kind).is_some_and(|seen| *seen < HALF) {
            told.push(words.get("partly_hidden")?.to_owned());
        }
        Ok(told)
    }

    /// Other details that the still shows, the nearest to its middle first.
    fn beside(
        &self,
        detail: &Detail,
        kind: BodyKind,
        view: &DetailView,
    ) -> Result<Option<String>, SiteError> {
        let words = self.site.words;
        let middle = view.camera.size_px.map(|px| f64::from(px) / 2.0);
        let off = |at: [f64; 2]| (at[0] - middle[0]).hypot(at[1] - middle[1]);
        let seen = view.beside.get(&kind);
        let mut found: Vec<(f64, [f64; 2], &Detail)> = self
            .object
            .details
            .iter()
            .filter(|other| other.id != detail.id)
            .filter_map(|other| {
                let at = *seen?.get(&other.id)?;
                Some((off(at), at, other))
            })
            .collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut told = Vec::new();
        for (_, at, other) in found.iter().take(BESIDE) {
            let place = words.get(NINTHS[ninth(&view.camera, *at)])?;
            let title = &self.site.note(&other.notes)?.title;
            told.push(words.fill("alt_beside_at", &[("place", place), ("title", title)])?);
        }
        if told.is_empty() {
            return Ok(None);
        }
        words
            .fill("alt_beside", &[("list", &told.join("; "))])
            .map(Some)
    }
}

/// One place that differs, close by.
pub(super) struct Difference<'a> {
    pub(super) body: BodyKind,
    pub(super) from: ViewFrom,
    pub(super) number: &'a str,
    pub(super) title: &'a str,
    /// "The replica has less here".
    pub(super) kind: &'a str,
    /// "0.57 mm".
    pub(super) deepest: &'a str,
}

impl Difference<'_> {
    pub(super) fn told(&self, words: &Words) -> Result<Told, SiteError> {
        let blanks = [("number", self.number), ("title", self.title)];
        let mut told = Told::begin(&words.fill(&body_key("alt_difference", self.body), &blanks)?);
        told.and(words.fill("alt_by", &[("kind", self.kind), ("deepest", self.deepest)])?);
        told.and(words.fill("alt_seen", &[("view", &view(self.from, words)?)])?);
        Ok(told)
    }
}

/// All places of a body that differ, from its plate's camera.
pub(super) struct Differences<'a> {
    pub(super) body: BodyKind,
    pub(super) camera: &'a Camera,
    pub(super) count: &'a str,
    /// "0.57 mm", where the replica has more, and where it has less.
    pub(super) gained: Option<String>,
    pub(super) lost: Option<String>,
}

impl Differences<'_> {
    pub(super) fn told(&self, words: &Words) -> Result<Told, SiteError> {
        let key = body_key("alt_differences", self.body);
        let mut told = Told::begin(&words.fill(&key, &[("n", self.count)])?);
        for (key, most) in [("alt_gained", &self.gained), ("alt_lost", &self.lost)] {
            if let Some(most) = most {
                told.and(words.fill(key, &[("most", most)])?);
            }
        }
        told.and(seen_from(self.camera, words)?);
        Ok(told)
    }
}

#[cfg(test)]
mod tests;
