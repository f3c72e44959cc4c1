//! The planes that a thing comes to stand on.
//!
//! A rigid thing touches a rigid floor in the corners of one face of its hull. It stays when the
//! foot of its centre of mass lies within that face; otherwise it rolls over the nearest side
//! that the foot lies beyond. Each roll lowers the centre, so the rolling ends. A scanned foot is
//! rough, and its hull has many small faces there: rolls from one to another of them, within the
//! tolerance of contact, are followed but not counted, and all points within the tolerance of the
//! plane bear.

use super::support::{Tip, extent_mm, narrowest_mm, polygon, tip, width_mm};
use super::{Hull, hull};
use glam::DVec3;
use std::collections::BTreeSet;

/// A plane on which a thing can stand, and how it stands there. Everything is in the body's frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Rest {
    /// Unit normal of the plane, pointing down, out of the body.
    pub down: DVec3,
    /// The plane holds the points whose product with `down` is this, millimetres.
    pub offset_mm: f64,
    /// The convex polygon around all points that touch, on the plane, counter-clockwise seen from
    /// above.
    pub support: Vec<DVec3>,
    /// Angle between the nominal axis and the vertical, degrees.
    pub tilt_deg: f64,
    /// Where the nominal axis leans: a unit vector in the plane. `None` when it stands upright.
    pub leans_toward: Option<DVec3>,
    /// Height of the centre of mass above the plane, millimetres.
    pub height_mm: f64,
    /// The point of the plane below the centre of mass.
    pub foot: DVec3,
    /// When it tips.
    pub tip: Tip,
}

impl Rest {
    /// How far apart the ends of the support lie in the direction that it leans, millimetres; when it
    /// stands upright, across the narrowest way. What bears at either end being off by u makes the
    /// lean uncertain by √2 u over this.
    pub fn base_mm(&self) -> f64 {
        match self.leans_toward {
            Some(way) => width_mm(&self.support, way),
            None => narrowest_mm(&self.support, self.down),
        }
    }

    /// The angle by which the floor must tilt in a direction until the thing tips, degrees: the
    /// distance from the foot to the end of the polygon that way, over the height. The part of
    /// `direction` that points out of the plane does not count. `None` when nothing is left of
    /// it, or when the foot lies outside the polygon.
    pub fn tip_toward_deg(&self, direction: DVec3) -> Option<f64> {
        let flat = direction
            .reject_from_normalized(self.down)
            .try_normalize()?;
        let reach_mm = extent_mm(&self.support, -self.down, self.foot, flat)?;
        Some(reach_mm.atan2(self.height_mm).to_degrees())
    }
}

/// How a thing comes to stand when it is set down upright.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// Where it ends.
    pub rest: Rest,
    /// How often it rolled over a side on the way there.
    pub rolls: u32,
    /// Whether it stays exactly as it was set, with the nominal axis upright: the foot of the
    /// centre lies within the polygon around the points at the lowest level. When it does not,
    /// the thing leans, and how far says [`Rest::tilt_deg`].
    pub stands_as_set: bool,
}

/// Rounding in lengths, as a share of the size of the body: a thousand times that of a product of
/// two coordinates.
const ROUNDING: f64 = 1e-12;

/// Where a thing comes to stand when it is set down with `up` upward: on the face of the hull that
/// the vertical through the centre of mass leaves by, or where it rolls from there. `contact_mm`
/// is how near to the plane a point must be to bear. `None` when the centre is not inside the
/// hull, or `up` has no direction.
pub fn rest(
    points: &[DVec3],
    hull: &Hull,
    centre: DVec3,
    up: DVec3,
    contact_mm: f64,
) -> Option<Settled> {
    let body = Body::of(points, hull, centre, up, contact_mm)?;
    let mut face = body.below()?;
    let mut left = body.plane(face)?;
    let mut rolls = 0;
    while let Some(next) = body.roll(face) {
        face = next;
        // A roll counts once it has left what touched the floor before.
        if !body.touches(face, &left) {
            rolls += 1;
            left = body.plane(face)?;
        }
    }
    Some(Settled {
        rest: body.rest(body.plane(face)?)?,
        rolls,
        stands_as_set: body.stands_upright(),
    })
}

/// All planes on which a thing can stand, the least tilted first. Faces of the hull that lie in
/// one plane within `contact_mm` are one. Empty when the centre is not inside the hull, or `up`
/// has no direction.
pub fn rests(
    points: &[DVec3],
    hull: &Hull,
    centre: DVec3,
    up: DVec3,
    contact_mm: f64,
) -> Vec<Rest> {
    let Some(body) = Body::of(points, hull, centre, up, contact_mm) else {
        return Vec::new();
    };
    let mut stable: Vec<(usize, Plane)> = (0..hull.faces.len())
        .filter(|&face| body.holds(face))
        .filter_map(|face| Some((face, body.plane(face)?)))
        .collect();
    stable.sort_by(|a, b| a.1.height_mm.total_cmp(&b.1.height_mm).then(a.0.cmp(&b.0)));
    let mut kept: Vec<Plane> = Vec::new();
    for (face, plane) in stable {
        if !kept.iter().any(|other| body.touches(face, other)) {
            kept.push(plane);
        }
    }
    let mut found: Vec<Rest> = kept.into_iter().filter_map(|p| body.rest(p)).collect();
    // Balanced on a side, or beyond it: not a stand.
    found.retain(|r| r.tip.distance_mm > body.slack_mm);
    found.sort_by(|a, b| a.tilt_deg.total_cmp(&b.tilt_deg));
    found
}

/// The same as [`rest`], with some points put elsewhere: those of an addition, brought to where
/// the surface would be without it. `centre` is the centre of mass without it, where that is
/// known. `None` also when a point is named that there is not, or the points lie in one plane.
pub fn lean_without(
    points: &[DVec3],
    replaced: &[(u32, DVec3)],
    centre: DVec3,
    up: DVec3,
    contact_mm: f64,
) -> Option<Settled> {
    let mut moved = points.to_vec();
    for &(i, place) in replaced {
        *moved.get_mut(i as usize)? = place;
    }
    let hull = hull(&moved)?;
    rest(&moved, &hull, centre, up, contact_mm)
}

/// The plane of a face, and how high the centre stands over it.
#[derive(Clone, Copy)]
struct Plane {
    down: DVec3,
    offset_mm: f64,
    height_mm: f64,
}

struct Body<'a> {
    points: &'a [DVec3],
    hull: &'a Hull,
    planes: Vec<Option<Plane>>,
    centre: DVec3,
    up: DVec3,
    contact_mm: f64,
    slack_mm: f64,
}

impl<'a> Body<'a> {
    fn of(
        points: &'a [DVec3],
        hull: &'a Hull,
        centre: DVec3,
        up: DVec3,
        contact_mm: f64,
    ) -> Option<Self> {
        let up = up.try_normalize()?;
        let corners = || hull.points.iter().map(|&i| points[i as usize]);
        let reach = corners().map(|p| p.abs().max_element()).fold(0.0, f64::max);
        let slack_mm = reach * ROUNDING;
        // A face too slender to have a normal is passed over: its neighbours lie along it.
        let planes: Vec<Option<Plane>> = hull
            .faces
            .iter()
            .map(|f| {
                let [a, b, c] = f.map(|i| points[i as usize]);
                let down = (b - a).cross(c - a).try_normalize()?;
                let offset_mm = (down.dot(a) + down.dot(b) + down.dot(c)) / 3.0;
                Some(Plane {
                    down,
                    offset_mm,
                    height_mm: offset_mm - down.dot(centre),
                })
            })
            .collect();
        let inside = planes.iter().flatten().all(|p| p.height_mm > 0.0);
        (inside && centre.is_finite()).then_some(Self {
            points,
            hull,
            planes,
            centre,
            up,
            contact_mm: contact_mm.max(0.0),
            slack_mm,
        })
    }

    fn plane(&self, face: usize) -> Option<Plane> {
        self.planes[face]
    }

    fn corners(&self, face: usize) -> [DVec3; 3] {
        self.hull.faces[face].map(|i| self.points[i as usize])
    }

    /// The face by which the vertical through the centre leaves the hull.
    fn below(&self) -> Option<usize> {
        let down = -self.up;
        (0..)
            .zip(&self.planes)
            .filter_map(|(face, plane)| {
                let plane = (*plane)?;
                let slope = plane.down.dot(down);
                (slope > 0.0).then(|| (face, plane.height_mm / slope))
            })
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(face, _)| face)
    }

    /// Distance of the foot of the centre beyond each side of a face, and from the side itself.
    fn beyond(&self, face: usize) -> [(f64, f64); 3] {
        let Some(plane) = self.plane(face) else {
            return [(0.0, f64::INFINITY); 3];
        };
        let foot = self.centre + plane.down * plane.height_mm;
        let corners = self.corners(face);
        [0, 1, 2].map(|k| {
            let (from, to) = (corners[k], corners[(k + 1) % 3]);
            let along = to - from;
            let outward = along.cross(plane.down).normalize_or_zero();
            let share = ((foot - from).dot(along) / along.length_squared()).clamp(0.0, 1.0);
            (
                (foot - from).dot(outward),
                foot.distance(from + along * share),
            )
        })
    }

    /// Whether the foot of the centre lies within a face.
    fn holds(&self, face: usize) -> bool {
        self.plane(face).is_some() && self.beyond(face).iter().all(|b| b.0 <= self.slack_mm)
    }

    /// The face that a thing on this one rolls on to: beyond the nearest side that the foot lies
    /// beyond. Faces in one plane are one flat, within which nothing moves. `None` when it stays:
    /// the foot lies within the flat, or no roll would bring the centre lower, which rounding
    /// alone can cause.
    fn roll(&self, face: usize) -> Option<usize> {
        let here = self.plane(face)?;
        let mut seen = BTreeSet::from([face]);
        let mut flat = vec![face];
        let mut ways: Vec<(f64, usize)> = Vec::new();
        let mut next = 0;
        while let Some(&at) = flat.get(next) {
            next += 1;
            if self.holds(at) {
                return None;
            }
            for ((beyond, away), other) in self.beyond(at).into_iter().zip(self.hull.beside[at]) {
                let level = self
                    .corners(other)
                    .iter()
                    .all(|p| (p.dot(here.down) - here.offset_mm).abs() <= self.slack_mm);
                if level {
                    if seen.insert(other) {
                        flat.push(other);
                    }
                } else if beyond > self.slack_mm {
                    ways.push((away, other));
                }
            }
        }
        ways.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        ways.into_iter().map(|(_, other)| other).find(|&other| {
            let height = self.plane(other).map_or(f64::INFINITY, |p| p.height_mm);
            height < here.height_mm
        })
    }

    /// Whether all of a face lies within the tolerance of a plane.
    fn touches(&self, face: usize, plane: &Plane) -> bool {
        let near = self.contact_mm + self.slack_mm;
        self.corners(face)
            .iter()
            .all(|p| (plane.offset_mm - p.dot(plane.down)).abs() <= near)
    }

    /// All points within the tolerance of a plane, brought on to it, and the polygon around them.
    fn support(&self, down: DVec3, offset_mm: f64) -> Vec<DVec3> {
        let near = self.contact_mm + self.slack_mm;
        let touching: Vec<DVec3> = self
            .points
            .iter()
            .filter(|p| p.is_finite())
            .filter_map(|p| {
                let gap = offset_mm - p.dot(down);
                (gap <= near).then(|| *p + down * gap)
            })
            .collect();
        polygon(&touching, -down)
    }

    fn rest(&self, plane: Plane) -> Option<Rest> {
        let (down, height_mm) = (plane.down, plane.height_mm);
        let foot = self.centre + down * height_mm;
        let support = self.support(down, plane.offset_mm);
        let sideways = self.up.reject_from_normalized(down);
        Some(Rest {
            down,
            offset_mm: plane.offset_mm,
            tilt_deg: sideways.length().atan2(-self.up.dot(down)).to_degrees(),
            leans_toward: (sideways.length() > ROUNDING)
                .then(|| sideways.try_normalize())
                .flatten(),
            height_mm,
            foot,
            tip: tip(&support, -down, foot, height_mm)?,
            support,
        })
    }

    /// Whether the foot of the centre lies within what touches a floor across the nominal axis.
    fn stands_upright(&self) -> bool {
        let down = -self.up;
        let corners = self.hull.points.iter().map(|&i| self.points[i as usize]);
        let lowest = corners
            .map(|p| p.dot(down))
            .fold(f64::NEG_INFINITY, f64::max);
        let height_mm = lowest - self.centre.dot(down);
        let foot = self.centre + down * height_mm;
        tip(&self.support(down, lowest), self.up, foot, height_mm)
            .is_some_and(|t| t.distance_mm >= 0.0)
    }
}

#[cfg(test)]
mod tests;
