//! Both bodies in profile, as catalogues of pots and castings draw them: half section, half
//! elevation.

use super::Subject;
use crate::collate::BodyGeometry;
use crate::profile::{Line, Plane, cut, elevation, simplified};
use crate::record::BodyKind;
use crate::site::build::bodies::round_length;
use crate::site::page::differences::Profile;
use crate::site::{SiteError, figures};
use crate::space::Tree;
use glam::{DVec2, DVec3};
use std::fmt::Write;

/// A line leaves out what is finer than this, millimetres: a third of a pen's width.
const FINE_MM: f64 = 0.05;
/// Rays of the elevation lie so far apart, as a share of the drawing's height.
const STEP: f64 = 1.0 / 640.0;
/// A break of the elevation, as a share of the drawing's height.
const JUMP: f64 = 0.03;
/// Free around the drawing, as a share of its height: below there is room for the scale as well.
const FREE: f64 = 0.04;
/// The scale bar is the longest round length below this share of the width.
const BAR: f64 = 0.4;

/// The drawing of an object with both bodies.
pub(super) fn profile(subject: &Subject<'_>) -> Result<Option<Profile>, SiteError> {
    let bodies = &subject.geometry.bodies;
    let (Some(original), Some(replica)) = (
        bodies.get(&BodyKind::Original),
        bodies.get(&BodyKind::Replica),
    ) else {
        return Ok(None);
    };
    let middle = original.bounds.centre();
    let plane = Plane::upright(middle, subject.object.record.front.azimuth_deg);
    let section = Section::of(original, &plane);
    let copy = Section::of(replica, &plane);
    let points = || section.points().chain(copy.points());
    let mut half = original
        .parts
        .iter()
        .flat_map(|p| p.mesh.positions())
        .map(|p| plane.place(p.as_dvec3()).abs())
        .fold(DVec2::ZERO, DVec2::max);
    half = points().map(DVec2::abs).fold(half, DVec2::max);
    let trees: Vec<&Tree> = original.parts.iter().map(|p| &p.tree).collect();
    let height = 2.0 * half.y;
    let step = STEP * height;
    let seen = elevation(
        &trees,
        &plane,
        [DVec2::new(0.0, -half.y - step), half + step],
        step,
        JUMP * height,
    );
    let free = FREE * height;
    let foot = 4.5 * free;
    let bar = round_length(BAR * 2.0 * half.x);
    let words = subject.site.words;
    let decimals = usize::from(bar < 1.0);
    let [left, top] = [-half.x - free, -half.y - free];
    let [width, tall] = [2.0 * (half.x + free), height + free + foot];
    Ok(Some(Profile {
        view_box: format!("{left:.2} {top:.2} {width:.2} {tall:.2}"),
        left,
        top,
        half: half.x + free,
        height: height + 2.0 * free,
        width_mm: width,
        height_mm: tall,
        solid: path(&section.closed, true),
        open: path(&section.open, false),
        replica: path(&copy.closed, true) + &path(&copy.open, false),
        seen: path(&seen, false),
        bar_x: -bar / 2.0,
        bar_y: half.y + 2.0 * free,
        bar_mm: bar,
        bar_text: figures::millimetres(bar, decimals, words)?,
        text_size: height / 28.0,
        title: words.fill(
            "profile_title",
            &[(
                "object",
                subject.site.note(&subject.object.notes)?.title.as_str(),
            )],
        )?,
    }))
}

/// What a saw would show of a body.
struct Section {
    closed: Vec<Line>,
    open: Vec<Line>,
}

impl Section {
    fn of(body: &BodyGeometry, plane: &Plane) -> Self {
        let (mut closed, mut open) = (Vec::new(), Vec::new());
        for part in &body.parts {
            let welded = part.sides.welded();
            let places: Vec<DVec3> = welded.places.iter().map(|p| p.as_dvec3()).collect();
            let found = cut(&places, &welded.triangles, plane);
            let fine = |line: &Line, closed| simplified(line, closed, FINE_MM);
            closed.extend(found.closed.iter().map(|line| fine(line, true)));
            open.extend(found.open.iter().map(|line| fine(line, false)));
        }
        // What has come down to a line is no outline.
        closed.retain(|line| line.len() > 2);
        Self { closed, open }
    }

    fn points(&self) -> impl Iterator<Item = DVec2> + '_ {
        self.closed.iter().chain(&self.open).flatten().copied()
    }
}

/// Lines as the data of an SVG path, which counts downward.
fn path(lines: &[Line], closed: bool) -> String {
    let mut out = String::new();
    for line in lines {
        for (i, p) in line.iter().enumerate() {
            let letter = if i == 0 { 'M' } else { 'L' };
            // Writing into a string cannot fail.
            let _ = write!(out, "{letter}{:.2} {:.2}", p.x, -p.y);
        }
        if closed {
            out.push('Z');
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_close_and_count_downward() {
        let lines = [vec![DVec2::new(1.0, 2.0), DVec2::new(3.5, -4.0)]];
        assert_eq!(path(&lines, true), "M1.00 -2.00L3.50 4.00Z");
        assert_eq!(path(&lines, false), "M1.00 -2.00L3.50 4.00");
        assert_eq!(path(&[], true), "");
    }
}
