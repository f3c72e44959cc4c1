//! Details on the surface: checked, snapped, and carried from one body to the other.

use super::bodies::BodyGeometry;
use crate::align::Pose;
use crate::record::{
    BodyKind, Detail, DetailId, Finding, Findings, Object, PartId, Place, Severity, Sources,
    content_name,
};
use crate::space::{Anchored, OffSurface, snap};
use glam::DVec3;
use std::collections::BTreeMap;
use std::path::Path;

/// How far an anchor may lie off the surface it was taken from, millimetres. A point taken on a
/// decimated model may be off by that model's error; 1 mm is well above what we let a display
/// model stray, and well below the size of anything worth a note.
pub const SNAP_MM: f64 = 1.0;

/// How far the same place may lie from the other body's surface before it is held to be nowhere on
/// it, millimetres, added to the radius of the detail. Wide, since an addition or a loss is there
/// on one body only.
pub const OTHER_BODY_MM: f64 = 5.0;

/// A detail on one body.
#[derive(Debug, Clone, Copy)]
pub struct Placed {
    /// Nearest point of the surface, millimetres.
    pub point: DVec3,
    /// Outward unit normal, averaged over the detail's radius.
    pub normal: DVec3,
    /// How far the anchor had to be moved, millimetres.
    pub moved_mm: f64,
}

impl From<Anchored> for Placed {
    fn from(found: Anchored) -> Self {
        Self {
            point: found.point,
            normal: found.normal,
            moved_mm: found.distance_mm,
        }
    }
}

pub(super) fn place_all(
    root: &Path,
    object: &Object,
    bodies: &BTreeMap<BodyKind, BodyGeometry>,
    sources: &Sources,
    findings: &mut Findings,
) -> BTreeMap<DetailId, BTreeMap<BodyKind, Placed>> {
    object
        .details
        .iter()
        .map(|detail| {
            let on_bodies = bodies
                .keys()
                .filter_map(|kind| {
                    Some((
                        *kind,
                        place(root, detail, *kind, bodies, sources, findings)?,
                    ))
                })
                .collect();
            (detail.id.clone(), on_bodies)
        })
        .collect()
}

fn place(
    root: &Path,
    detail: &Detail,
    kind: BodyKind,
    bodies: &BTreeMap<BodyKind, BodyGeometry>,
    sources: &Sources,
    findings: &mut Findings,
) -> Option<Placed> {
    let part = bodies.get(&kind)?.part(&detail.record.part)?;
    let anchor = &detail.record.anchor;
    let moved = bodies.get(&anchor.body).and_then(|b| b.moved);
    let written = DVec3::from_array(anchor.point_mm);
    let point = moved.map_or(written, |m| m.point(written));
    if kind != anchor.body {
        let reach = anchor.radius_mm + OTHER_BODY_MM;
        return snap(&part.tree, &part.mesh, point, anchor.radius_mm, reach)
            .ok()
            .map(Placed::from);
    }
    match snap(&part.tree, &part.mesh, point, anchor.radius_mm, SNAP_MM) {
        Ok(found) => Some(found.into()),
        Err(off) => {
            let record = content_name(root, &detail.folder.join("record.toml"));
            findings.push(off_surface(
                sources.place_of(&record, &["anchor", "point_mm"]),
                "anchor",
                off,
                moved,
                &part.id,
            ));
            None
        }
    }
}

/// Places the further patches of every detail on the body of its anchor.
pub(super) fn elsewhere(
    root: &Path,
    object: &Object,
    bodies: &BTreeMap<BodyKind, BodyGeometry>,
    sources: &Sources,
    findings: &mut Findings,
) -> BTreeMap<DetailId, Vec<Placed>> {
    let mut found = BTreeMap::new();
    for detail in &object.details {
        let record = &detail.record;
        let Some(body) = bodies.get(&record.anchor.body) else {
            continue;
        };
        let Some(part) = body.part(&record.part) else {
            continue;
        };
        let mut patches = Vec::new();
        for (number, patch) in record.elsewhere.iter().enumerate() {
            let point = body.place(DVec3::from_array(patch.point_mm));
            match snap(&part.tree, &part.mesh, point, patch.radius_mm, SNAP_MM) {
                Ok(placed) => patches.push(placed.into()),
                Err(off) => {
                    let file = content_name(root, &detail.folder.join("record.toml"));
                    let path = ["elsewhere", &number.to_string(), "point_mm"];
                    let place = sources.place_of(&file, &path);
                    findings.push(off_surface(place, "patch", off, body.moved, &part.id));
                }
            }
        }
        if !patches.is_empty() {
            found.insert(detail.id.clone(), patches);
        }
    }
    found
}

fn off_surface(
    place: Place,
    noun: &str,
    off: OffSurface,
    moved: Option<Pose>,
    part: &PartId,
) -> Finding {
    // What the keeper is to write is in the frame of the model.
    let nearest = moved.map_or(off.nearest, |m| m.inverse().point(off.nearest));
    let near = nearest.to_array().map(|c| format!("{c:.2}")).join(", ");
    Finding {
        severity: Severity::Error,
        rule: "anchor-off-surface",
        place,
        what: format!(
            "the {noun} lies {:.2} mm from the surface of the part ‘{part}’; at most {SNAP_MM} mm is allowed",
            off.distance_mm
        ),
        remedy: format!(
            "the nearest point of the surface is [{near}]; write it, or choose another part or body"
        ),
    }
}
