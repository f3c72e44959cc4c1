//! Both bodies in profile, as catalogues of pots and castings draw them: half section, half
//! elevation. Made once for all languages.

use crate::collate::{BodyGeometry, ObjectGeometry};
use crate::profile::{Line, Plane, cut, elevation, simplified};
use crate::record::BodyKind;
use crate::space::Tree;
use glam::{DVec2, DVec3};
use std::fmt::Write;

/// A line leaves out what is finer than this, millimetres: a third of a pen's width.
const FINE_MM: f64 = 0.05;
/// Rays of the elevation lie so far apart, as a share of the drawing's height.
const STEP: f64 = 1.0 / 640.0;
/// A break of the elevation, as a share of the drawing's height.
const JUMP: f64 = 0.03;

/// Lines of the drawing, as data of SVG paths in millimetres about the middle of the original.
#[derive(Debug, Clone)]
pub(crate) struct ProfileLines {
    /// Half of the width and height that both bodies take up.
    pub(crate) half_mm: DVec2,
    /// What is cut of the original, and where a hole in its scan leaves that open.
    pub(crate) solid: String,
    pub(crate) open: String,
    /// The outline of the replica's cut.
    pub(crate) replica: String,
    /// The right half of the original, seen from outside.
    pub(crate) seen: String,
}

/// Draws an object with both bodies from its front.
pub(super) fn make(geometry: &ObjectGeometry) -> Option<ProfileLines> {
    let original = geometry.bodies.get(&BodyKind::Original)?;
    let replica = geometry.bodies.get(&BodyKind::Replica)?;
    let middle = original.bounds.centre();
    let plane = Plane::upright(middle, geometry.front.azimuth_deg);
    let (section, copy) = rayon::join(
        || Section::of(original, &plane),
        || Section::of(replica, &plane),
    );
    let whole = original.parts.iter().flat_map(|p| p.mesh.positions());
    let half_mm = whole
        .map(|p| plane.place(p.as_dvec3()))
        .chain(section.points())
        .chain(copy.points())
        .map(DVec2::abs)
        .fold(DVec2::ZERO, DVec2::max);
    let trees: Vec<&Tree> = original.parts.iter().map(|p| &p.tree).collect();
    let height_mm = 2.0 * half_mm.y;
    let step_mm = STEP * height_mm;
    let seen = elevation(
        &trees,
        &plane,
        [DVec2::new(0.0, -half_mm.y - step_mm), half_mm + step_mm],
        step_mm,
        JUMP * height_mm,
    );
    Some(ProfileLines {
        half_mm,
        solid: path(&section.closed, true),
        open: path(&section.open, false),
        replica: path(&copy.closed, true) + &path(&copy.open, false),
        seen: path(&seen, false),
    })
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
