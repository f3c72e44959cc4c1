//! Raised-line drawings of every side of every body, as files of one A4 sheet each: all of one
//! scale, numbered in braille, with a bar of true length.

use super::sides::{Side, SidePlates};
use super::stills::BodyPlate;
use crate::collate::{BodyGeometry, ObjectGeometry};
use crate::picture::Camera;
use crate::profile::Plane;
use crate::raised::{
    CELL_MM, DOT_MM, Drawing, Mark, RAISED_METHOD, SYMBOL_MM, Subject, Symbol, cells_of_letters,
    cells_of_number, dots, draw,
};
use crate::record::{BodyKind, Kind, Object, Use};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError, figures};
use crate::space::Tree;
use crate::store::Key;
use glam::DVec2;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt::Write;

/// A4 (ISO 216), millimetres.
const SHEET_MM: DVec2 = DVec2::new(210.0, 297.0);
/// White on all sides: printers and heaters need it.
const EDGE_MM: f64 = 15.0;
/// What a drawing may take up, and where its middle is, from the upper left corner.
const ROOM_MM: DVec2 = DVec2::new(176.0, 220.0);
const MIDDLE_MM: DVec2 = DVec2::new(105.0, 146.0);
/// Height of the bar, from the top, and the longest that it may be.
const BAR_DOWN_MM: f64 = 275.0;
const BAR_MOST_MM: f64 = 60.0;
/// Half the height of the ticks at its ends.
const TICK_MM: f64 = 3.5;
/// A break of the surface, as a share of the drawing's height; as in the profile drawing.
const JUMP: f64 = 0.03;

/// All drawings of an object.
#[derive(Debug, Clone)]
pub(crate) struct RaisedSheets {
    /// In the order of their numbers, which begin at 1.
    pub(crate) sheets: Vec<RaisedSheet>,
    /// Millimetres on paper to one of the object.
    pub(crate) scale: f64,
    /// What the bar stands for, millimetres of the object.
    pub(crate) bar_mm: f64,
}

/// One drawing.
#[derive(Debug, Clone)]
pub(crate) struct RaisedSheet {
    pub(crate) kind: BodyKind,
    pub(crate) side: Side,
    /// Path relative to the root of the site.
    pub(crate) path: String,
    /// Details, by their place in the record, that are marked, and that found no room.
    pub(crate) marked: Vec<usize>,
    pub(crate) left_out: Vec<usize>,
}

/// What the store keeps of a drawing.
#[derive(Serialize, Deserialize)]
struct Stored {
    svg: String,
    /// By their place among the marks.
    left_out: Vec<usize>,
}

/// Draws the front and the further sides, the body that is shown first.
pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    geometry: &ObjectGeometry,
    front: &BTreeMap<BodyKind, BodyPlate>,
    further: &[SidePlates],
    assets: &Assets,
    next: &mut dyn FnMut(&str),
) -> Result<RaisedSheets, SiteError> {
    let sides = || {
        let others = further.iter().map(|made| (made.side, &made.plates));
        [(Side::Front, front)].into_iter().chain(others)
    };
    let cameras = sides().filter_map(|(_, plates)| Some(plates.values().next()?.camera));
    let halves: Vec<DVec2> = cameras.map(|camera| half_mm(geometry, &camera)).collect();
    let most = halves.iter().copied().fold(DVec2::ZERO, DVec2::max) * 2.0;
    let scale = round_scale((ROOM_MM / most.max(DVec2::splat(f64::MIN_POSITIVE))).min_element());
    let bar_mm = figures::round_length(BAR_MOST_MM / scale);
    let mut sheets = Vec::new();
    for kind in [BodyKind::Replica, BodyKind::Original] {
        let Some(body) = geometry.bodies.get(&kind) else {
            continue;
        };
        for ((side, plates), half_mm) in sides().zip(&halves) {
            let Some(plate) = plates.get(&kind) else {
                continue;
            };
            // Drawings for fingers are for paper alone.
            if !object.body_permits(kind, Use::Print, request.catalogue.today) {
                continue;
            }
            let number = sheets.len() + 1;
            next(&format!("raised-line drawing {number} of {}", object.id));
            let (details, marks) = marks(object, plate);
            let asked = Asked {
                body,
                camera: plate.camera,
                half_mm: *half_mm,
                scale,
                bar_mm,
                number,
                marks,
            };
            let stored = asked.stored(request)?;
            let out = |i: &usize| stored.left_out.contains(i);
            let pick = |wanted: bool| {
                let numbered = details.iter().enumerate();
                numbered
                    .filter(|(i, _)| out(i) == wanted)
                    .map(|(_, detail)| *detail)
                    .collect()
            };
            let name = format!("{}-raised-{}-{}", object.id, kind.word(), side.word());
            sheets.push(RaisedSheet {
                kind,
                side,
                marked: pick(false),
                left_out: pick(true),
                path: assets.add(&name, "svg", stored.svg.into_bytes()),
            });
        }
    }
    Ok(RaisedSheets {
        sheets,
        scale,
        bar_mm,
    })
}

/// The form that a finger finds for each kind of detail.
pub(crate) fn symbol(kind: Kind) -> Symbol {
    match kind {
        Kind::Motif => Symbol::Disc,
        Kind::Inscription => Symbol::Bars,
        Kind::Repair => Symbol::FilledSquare,
        Kind::Damage => Symbol::Roof,
        Kind::Addition => Symbol::Plus,
        Kind::Trace => Symbol::Ring,
        Kind::Construction => Symbol::Square,
        Kind::Loss => Symbol::Triangle,
    }
}

/// What a plate shows, as details by their place in the record and as marks about its middle.
fn marks(object: &Object, plate: &BodyPlate) -> (Vec<usize>, Vec<Mark>) {
    let [width, height] = plate.camera.size_px.map(f64::from);
    let mm_per_px = 2.0 * plate.camera.half_height_mm / height;
    let shown = object.details.iter().enumerate();
    shown
        .filter_map(|(index, detail)| {
            let at = plate.seen.get(&detail.id)?;
            let from_middle = DVec2::new(at[0] - width / 2.0, height / 2.0 - at[1]);
            let mark = Mark {
                letters: figures::letter(index),
                symbol: symbol(detail.record.kind),
                at: from_middle * mm_per_px,
            };
            Some((index, mark))
        })
        .unzip()
}

/// Half of what all bodies take up before a camera, about its middle.
fn half_mm(geometry: &ObjectGeometry, camera: &Camera) -> DVec2 {
    let plane = plane(camera);
    let parts = geometry.bodies.values().flat_map(|body| &body.parts);
    let points = parts.flat_map(|part| part.mesh.positions());
    points
        .map(|p| plane.place(p.as_dvec3()).abs())
        .fold(DVec2::ZERO, DVec2::max)
}

fn plane(camera: &Camera) -> Plane {
    let axes = camera.axes();
    Plane {
        origin: camera.centre_mm,
        right: axes.right,
        up: axes.up,
    }
}

/// A scale that is easily said, not above the one given: true size or a whole multiple of it, and
/// below true size steps of five in a hundred.
fn round_scale(most: f64) -> f64 {
    if most >= 1.0 {
        most.floor()
    } else if most >= 0.05 {
        (most * 20.0).floor() / 20.0
    } else {
        figures::round_length(most)
    }
}

/// All that one sheet depends on.
struct Asked<'a> {
    body: &'a BodyGeometry,
    camera: Camera,
    half_mm: DVec2,
    scale: f64,
    bar_mm: f64,
    number: usize,
    marks: Vec<Mark>,
}

impl Asked<'_> {
    fn stored(&self, request: &Request<'_>) -> Result<Stored, SiteError> {
        let mut key = Key::of(RAISED_METHOD).and(&self.camera.digest_bytes());
        for part in &self.body.parts {
            key = key.and(&part.digest);
        }
        for number in [self.half_mm.x, self.half_mm.y, self.scale, self.bar_mm] {
            key = key.and(&number.to_le_bytes());
        }
        // The number and the marks as they are printed: letters, forms and places.
        key = key.and(format!("{} {:?}", self.number, self.marks).as_bytes());
        let fault = |e: serde_json::Error| {
            SiteError::Picture(format!("the raised-line drawing {}: {e}", self.number))
        };
        let bytes = request
            .store
            .or_make(&key, || serde_json::to_vec(&self.sheet()).map_err(fault))?;
        serde_json::from_slice(&bytes).map_err(fault)
    }

    fn sheet(&self) -> Stored {
        let trees: Vec<&Tree> = self.body.parts.iter().map(|part| &part.tree).collect();
        let drawing = draw(&Subject {
            trees: &trees,
            plane: plane(&self.camera),
            half_mm: self.half_mm,
            scale: self.scale,
            jump_mm: JUMP * 2.0 * self.half_mm.y,
            marks: &self.marks,
        });
        Stored {
            svg: svg(&drawing, self.number, self.bar_mm, self.scale),
            left_out: drawing.left_out,
        }
    }
}

/// The sheet as a file: black on white, one unit a millimetre.
fn svg(drawing: &Drawing, number: usize, bar_mm: f64, scale: f64) -> String {
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         stroke-linecap=\"round\" stroke-linejoin=\"round\"><path fill=\"#fff\" d=\"M0 0h{w}v{h}H0z\"/>\n",
        w = SHEET_MM.x,
        h = SHEET_MM.y
    );
    // Writing into a string cannot fail.
    for stroke in &drawing.strokes {
        let mut path = String::new();
        for (i, p) in stroke.line.iter().enumerate() {
            let letter = if i == 0 { 'M' } else { 'L' };
            let (x, y) = (MIDDLE_MM.x + p.x, MIDDLE_MM.y - p.y);
            let _ = write!(path, "{letter}{x:.2} {y:.2}");
        }
        if stroke.closed {
            path.push('Z');
        }
        let fill = if stroke.filled { "#000" } else { "none" };
        let _ = writeln!(
            out,
            "<path class=\"{:?}\" fill=\"{fill}\" stroke=\"#000\" stroke-width=\"{}\" d=\"{path}\"/>",
            stroke.role, stroke.width_mm
        );
    }
    let from_middle = drawing.dots.iter();
    dotted(
        &mut out,
        from_middle.map(|p| DVec2::new(MIDDLE_MM.x + p.x, MIDDLE_MM.y - p.y)),
    );
    // The number at the upper right tells which drawing it is, and which way up.
    let cells = cells_of_number(number);
    let width = cells.len() as f64 * CELL_MM;
    let from_corner = |corner: DVec2| move |p: DVec2| DVec2::new(corner.x + p.x, corner.y - p.y);
    let corner = DVec2::new(SHEET_MM.x - EDGE_MM - width, EDGE_MM + 8.0);
    let placed = dots(&cells, DVec2::ZERO);
    dotted(&mut out, placed.into_iter().map(from_corner(corner)));
    let long = bar_mm * scale;
    let left = EDGE_MM + 5.0;
    let _ = writeln!(
        out,
        "<path class=\"Bar\" fill=\"none\" stroke=\"#000\" stroke-width=\"{SYMBOL_MM}\" \
         d=\"M{left} {}v{}m0 -{TICK_MM}h{long:.2}m0 -{TICK_MM}v{}\"/>",
        BAR_DOWN_MM - TICK_MM,
        2.0 * TICK_MM,
        2.0 * TICK_MM
    );
    let corner = DVec2::new(left + long + 6.0, BAR_DOWN_MM + 3.25);
    let placed = dots(&bar_cells(bar_mm), DVec2::ZERO);
    dotted(&mut out, placed.into_iter().map(from_corner(corner)));
    out + "</svg>\n"
}

/// "50 mm", uncontracted; tenths have a decimal point, dots 2, 5 and 6.
fn bar_cells(bar_mm: f64) -> Vec<char> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a short round length"
    )]
    let whole = bar_mm.round() as usize;
    let mut cells = if bar_mm >= 1.0 {
        cells_of_number(whole)
    } else {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a short round length"
        )]
        let tenths = (bar_mm * 10.0).round() as usize;
        let mut cells = cells_of_number(0);
        cells.push('⠲');
        // The number sign still holds after the point.
        cells.extend(cells_of_number(tenths).into_iter().skip(1));
        cells
    };
    cells.push('⠀');
    cells.extend(cells_of_letters("mm").into_iter().skip(1));
    cells
}

fn dotted(out: &mut String, middles: impl Iterator<Item = DVec2>) {
    for p in middles {
        // Writing into a string cannot fail.
        let _ = writeln!(
            out,
            "<circle class=\"Dot\" cx=\"{:.2}\" cy=\"{:.2}\" r=\"{}\"/>",
            p.x,
            p.y,
            DOT_MM / 2.0
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_easily_said_and_fit() {
        for (most, scale) in [
            (4.3, 4.0),
            (1.0, 1.0),
            (0.96, 0.95),
            (0.512, 0.5),
            (0.03, 0.02),
        ] {
            let found = round_scale(most);
            assert!((found - scale).abs() < 1e-12, "{most}: {found}");
        }
    }

    #[test]
    fn the_bar_says_its_length() {
        let text = |mm: f64| bar_cells(mm).into_iter().collect::<String>();
        assert_eq!(text(50.0), "⠼⠑⠚⠀⠍⠍");
        assert_eq!(text(0.5), "⠼⠚⠲⠑⠀⠍⠍");
    }
}
