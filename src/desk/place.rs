//! A place on the surface, taken from the scan itself and not from the lighter model that is drawn.

use crate::collate::{BodyGeometry, ObjectGeometry, PartGeometry};
use crate::record::{BodyKind, PartId, ViewFrom};
use crate::space::snap;
use crate::view::{Part, Patch, Scenery, choose, outline};
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// A radius that is proposed, as a share of the body's diagonal, before anybody has chosen one.
const SHARE: f64 = 0.035;
/// How far a written anchor may lie off the surface that it was taken from, millimetres.
const REACH_MM: f64 = 5.0;

/// What the page asks: where a ray meets a body, or what surrounds a point of it.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub(super) struct Asked {
    pub(super) object: String,
    pub(super) body: BodyKind,
    /// From the eye, and along which direction, millimetres, in the object's frame.
    pub(super) ray: Option<[[f64; 3]; 2]>,
    /// A point near the surface, in the frame of the body's models, and its part.
    pub(super) point_mm: Option<[f64; 3]>,
    pub(super) part: Option<PartId>,
    /// Radius of the patch; one is proposed when it is left out.
    pub(super) radius_mm: Option<f64>,
}

/// A place that was found.
#[derive(Debug, Serialize)]
pub(super) struct Found {
    part: PartId,
    /// In the frame of the body's models, as it is written; hundredths of a millimetre.
    point_mm: [f64; 3],
    radius_mm: f64,
    /// In the frame of the object, in which it is drawn.
    at: [f64; 3],
    normal: [f64; 3],
    /// The edge of the patch, pieces from point to point, in the object's frame.
    outline: Vec<[[f64; 3]; 2]>,
    /// From where it is best seen, and how much of it then, of the body as it is.
    view: ViewFrom,
    seen: f64,
}

/// Why no place was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Missed {
    /// The models have not been read.
    Unread,
    /// The ray passes by.
    Beside,
    /// A number is none, or out of bounds.
    Unclear,
}

/// Finds a place.
pub(super) fn find(geometry: &ObjectGeometry, asked: &Asked) -> Result<Found, Missed> {
    let body = geometry.bodies.get(&asked.body).ok_or(Missed::Unread)?;
    let size_mm = body.bounds.size().length();
    let radius_mm = asked.radius_mm.unwrap_or_else(|| proposed(size_mm));
    if !(radius_mm.is_finite() && radius_mm > 0.0 && radius_mm <= size_mm) {
        return Err(Missed::Unclear);
    }
    let (own, point) = match (asked.ray, asked.point_mm) {
        (Some([from, toward]), _) => met(body, from, toward)?,
        (None, Some(point)) => near(body, point, asked.part.as_ref())?,
        (None, None) => return Err(Missed::Unclear),
    };
    let part = &body.parts[own];
    let on =
        snap(&part.tree, &part.mesh, point, radius_mm, REACH_MM).map_err(|_| Missed::Beside)?;
    let parts: Vec<Part<'_>> = body.parts.iter().map(|p| p.to_be_seen()).collect();
    let patch = Patch::of(parts[own], on.point, on.normal, radius_mm).ok_or(Missed::Beside)?;
    let scenery = Scenery::of(parts, own).ok_or(Missed::Beside)?;
    let chosen = choose(&scenery, &patch, None);
    Ok(Found {
        part: part.id.clone(),
        point_mm: written(body, on.point),
        radius_mm,
        at: on.point.to_array(),
        normal: on.normal.to_array(),
        outline: edge(part, on.point, on.normal, radius_mm),
        view: chosen.whole.0,
        seen: chosen.whole.1,
    })
}

fn proposed(size_mm: f64) -> f64 {
    let radius = size_mm * SHARE;
    // Whole millimetres where there are enough of them.
    if radius >= 2.0 {
        radius.round()
    } else {
        (radius * 10.0).round().max(1.0) / 10.0
    }
}

/// The part and point that a ray meets first.
fn met(body: &BodyGeometry, from: [f64; 3], toward: [f64; 3]) -> Result<(usize, DVec3), Missed> {
    let (from, toward) = (DVec3::from_array(from), DVec3::from_array(toward));
    let toward = toward.try_normalize().ok_or(Missed::Unclear)?;
    if !from.is_finite() {
        return Err(Missed::Unclear);
    }
    let hits = body.parts.iter().enumerate().filter_map(|(i, part)| {
        let hit = part.tree.ray(from, toward)?;
        Some((hit.distance_mm, i))
    });
    let (far, own) = hits
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .ok_or(Missed::Beside)?;
    Ok((own, from + toward * far))
}

/// The nearest point of the surface to one that was written, on the part that was written with it.
fn near(
    body: &BodyGeometry,
    point: [f64; 3],
    part: Option<&PartId>,
) -> Result<(usize, DVec3), Missed> {
    let point = DVec3::from_array(point);
    if !point.is_finite() {
        return Err(Missed::Unclear);
    }
    let point = body.place(point);
    let own = body.parts.iter().enumerate();
    let own = own.filter(|(_, p)| part.is_none_or(|id| id == &p.id));
    let closest = own.filter_map(|(i, p)| {
        let found = p.tree.closest(point)?;
        Some((found.distance_mm, i, found.point))
    });
    let (_, own, point) = closest
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .ok_or(Missed::Beside)?;
    Ok((own, point))
}

fn edge(part: &PartGeometry, centre: DVec3, normal: DVec3, radius_mm: f64) -> Vec<[[f64; 3]; 2]> {
    outline(&part.mesh, centre, normal, radius_mm)
        .into_iter()
        .map(|ends| ends.map(|p| p.to_array()))
        .collect()
}

/// Hundredths of a millimetre, finer than any scan.
pub(super) fn written(body: &BodyGeometry, point: DVec3) -> [f64; 3] {
    let own = body.moved.map_or(point, |m| m.inverse().point(point));
    own.to_array().map(|c| (c * 100.0).round() / 100.0 + 0.0)
}
