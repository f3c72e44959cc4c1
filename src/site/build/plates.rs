//! Plates on a page: a still with letters tied to the surface, a bar of true length and a mark that
//! tells which way it looks.

use super::Subject;
use crate::record::BodyKind;
use crate::site::address::Page;
use crate::site::page::{Leader, OrientationMark, Plate, ScaleBar};
use crate::site::pictures::{BodyPlate, PLATE_PX, Side};
use crate::site::plates::{self, Lettering, Point, Sheet};
use crate::site::words::Words;
use crate::site::{SiteError, figures};
use std::collections::BTreeMap;
use std::fmt::Write;

/// The view box is the front's picture itself; letters stand in the margins that the camera left
/// free.
const SHEET: Sheet = Sheet {
    width: PLATE_PX[0] as f64,
    height: PLATE_PX[1] as f64,
    inset: 52.0,
    knee: 104.0,
    spacing: 66.0,
    foot: FOOT,
};
/// A further side has the same view box, so that a millimetre is as long in it; its letters are
/// larger, since it is shown smaller.
const SIDE_SHEET: Sheet = Sheet {
    inset: 62.0,
    knee: 128.0,
    spacing: 96.0,
    ..SHEET
};
/// The scale bar stands in this strip. The camera leaves a little more than it free below.
const FOOT: f64 = 80.0;
/// Height of the scale bar above the lower edge.
const BAR_UP: f64 = 44.0;
/// The scale bar is the longest round length below this share of the sheet's width.
const SCALE_BAR_SHARE: f64 = 0.22;

impl Subject<'_> {
    /// The plate of one body from its front.
    pub(super) fn front_plate(&self, page: &Page, kind: BodyKind) -> Result<Plate, SiteError> {
        let made = self.pictures.plates.get(&kind);
        let made =
            made.ok_or_else(|| SiteError::Picture(format!("no plate of ‘{}’", self.object.id)))?;
        self.plate(page, kind, Side::Front, made)
    }

    /// The plates of one body from its further sides.
    pub(super) fn further_plates(
        &self,
        page: &Page,
        kind: BodyKind,
    ) -> Result<Vec<Plate>, SiteError> {
        self.pictures
            .sides
            .iter()
            .filter_map(|made| Some((made.side, made.plates.get(&kind)?)))
            .map(|(side, made)| self.plate(page, kind, side, made))
            .collect()
    }

    fn plate(
        &self,
        page: &Page,
        kind: BodyKind,
        side: Side,
        made: &BodyPlate,
    ) -> Result<Plate, SiteError> {
        let here = self.site.address(page);
        let words = self.site.words;
        let camera = &made.camera;
        let sheet = if side == Side::Front {
            SHEET
        } else {
            SIDE_SHEET
        };
        let (leaders, spacing) = self.leaders(page, made, &sheet)?;
        let scale_bar = scale_bar(camera.half_height_mm, words)?;
        let side_word = words.get(&format!("side_{}", side.word()))?;
        let letters: Vec<&str> = leaders.iter().map(|l| l.letter.as_str()).collect();
        let description = if letters.is_empty() {
            words.fill("plate_without_letters", &[("length", &scale_bar.text)])?
        } else {
            let letters = letters.join(words.get("list_separator")?);
            let blanks = [("letters", letters.as_str()), ("length", &scale_bar.text)];
            words.fill("plate_with_letters", &blanks)?
        };
        let heading = match kind {
            BodyKind::Original => "body_original",
            BodyKind::Replica => "body_replica",
        };
        // Where a page draws no letters, none are told.
        let none = BTreeMap::new();
        let drawn = match page {
            Page::Object(_) | Page::Handout(_) | Page::KioskObject(_) | Page::KioskAlone(_) => {
                &made.seen
            }
            _ => &none,
        };
        let told = self.site.plate_told(self.object, kind, camera, drawn)?;
        Ok(Plate {
            id: format!("_plate-{}-{}", kind.word(), side.word()),
            picture: made.files.seen_from(&here, told.alt),
            more: (!told.more.is_empty()).then(|| told.more.join(" ")),
            title: words.fill(
                "plate_title",
                &[("body", words.get(heading)?), ("side", side_word)],
            )?,
            description,
            seen_from: words.fill("seen_from", &[("side", side_word)])?,
            mark: mark(
                camera.azimuth_deg - self.geometry.front.azimuth_deg,
                camera.elevation_deg,
            ),
            crowded: spacing < sheet.spacing,
            width: SHEET.width,
            height: SHEET.height,
            picture_x: 0.0,
            picture_y: 0.0,
            picture_width: SHEET.width,
            picture_height: SHEET.height,
            leaders,
            scale_bar,
            azimuth_deg: camera.azimuth_deg,
            elevation_deg: camera.elevation_deg,
            half_height_mm: camera.half_height_mm,
            centre_mm: camera.centre_mm.to_array(),
        })
    }

    fn leaders(
        &self,
        page: &Page,
        made: &BodyPlate,
        sheet: &Sheet,
    ) -> Result<(Vec<Leader>, f64), SiteError> {
        let seen: Vec<_> = self
            .object
            .details
            .iter()
            .enumerate()
            .filter_map(|(index, detail)| Some((index, detail, made.seen.get(&detail.id)?)))
            .collect();
        let units_per_px = SHEET.height / f64::from(made.camera.size_px[1]);
        let points: Vec<Point> = seen
            .iter()
            .map(|(_, _, at)| Point {
                x: at[0] * units_per_px,
                y: at[1] * units_per_px,
            })
            .collect();
        let Lettering { labels, spacing } = plates::letters(&points, sheet);
        let mut leaders = Vec::new();
        for (((index, detail, _), point), label) in seen.iter().zip(&points).zip(labels) {
            leaders.push(Leader {
                letter: figures::letter(*index),
                id: detail.id.to_string(),
                href: self.detail_href(page, &detail.id),
                title: self.site.note(&detail.notes)?.title.clone(),
                kind: super::detail::kind_word(detail.record.kind),
                margin: label.margin.word(),
                letter_x: tenth(label.letter.x),
                letter_y: tenth(label.letter.y),
                knee_x: tenth(label.knee.x),
                knee_y: tenth(label.knee.y),
                anchor_x: tenth(point.x),
                anchor_y: tenth(point.y),
            });
        }
        Ok((leaders, spacing))
    }
}

/// The bar of a plate whose picture is so high.
fn scale_bar(half_height_mm: f64, words: &Words) -> Result<ScaleBar, SiteError> {
    let (length_mm, length) = bar(half_height_mm);
    let decimals = if length_mm < 1.0 { 1 } else { 0 };
    Ok(ScaleBar {
        text: figures::millimetres(length_mm, decimals, words)?,
        x: SHEET.knee,
        y: SHEET.height - BAR_UP,
        length: tenth(length),
    })
}

/// Length of the bar: millimetres, and view-box units.
fn bar(half_height_mm: f64) -> (f64, f64) {
    let units_per_mm = SHEET.height / (2.0 * half_height_mm);
    let length_mm = figures::round_length(SCALE_BAR_SHARE * SHEET.width / units_per_mm);
    (length_mm, length_mm * units_per_mm)
}

/// The mark for an eye turned by `turn_deg` about the upright axis from the front, to the right of
/// one who stands before it, and at this height above the horizon.
fn mark(turn_deg: f64, elevation_deg: f64) -> OrientationMark {
    /// Height from which a plan can no longer tell whence the eye looks.
    const PLUMB_DEG: f64 = 80.0;
    let eye = match elevation_deg {
        e if e > PLUMB_DEG => "above",
        e if e < -PLUMB_DEG => "below",
        _ => "level",
    };
    let mut arrow = String::new();
    if eye == "level" {
        let (x, y) = turn_deg.to_radians().sin_cos();
        let at =
            |along: f64, aside: f64| (tenth(x * along - y * aside), tenth(y * along + x * aside));
        let ([a, b], [left, right]) = (
            [at(56.0, 0.0), at(34.0, 0.0)],
            [at(44.0, 7.0), at(44.0, -7.0)],
        );
        // Writing into a string cannot fail.
        let _ = write!(
            arrow,
            "M{} {}L{} {}M{} {}L{} {}L{} {}",
            a.0, a.1, b.0, b.1, left.0, left.1, b.0, b.1, right.0, right.1
        );
    }
    OrientationMark { arrow, eye }
}

/// View-box units to one decimal: finer than a printed hairline.
fn tenth(value: f64) -> f64 {
    // Without a minus before nought.
    (value * 10.0).round() / 10.0 + 0.0
}

#[cfg(test)]
mod tests;
