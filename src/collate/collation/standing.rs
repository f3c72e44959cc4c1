//! How a body stands, and how its parts hold together.
//!
//! All of it is an estimate for a rigid body on a hard, level floor, with nobody near it. A
//! mount-maker or conservator must judge what stands in a public space.

use super::{Collation, Explained, Given};
use crate::collate::bodies::BodyGeometry;
use crate::collate::differences::Basis;
use crate::collate::uncertain::{COVERAGE, Contribution, Estimate, How};
use crate::joint::{Asked, Meeting, Part, WallAsked, Walls, meeting, walls};
use crate::mesh;
use crate::record::{Body, BodyKind, DetailId, Kind, PartId, Scan};
use crate::stand::{Rest, Settled, hull, lean_without, rest, rests};
use glam::DVec3;
use std::collections::BTreeMap;

/// Points so near to the resting plane carry, millimetres: a hair's breadth, about what a hard
/// floor and the grain of a casting give way. Common practice, no source.
const CONTACT_MM: f64 = 0.05;
/// Pores and uneven alloy may put the centre of mass elsewhere by this share of the body's longest
/// side. Common practice, no source.
const UNEVEN: f64 = 0.01;
/// Resting planes that are listed.
const RESTS: usize = 6;

/// How a body stands.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Centre of mass, millimetres, in the original's frame; from the volumes and the densities.
    pub centre: DVec3,
    /// As it is set down upright.
    pub set_down: Settled,
    /// How far it leans, degrees. Without a certificate of the scan nothing is known of how sure.
    pub lean_deg: Estimate,
    /// By how much the floor must tilt until it tips, degrees.
    pub tips_deg: Estimate,
    /// Other ways in which it can rest, the least tilted first.
    pub rests: Vec<Rest>,
    /// The same without each addition: what it would do without that pad.
    pub without: Vec<Without>,
    /// Points so near to the plane were held to carry, millimetres.
    pub contact_mm: f64,
}

/// How a body would stand without an addition.
#[derive(Debug, Clone)]
pub struct Without {
    /// Which.
    pub detail: DetailId,
    /// As it is set down upright.
    pub set_down: Settled,
    /// How far it would lean, degrees.
    pub lean_deg: Estimate,
}

/// How the parts of a body hold together.
#[derive(Debug, Clone)]
pub struct Assembly {
    /// Every two parts.
    pub joints: Vec<Joint>,
    /// Thickness of the walls; `None` when nothing could be measured.
    pub walls: Option<Walls>,
}

/// Two parts.
#[derive(Debug, Clone)]
pub struct Joint {
    /// Which.
    pub parts: [PartId; 2],
    /// How they meet.
    pub meeting: Meeting,
    /// The least gap with its uncertainty: a point on either surface, each as sure as the scan.
    /// Without one when no certificate of the scan is stated.
    pub gap_mm: Option<Estimate>,
}

pub(super) fn standing(
    given: Given<'_>,
    kind: BodyKind,
    body: &BodyGeometry,
    collation: Option<&Collation>,
) -> Option<Standing> {
    let record = given.object.record.bodies.get(kind)?;
    let centre = centre_of_mass(given, record, body)?;
    // Corners of all parts, one for one with the welded places of each.
    let mut points = Vec::new();
    let mut first: BTreeMap<&PartId, usize> = BTreeMap::new();
    for part in &body.parts {
        first.insert(&part.id, points.len());
        points.extend(part.sides.welded().places.iter().map(|p| p.as_dvec3()));
    }
    let around = hull(&points)?;
    let set_down = rest(&points, &around, centre, DVec3::Y, CONTACT_MM)?;
    let mut listed = rests(&points, &around, centre, DVec3::Y, CONTACT_MM);
    listed.truncate(RESTS);
    let scan = record.scan.as_ref();
    let mut without = Vec::new();
    let additions = given
        .object
        .details
        .iter()
        .filter(|d| d.record.kind == Kind::Addition);
    for detail in additions.filter(|_| kind == BodyKind::Replica) {
        let Some(collation) = collation else { break };
        let mut replaced = Vec::new();
        let own = collation
            .found
            .iter()
            .filter(|f| matches!(&f.explained, Explained::By(ids) if ids.contains(&detail.id)));
        for found in own {
            let (Some(part), Some(base)) = (collation.part(&found.part), first.get(&found.part))
            else {
                continue;
            };
            let field = &part.comparison.replica;
            // Back from the fitted place into the frame in which the replica was laid.
            let home = part.fit.pose.inverse();
            for i in &part.comparison.regions[found.index].corners[1] {
                let foot = home.point(field.feet[*i as usize]);
                let number = u32::try_from(base + *i as usize);
                replaced.extend(number.map(|n| (n, foot)));
            }
        }
        if !replaced.is_empty()
            && let Some(settled) = lean_without(&points, &replaced, centre, DVec3::Y, CONTACT_MM)
        {
            without.push(Without {
                detail: detail.id.clone(),
                lean_deg: lean(&settled.rest, scan),
                set_down: settled,
            });
        }
    }
    Some(Standing {
        centre,
        lean_deg: lean(&set_down.rest, scan),
        tips_deg: tips(&set_down.rest, body.bounds.size().max_element(), scan),
        set_down,
        rests: listed,
        without,
        contact_mm: CONTACT_MM,
    })
}

/// What bears at either end of the base may be off by the scan's uncertainty, and what is within the
/// contact may bear or not: the angle is their difference in height over the base.
fn lean(rest: &Rest, scan: Option<&Scan>) -> Estimate {
    let base_mm = rest.base_mm();
    let either = 2f64.sqrt().to_degrees() / base_mm;
    let parts = scan.filter(|_| base_mm > 0.0).map(|scan| {
        [
            Contribution::certificate("scan", How::Declared, scan.uncertainty_mm, COVERAGE),
            Contribution::rectangular("contact", How::Assumed, CONTACT_MM),
        ]
        .map(|c| c.times(either))
    });
    let parts = parts.into_iter().flatten().collect();
    Estimate::of(rest.tilt_deg, Basis::Estimated, parts)
}

/// Of atan(d/h), d from the foot of the centre of mass to the edge and h the height of the centre:
/// either off by u in any direction moves the angle by u/√(d² + h²). The edge is as sure as the scan;
/// the centre only as far as the material is even within, which nobody has seen.
fn tips(rest: &Rest, size_mm: f64, scan: Option<&Scan>) -> Estimate {
    let arm_mm = rest.tip.distance_mm.hypot(rest.height_mm);
    let parts = scan.filter(|_| arm_mm > 0.0).map(|scan| {
        [
            Contribution::certificate("scan", How::Declared, scan.uncertainty_mm, COVERAGE),
            Contribution::rectangular("centre-of-mass", How::Assumed, UNEVEN * size_mm),
        ]
        .map(|c| c.times(1f64.to_degrees() / arm_mm))
    });
    let parts = parts.into_iter().flatten().collect();
    Estimate::of(rest.tip.least_deg, Basis::Estimated, parts)
}

/// Volumes weighed by the middle of each density's range. Openings of a scan are small beside the
/// body, and their share is left out.
fn centre_of_mass(given: Given<'_>, record: &Body, body: &BodyGeometry) -> Option<DVec3> {
    let (mut mass, mut first) = (0.0, DVec3::ZERO);
    for (part, own) in body.parts.iter().zip(&record.parts) {
        part.condition.measures.volume.span_mm3()?;
        let material = given.object.record.materials.get(&own.material)?;
        let [low, high] = material.density_g_per_cm3;
        let solid = mesh::solid(&part.mesh);
        let weight = f64::midpoint(low, high) * solid.volume_mm3.abs();
        mass += weight;
        first += solid.centroid * weight;
    }
    (mass > 0.0).then(|| first / mass)
}

pub(super) fn assembly(record: Option<&Body>, body: &BodyGeometry) -> Assembly {
    let parts: Vec<Part<'_>> = body
        .parts
        .iter()
        .map(|p| Part {
            mesh: &p.mesh,
            tree: &p.tree,
        })
        .collect();
    let scan = record.and_then(|r| r.scan.as_ref());
    let sure: Vec<Contribution> = scan
        .map(|s| {
            Contribution::certificate("scan", How::Declared, s.uncertainty_mm, COVERAGE)
                .times(2f64.sqrt())
        })
        .into_iter()
        .collect();
    let mut joints = Vec::new();
    for (i, one) in body.parts.iter().enumerate() {
        for (j, other) in body.parts.iter().enumerate().skip(i + 1) {
            let meeting = meeting(parts[i], parts[j], Asked::default());
            let gap_mm = meeting
                .gap
                .as_ref()
                .map(|g| Estimate::of(g.least_mm, Basis::Measured, sure.clone()));
            joints.push(Joint {
                parts: [one.id.clone(), other.id.clone()],
                meeting,
                gap_mm,
            });
        }
    }
    Assembly {
        joints,
        walls: walls(&parts, WallAsked::default()),
    }
}
