//! The comparison of the two bodies of one object.
//!
//! Takes the bodies as they were read, and the record; hands on a [`Collation`]: how the replica was
//! laid on the original, where they part, and which detail explains each difference. What no note
//! explains, and what a note claims and nothing shows, are findings.

mod explain;
mod groups;
mod lay;
mod remarks;
mod standing;

pub use explain::{Claim, Explained, Found, shown_on};
pub use groups::{Group, Reason};
pub use lay::{LAID_MM, Laid};
pub use standing::{Assembly, Joint, Standing, Without};

use super::bodies::{BodyGeometry, PartGeometry};
use super::kept::{Kept, mark};
use super::places::Placed;
use crate::align::{Fit, Grain, Pose, Surface};
use crate::differ::{
    Band, Comparison, Share, Source as Cause, Summary, Sureness, Tolerance, compare,
};
use crate::record::{Body, BodyKind, DetailId, Findings, Object, PartId, Sources};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

/// One part compared.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct PartCollation {
    /// Which part.
    pub part: PartId,
    /// Of the replica's part on the original's, in the object's frame.
    pub fit: Fit,
    /// How this part lies beside the whole body's fit: turn in degrees and shift of its middle in
    /// millimetres. A part that lies otherwise on the two bodies shows here.
    pub beside_whole: (f64, f64),
    /// What counts as a difference.
    pub tolerance: Tolerance,
    /// The same with the declared coating.
    pub band: Band,
    /// Distances and regions.
    pub comparison: Comparison,
    /// The original against the replica, and the replica against the original.
    pub summaries: [Summary; 2],
}

/// Everything the comparison found. Lengths in millimetres, in the original's frame.
#[derive(Debug, Clone)]
pub struct Collation {
    /// How the whole replica lies on the whole original.
    pub laid: Laid,
    /// Parts that are on both bodies, in the original's order.
    pub parts: Vec<PartCollation>,
    /// Parts that are on one body only.
    pub only: BTreeMap<BodyKind, Vec<PartId>>,
    /// Differences of all parts, numbered by size.
    pub found: Vec<Found>,
    /// Details that claim a difference of shape, and whether it was found.
    pub claims: Vec<Claim>,
}

/// How the bodies stand and hold together, each for itself.
#[derive(Debug, Clone)]
pub struct Bearings {
    /// How each body stands.
    pub standing: BTreeMap<BodyKind, Standing>,
    /// How the parts of each body meet, and how thick their walls are.
    pub assembly: BTreeMap<BodyKind, Assembly>,
}

/// What the collation of an object is made from.
#[derive(Clone, Copy)]
pub(super) struct Given<'g> {
    pub(super) root: &'g Path,
    pub(super) object: &'g Object,
    pub(super) sources: &'g Sources,
    pub(super) bodies: &'g BTreeMap<BodyKind, BodyGeometry>,
    pub(super) places: &'g BTreeMap<DetailId, BTreeMap<BodyKind, Placed>>,
    pub(super) elsewhere: &'g BTreeMap<DetailId, Vec<Placed>>,
}

/// Lays the replica on the original, before anything is placed on either. `None` without a replica,
/// with one of another size, or when no part is on both.
pub(super) fn lay(
    object: &Object,
    bodies: &BTreeMap<BodyKind, BodyGeometry>,
    kept: &mut Kept,
) -> Option<Laid> {
    let original = bodies.get(&BodyKind::Original)?;
    let replica = bodies.get(&BodyKind::Replica)?;
    original
        .parts
        .iter()
        .find(|p| replica.part(&p.id).is_some())?;
    let mut of = digests(original.parts.iter().chain(&replica.parts));
    of.push(format!("{} {:?}", original.parts.len(), lay::asked(object)).into_bytes());
    let of: Vec<&[u8]> = of.iter().map(Vec::as_slice).collect();
    let stored = ("laid", &kept.room);
    kept.laid
        .or_store(mark(&of), stored, || lay::whole(object, original, replica))
}

/// Which parts, and which surfaces.
fn digests<'p>(parts: impl Iterator<Item = &'p Arc<PartGeometry>>) -> Vec<Vec<u8>> {
    parts
        .flat_map(|p| [p.id.as_str().as_bytes().to_vec(), p.digest.to_vec()])
        .collect()
}

/// Compares the bodies part by part. `laid` is what [`lay`] found, and the replica has been put there.
pub(super) fn collate(
    given: Given<'_>,
    laid: Laid,
    kept: &mut Kept,
    findings: &mut Findings,
) -> Option<Collation> {
    let original = given.bodies.get(&BodyKind::Original)?;
    let replica = given.bodies.get(&BodyKind::Replica)?;
    let mut parts = Vec::new();
    for one in &original.parts {
        if let Some(other) = replica.part(&one.id) {
            let record = &given.object.record;
            let scans = [
                Some(&record.bodies.original),
                record.bodies.replica.as_ref(),
            ]
            .map(|b| b.and_then(|b| b.scan.as_ref()).map(|s| s.uncertainty_mm));
            let counts = [original.parts.len(), replica.parts.len()];
            let wish = &record.collation;
            let asked = format!(
                "{:?} {:?} {:?} {scans:?} {counts:?} {laid:?}",
                lay::asked(given.object),
                wish.tolerance_mm,
                wish.coating_mm
            );
            let of = mark(&[
                one.id.as_str().as_bytes(),
                &one.digest,
                &other.digest,
                asked.as_bytes(),
            ]);
            let made = || part(given.object, &laid, one, other);
            let stored = ("compared", &kept.room);
            parts.extend(kept.compared.or_store(of, stored, made));
        }
    }
    let lacking = |own: &BodyGeometry, other: &BodyGeometry| -> Vec<PartId> {
        let ids = own.parts.iter().map(|p| p.id.clone());
        ids.filter(|id| other.part(id).is_none()).collect()
    };
    let only = BTreeMap::from([
        (BodyKind::Original, lacking(original, replica)),
        (BodyKind::Replica, lacking(replica, original)),
    ]);
    let (found, claims) = explain::explain(given, &parts);
    let collation = Collation {
        laid,
        parts,
        only,
        found,
        claims,
    };
    remarks::remark(given, &collation, findings);
    Some(collation)
}

/// How each body stands and holds together.
pub(super) fn bearings(
    given: Given<'_>,
    collation: Option<&Collation>,
    kept: &mut Kept,
    findings: &mut Findings,
) -> Bearings {
    let mut found = Bearings {
        standing: BTreeMap::new(),
        assembly: BTreeMap::new(),
    };
    for (kind, body) in given.bodies {
        if let Some(standing) = standing::standing(given, *kind, body, collation) {
            found.standing.insert(*kind, standing);
        }
        let record = given.object.record.bodies.get(*kind);
        let scan = record.and_then(|r| r.scan.as_ref());
        let mut of = digests(body.parts.iter());
        of.push(format!("{:?}", scan.map(|s| s.uncertainty_mm)).into_bytes());
        let of: Vec<&[u8]> = of.iter().map(Vec::as_slice).collect();
        let made = || standing::assembly(record, body);
        let assembly = kept.assemblies.or_make(mark(&of), made);
        remarks::of_assembly(given, *kind, &assembly, findings);
        found.assembly.insert(*kind, assembly);
    }
    found
}

fn part(
    object: &Object,
    laid: &Laid,
    one: &PartGeometry,
    other: &PartGeometry,
) -> Option<PartCollation> {
    let fixed = Surface::of(&one.mesh, &one.tree, &one.sides)?;
    let moving = Surface::of(&other.mesh, &other.tree, &other.sides)?;
    if !lay::comparable(&moving, &fixed) {
        return None;
    }
    let fit = lay::part(object, laid, &one.id, &moving, &fixed);
    let grains = [fixed.grain(), moving.grain()];
    let bodies = [
        Some(&object.record.bodies.original),
        object.record.bodies.replica.as_ref(),
    ];
    let shares = shares(bodies, grains, &fit);
    let wish = &object.record.collation;
    let floor_mm = 1e-6 * fixed.diagonal_mm();
    let tolerance = Tolerance::of(shares, wish.tolerance_mm, floor_mm);
    let band = Band {
        tolerance_mm: tolerance.value_mm,
        coating_mm: wish.coating_mm.unwrap_or_default(),
    };
    let noise_mm = grains[0].noise_mm.hypot(grains[1].noise_mm);
    let shared = tolerance.shares.iter().filter(|s| {
        matches!(
            s.of,
            Cause::OriginalCertificate | Cause::ReplicaCertificate | Cause::Fit
        )
    });
    let sure = Sureness {
        noise_mm,
        shared_mm: shared.map(|s| s.standard_mm.powi(2)).sum::<f64>().sqrt(),
    };
    let comparison = compare(&fixed, &moving, &fit.pose, &band, &sure);
    let [low, high] = band.original();
    let first = comparison.original.summary(low, high);
    let [low, high] = band.replica();
    let second = comparison.replica.summary(low, high);
    let between = fit.pose.after(&laid.rest.inverse());
    let middle = fixed.centre;
    Some(PartCollation {
        part: one.id.clone(),
        beside_whole: (between.angle_deg(), between.point(middle).distance(middle)),
        fit,
        tolerance,
        band,
        comparison,
        summaries: [first, second],
    })
}

/// What makes a distance between the two surfaces uncertain. A certificate and the noise seen in
/// the points overlap: of the two the larger counts.
fn shares(bodies: [Option<&Body>; 2], grains: [Grain; 2], fit: &Fit) -> Vec<Share> {
    let names = [
        (
            Cause::OriginalCertificate,
            Cause::OriginalNoise,
            Cause::OriginalTriangles,
        ),
        (
            Cause::ReplicaCertificate,
            Cause::ReplicaNoise,
            Cause::ReplicaTriangles,
        ),
    ];
    let mut shares = Vec::new();
    for ((body, grain), (certificate, noise, triangles)) in
        bodies.into_iter().zip(grains).zip(names)
    {
        let scan = body.and_then(|b| b.scan.as_ref());
        let certified = scan.map_or(0.0, |s| s.uncertainty_mm / 2.0);
        shares.push(if certified > grain.noise_mm {
            Share {
                of: certificate,
                standard_mm: certified,
            }
        } else {
            Share {
                of: noise,
                standard_mm: grain.noise_mm,
            }
        });
        // Anywhere between nought and the greatest: rectangular (GUM 4.3.7).
        shares.push(Share {
            of: triangles,
            standard_mm: grain.sagitta_mm / 3f64.sqrt(),
        });
    }
    shares.push(Share {
        of: Cause::Fit,
        standard_mm: fit.along_normals_mm.hypot(fit.repeat_mm / 3f64.sqrt()),
    });
    shares
}

impl Collation {
    /// One part's comparison.
    pub fn part(&self, id: &PartId) -> Option<&PartCollation> {
        self.parts.iter().find(|p| &p.part == id)
    }

    /// Where the replica's own frame lies in the original's.
    pub fn frame(&self) -> Pose {
        self.laid.moved.unwrap_or(Pose::STILL)
    }
}
