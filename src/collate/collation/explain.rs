//! Which detail explains which difference.

use super::{Given, PartCollation};
use crate::differ::{Kind, Region};
use crate::record::{
    AcceptedDifference, BodyKind, Detail, DetailId, DifferenceKind, Kind as Sort, PartId, Stands,
};
use glam::DVec3;
use std::collections::BTreeMap;

/// A region counts as explained when so much of its area lies within details that allow it.
const EXPLAINED: f64 = 0.5;
/// A detail with less than this share of a region is not named for it.
const NAMED: f64 = 0.05;
/// The radius of a detail is a rough one: it reaches so much further, millimetres.
const REACH_MM: f64 = 1.0;
/// So many of the nearest details are named beside a region.
const NEAREST: usize = 3;

/// A difference with its place in the record.
#[derive(Debug, Clone)]
pub struct Found {
    /// From 1, by size.
    pub number: usize,
    /// Which part, and which of its regions.
    pub part: PartId,
    /// Index into the regions of the part's comparison.
    pub index: usize,
    /// Why it is there.
    pub explained: Explained,
    /// Nearest details on the part and how far their middle is, millimetres.
    pub near: Vec<(DetailId, f64)>,
}

/// Why a difference is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Explained {
    /// These details say so, the one with the largest share first.
    By(Vec<DetailId>),
    /// A person accepted it: index into the record's list.
    Accepted(usize),
    /// Nothing explains it.
    Not,
}

/// A detail that claims a difference of shape.
#[derive(Debug, Clone)]
pub struct Claim {
    /// Which detail.
    pub detail: DetailId,
    /// Numbers of the differences that bear it out.
    pub found: Vec<usize>,
    /// The greatest distance between the surfaces within it, millimetres; `None` where nothing of
    /// it was captured on both.
    pub greatest_mm: Option<f64>,
}

/// A ball on the surface that belongs to a detail.
struct Ball<'d> {
    detail: &'d Detail,
    centre: DVec3,
    radius_mm: f64,
}

pub(super) fn explain(given: Given<'_>, parts: &[PartCollation]) -> (Vec<Found>, Vec<Claim>) {
    let mut sized: Vec<(usize, usize, f64)> = Vec::new();
    for (p, part) in parts.iter().enumerate() {
        let regions = part.comparison.regions.iter().enumerate();
        sized.extend(regions.map(|(r, region)| (p, r, region.volume_mm3)));
    }
    sized.sort_by(|a, b| b.2.total_cmp(&a.2));
    let mut found = Vec::new();
    let mut proofs: BTreeMap<DetailId, Vec<usize>> = BTreeMap::new();
    for (number, (p, r, _)) in (1..).zip(sized) {
        let part = &parts[p];
        let region = &part.comparison.regions[r];
        let balls = balls(given, &part.part);
        let explained = reason(given, part, region, &balls);
        if let Explained::By(details) = &explained {
            for id in details {
                proofs.entry(id.clone()).or_default().push(number);
            }
        }
        found.push(Found {
            number,
            part: part.part.clone(),
            index: r,
            explained,
            near: nearest(region.centre, &balls),
        });
    }
    let mut claims = Vec::new();
    for part in parts {
        for detail in given
            .object
            .details
            .iter()
            .filter(|d| d.record.part == part.part)
        {
            if claims_shape(detail) {
                claims.push(Claim {
                    found: proofs.remove(&detail.id).unwrap_or_default(),
                    greatest_mm: greatest(part, &balls(given, &part.part), &detail.id),
                    detail: detail.id.clone(),
                });
            }
        }
    }
    (found, claims)
}

/// Whether a detail says that the bodies differ in shape.
fn claims_shape(detail: &Detail) -> bool {
    let bearing = detail.record.bearing;
    let known = |s: Stands| s != Stands::Unknown;
    bearing.in_shape
        && bearing
            .replica
            .is_some_and(|r| known(r) && known(bearing.original) && r != bearing.original)
}

/// Whether a detail may be the reason for a difference of this kind.
fn allows(detail: &Detail, kind: Kind) -> bool {
    let bearing = detail.record.bearing;
    let Some(replica) = bearing.replica.filter(|_| bearing.in_shape) else {
        return false;
    };
    let differs = replica != bearing.original || replica == Stands::Altered;
    let sort = detail.record.kind;
    differs
        && match kind {
            Kind::Gained => replica != Stands::Absent,
            // What the process left may be a pit as well as a burr.
            Kind::Lost => bearing.original != Stands::Absent || sort == Sort::Trace,
            Kind::Moved => replica != Stands::Absent,
        }
}

fn balls<'d>(given: Given<'d>, part: &PartId) -> Vec<Ball<'d>> {
    let mut all = Vec::new();
    for detail in given
        .object
        .details
        .iter()
        .filter(|d| &d.record.part == part)
    {
        let record = &detail.record;
        let radius = |mm: f64| mm + REACH_MM;
        // On the body of its anchor, where the keeper put it.
        let own = given
            .places
            .get(&detail.id)
            .and_then(|p| p.get(&record.anchor.body));
        all.extend(own.map(|placed| Ball {
            detail,
            centre: placed.point,
            radius_mm: radius(record.anchor.radius_mm),
        }));
        let further = given.elsewhere.get(&detail.id).into_iter().flatten();
        all.extend(further.zip(&record.elsewhere).map(|(placed, patch)| Ball {
            detail,
            centre: placed.point,
            radius_mm: radius(patch.radius_mm),
        }));
    }
    all
}

/// Corners of a region with their area.
fn corners<'p>(
    part: &'p PartCollation,
    region: &'p Region,
) -> impl Iterator<Item = (DVec3, f64)> + 'p {
    let fields = [&part.comparison.original, &part.comparison.replica];
    (0..2).flat_map(move |body| {
        region.corners[body].iter().map(move |i| {
            let i = *i as usize;
            (fields[body].places[i], fields[body].shares_mm2[i])
        })
    })
}

fn reason(
    given: Given<'_>,
    part: &PartCollation,
    region: &Region,
    balls: &[Ball<'_>],
) -> Explained {
    let (mut all, mut held) = (0.0, 0.0);
    let mut by: BTreeMap<&DetailId, f64> = BTreeMap::new();
    for (point, area) in corners(part, region) {
        all += area;
        let mut here: Vec<&DetailId> = balls
            .iter()
            .filter(|b| allows(b.detail, region.kind) && point.distance(b.centre) <= b.radius_mm)
            .map(|b| &b.detail.id)
            .collect();
        here.dedup();
        held += if here.is_empty() { 0.0 } else { area };
        for id in here {
            *by.entry(id).or_default() += area;
        }
    }
    if held >= EXPLAINED * all && held > 0.0 {
        let mut named: Vec<(&DetailId, f64)> =
            by.into_iter().filter(|(_, a)| *a >= NAMED * all).collect();
        named.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(b.0)));
        return Explained::By(named.into_iter().map(|(id, _)| id.clone()).collect());
    }
    let accepted = given.object.record.collation.accepted.iter();
    let chosen = accepted.enumerate().find(|(_, a)| holds(a, part, region));
    chosen.map_or(Explained::Not, |(index, _)| Explained::Accepted(index))
}

/// Whether an accepted difference is this one.
pub(super) fn holds(accepted: &AcceptedDifference, part: &PartCollation, region: &Region) -> bool {
    let kind = match region.kind {
        Kind::Gained => DifferenceKind::Gained,
        Kind::Lost => DifferenceKind::Lost,
        Kind::Moved => DifferenceKind::Moved,
    };
    if accepted.part != part.part || accepted.kind != kind {
        return false;
    }
    let centre = DVec3::from_array(accepted.centre_mm);
    let (all, held) = corners(part, region).fold((0.0, 0.0), |(all, held), (point, area)| {
        let inside = point.distance(centre) <= accepted.radius_mm + REACH_MM;
        (all + area, held + if inside { area } else { 0.0 })
    });
    held >= EXPLAINED * all && held > 0.0
}

fn nearest(centre: DVec3, balls: &[Ball<'_>]) -> Vec<(DetailId, f64)> {
    let mut near: BTreeMap<&DetailId, f64> = BTreeMap::new();
    for ball in balls {
        let far = ball.centre.distance(centre);
        let known = near.entry(&ball.detail.id).or_insert(far);
        *known = known.min(far);
    }
    let mut near: Vec<(DetailId, f64)> =
        near.into_iter().map(|(id, mm)| (id.clone(), mm)).collect();
    near.sort_by(|a, b| a.1.total_cmp(&b.1));
    near.truncate(NEAREST);
    near
}

/// The greatest smoothed distance within a detail.
fn greatest(part: &PartCollation, balls: &[Ball<'_>], id: &DetailId) -> Option<f64> {
    let own: Vec<&Ball<'_>> = balls.iter().filter(|b| &b.detail.id == id).collect();
    [&part.comparison.original, &part.comparison.replica]
        .into_iter()
        .flat_map(|field| (0..field.places.len()).map(move |i| (field, i)))
        .filter(|(field, i)| {
            field.captured[*i]
                && own
                    .iter()
                    .any(|b| field.places[*i].distance(b.centre) <= b.radius_mm)
        })
        .map(|(field, i)| field.smooth_mm[i].abs())
        .reduce(f64::max)
}

/// The body on which a difference stands out.
pub fn shown_on(kind: Kind) -> BodyKind {
    match kind {
        Kind::Lost => BodyKind::Original,
        Kind::Gained | Kind::Moved => BodyKind::Replica,
    }
}
