//! The bodies of one object, read from their model files.

use super::collation::{self, Bearings, Collation, Given};
use super::condition::Condition;
use super::extents::{Extents, extents};
use super::kept::{Kept, Mark, mark};
use super::places::{self, Placed};
use super::quantities::{Quantities, quantities};
use super::sights::{self, Sight};
use crate::align::Pose;
use crate::limits::Limits;
use crate::mesh::{self, Bounds, Mesh, MeshError};
use crate::record::{
    Body, BodyKind, DetailId, Finding, Findings, Object, Part, PartId, Severity, Sources, ViewFrom,
    content_name,
};
use crate::space::{Sides, Tree};
use crate::view;
use glam::DVec3;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

/// One part: surface, tree, and what tells it from others.
#[derive(Debug)]
pub struct PartGeometry {
    /// Which part.
    pub id: PartId,
    /// Its surface, millimetres, in the object's frame (+Y up).
    pub mesh: Mesh,
    /// For closest points and rays.
    pub tree: Tree,
    /// Outward directions and rims.
    pub sides: Sides,
    /// What it measures, and its flaws.
    pub condition: Condition,
    /// BLAKE3 of the mesh where it stands, for the store.
    pub digest: [u8; 32],
}

/// One body.
#[derive(Debug)]
pub struct BodyGeometry {
    /// Its parts, in the record's order.
    pub parts: Vec<Arc<PartGeometry>>,
    /// Box around all parts, millimetres.
    pub bounds: Bounds,
    /// The motion from the frame of its models into the object's, when they lay elsewhere.
    pub moved: Option<Pose>,
}

impl PartGeometry {
    /// The part put elsewhere. What it measures stays as it is, in the frame of its model.
    fn put(&self, pose: &Pose) -> Self {
        let mesh = self.mesh.mapped(|p| pose.point(p));
        let (tree, sides) = asked_of(&mesh);
        Self {
            id: self.id.clone(),
            digest: mesh.digest(),
            condition: self.condition.clone(),
            mesh,
            tree,
            sides,
        }
    }

    /// The part as something that is seen, or stands before what is to be seen.
    pub fn to_be_seen(&self) -> view::Part<'_> {
        view::Part {
            mesh: &self.mesh,
            tree: &self.tree,
            sides: &self.sides,
        }
    }
}

impl BodyGeometry {
    /// The part with this id.
    pub fn part(&self, id: &PartId) -> Option<&PartGeometry> {
        self.parts.iter().map(Arc::as_ref).find(|p| &p.id == id)
    }

    /// Where a point of the models' own frame lies in the object's.
    pub fn place(&self, point: DVec3) -> DVec3 {
        self.moved.map_or(point, |m| m.point(point))
    }

    /// Puts the body elsewhere.
    fn put(&mut self, pose: &Pose, kept: &mut Kept) {
        for part in &mut self.parts {
            let own = format!("{} {pose:?}", part.id);
            let put = mark(&[b"put", &part.digest, own.as_bytes()]);
            *part = kept.parts.or_make(put, || Arc::new(part.put(pose)));
        }
        let boxes = self.parts.iter().filter_map(|p| p.mesh.bounds());
        self.bounds = boxes.reduce(Bounds::union).unwrap_or(self.bounds);
        self.moved = Some(*pose);
    }
}

/// All geometry of one object.
#[derive(Debug)]
pub struct ObjectGeometry {
    /// By body; the original is always there.
    pub bodies: BTreeMap<BodyKind, BodyGeometry>,
    /// Where each detail is on each body that has its part.
    pub places: BTreeMap<DetailId, BTreeMap<BodyKind, Placed>>,
    /// Further patches of details, in the record's order, on the body of the anchor.
    pub elsewhere: BTreeMap<DetailId, Vec<Placed>>,
    /// The direction from which the object is first seen.
    pub front: ViewFrom,
    /// From where each detail is best seen.
    pub sights: BTreeMap<DetailId, Sight>,
    /// Masses, layers, hours, powder and sizes.
    pub quantities: Quantities,
    /// How large the bodies are, as they lie on one another.
    pub extents: Extents,
    /// The replica compared with the original, when there is one.
    pub collation: Option<Collation>,
    /// How each body stands and holds together.
    pub bearings: Bearings,
}

/// Reads all models of an object and places its details.
///
/// The geometry is `None` when a model could not be read; the findings then say why.
pub fn read(
    root: &Path,
    object: &Object,
    sources: &Sources,
    limits: &Limits,
) -> (Option<ObjectGeometry>, Findings) {
    read_again(root, object, sources, limits, &mut Kept::default())
}

/// The same for a folder that is being worked on: what is `kept` from the last reading and depends on
/// nothing that has changed is not found out again. A model counts as unchanged while its file has the
/// same length, time and number on the disk.
pub fn read_again(
    root: &Path,
    object: &Object,
    sources: &Sources,
    limits: &Limits,
    kept: &mut Kept,
) -> (Option<ObjectGeometry>, Findings) {
    kept.begin(object);
    let mut findings = Findings::none();
    let mut bodies = BTreeMap::new();
    let kinds = [BodyKind::Original, BodyKind::Replica];
    let mut whole = true;
    for (kind, body) in kinds
        .iter()
        .filter_map(|k| Some((*k, object.record.bodies.get(*k)?)))
    {
        match read_body(
            root,
            object,
            kind,
            body,
            sources,
            limits,
            kept,
            &mut findings,
        ) {
            Some(geometry) => {
                bodies.insert(kind, geometry);
            }
            None => whole = false,
        }
    }
    if !whole {
        return (None, findings);
    }
    // What the records say of a model is in the model's own frame, so it is reckoned first.
    let (quantities, more) = quantities(root, object, &bodies, sources);
    findings.extend(more);
    let laid = collation::lay(object, &bodies, kept);
    if let (None, Some(replica)) = (&laid, bodies.get(&BodyKind::Replica)) {
        findings.push(not_compared(root, object, sources, &bodies, replica));
    }
    if let (Some(pose), Some(replica)) = (
        laid.as_ref().and_then(|l| l.moved),
        bodies.get_mut(&BodyKind::Replica),
    ) {
        replica.put(&pose, kept);
    }
    let places = places::place_all(root, object, &bodies, sources, &mut findings);
    let elsewhere = places::elsewhere(root, object, &bodies, sources, &mut findings);
    let given = Given {
        root,
        object,
        sources,
        bodies: &bodies,
        places: &places,
        elsewhere: &elsewhere,
    };
    let collation = laid.and_then(|laid| collation::collate(given, laid, kept, &mut findings));
    let bearings = collation::bearings(given, collation.as_ref(), kept, &mut findings);
    let extents = extents(object, &bodies);
    let front = sights::front(given);
    let sights = sights::sights(given, &mut findings);
    let geometry = ObjectGeometry {
        bodies,
        places,
        elsewhere,
        front,
        sights,
        quantities,
        extents,
        collation,
        bearings,
    };
    (Some(geometry), findings)
}

/// Says why a replica cannot be laid on its original.
fn not_compared(
    root: &Path,
    object: &Object,
    sources: &Sources,
    bodies: &BTreeMap<BodyKind, BodyGeometry>,
    replica: &BodyGeometry,
) -> Finding {
    let record = content_name(root, &object.folder.join("record.toml"));
    let original = bodies.get(&BodyKind::Original);
    let shared = original.is_some_and(|o| o.parts.iter().any(|p| replica.part(&p.id).is_some()));
    let across = |body: &BodyGeometry| body.bounds.size().length();
    let (what, remedy) = if shared {
        (
            format!(
                "the replica is {:.0} mm across its corners and the original {:.0} mm: bodies of such unlike size are not compared",
                across(replica),
                original.map_or(0.0, across)
            ),
            "correct ‘unit’ if it is a slip; a copy at another scale is published without a comparison",
        )
    } else {
        (
            "no part is on both bodies, so nothing of the replica is compared".to_owned(),
            "give parts that answer one another the same id on both bodies",
        )
    };
    Finding {
        severity: Severity::Advice,
        rule: "not-compared",
        place: sources.place_of(&record, &["bodies", "replica", "parts", "0", "model"]),
        what,
        remedy: remedy.to_owned(),
    }
}

#[expect(clippy::too_many_arguments, reason = "each is another kind of thing")]
fn read_body(
    root: &Path,
    object: &Object,
    kind: BodyKind,
    body: &Body,
    sources: &Sources,
    limits: &Limits,
    kept: &mut Kept,
    findings: &mut Findings,
) -> Option<BodyGeometry> {
    let record = content_name(root, &object.folder.join("record.toml"));
    let body_key = kind.word();
    let mut parts = Vec::new();
    for (index, part) in body.parts.iter().enumerate() {
        let path = object.folder.join(&part.model);
        if !path.is_file() {
            // Reading the records has reported it already.
            continue;
        }
        let place = || {
            let number = index.to_string();
            sources.place_of(&record, &["bodies", body_key, "parts", &number, "model"])
        };
        match examine_once(&path, part, limits, kept) {
            Ok(found) => {
                let needs_volume = part.solid == Some(true) && body.weighed_g.is_none();
                for flaw in found.condition.flaws(needs_volume) {
                    findings.push(Finding {
                        severity: Severity::Advice,
                        rule: flaw.rule,
                        place: place(),
                        what: format!("the model ‘{}’: {}", part.model, flaw.what),
                        remedy: flaw.remedy.to_owned(),
                    });
                }
                parts.push(found);
            }
            Err(error) => findings.push(Finding {
                severity: Severity::Error,
                rule: "model-unreadable",
                place: place(),
                what: format!("the model ‘{}’ cannot be used: {}", part.model, error.what),
                remedy: error.remedy,
            }),
        }
    }
    if parts.len() < body.parts.len() {
        return None;
    }
    let bounds = parts
        .iter()
        .filter_map(|p| p.mesh.bounds())
        .reduce(Bounds::union)?;
    Some(BodyGeometry {
        parts,
        bounds,
        moved: None,
    })
}

fn examine_once(
    path: &Path,
    part: &Part,
    limits: &Limits,
    kept: &mut Kept,
) -> Result<Arc<PartGeometry>, MeshError> {
    let Some(file) = file_mark(path, part) else {
        return examine(path, part, limits, kept);
    };
    if let Some(found) = kept.parts.get(&file) {
        return Ok(found);
    }
    let found = examine(path, part, limits, kept)?;
    // A file that changed while it was read is read again next time.
    if file_mark(path, part) == Some(file) {
        kept.parts.put(file, Arc::clone(&found));
    }
    Ok(found)
}

/// Which file it is, how long and of when, and how its numbers are to be read. `None` where that cannot
/// be told, or where the model names further files.
fn file_mark(path: &Path, part: &Part) -> Option<Mark> {
    use std::os::unix::fs::MetadataExt;
    let one_file = ["glb", "ply", "stl", "3mf"];
    let ending = path.extension()?.to_str()?.to_lowercase();
    let told = path.metadata().ok()?;
    let state = [
        told.dev(),
        told.ino(),
        told.len(),
        told.mtime().cast_unsigned(),
        told.mtime_nsec().cast_unsigned(),
        told.ctime().cast_unsigned(),
        told.ctime_nsec().cast_unsigned(),
    ];
    one_file.contains(&ending.as_str()).then(|| {
        mark(&[
            path.to_string_lossy().as_bytes(),
            format!("{} {:?} {:?} {state:?}", part.id, part.unit, part.up).as_bytes(),
        ])
    })
}

/// Reads a model. One with the same surface as another that was examined is not examined again.
fn examine(
    path: &Path,
    part: &Part,
    limits: &Limits,
    kept: &mut Kept,
) -> Result<Arc<PartGeometry>, MeshError> {
    let mesh = mesh::read(path, part.unit, part.up, limits)?;
    let digest = mesh.digest();
    let own = mark(&[b"examined", &digest, part.id.as_str().as_bytes()]);
    if let Some(found) = kept.parts.get(&own) {
        return Ok(found);
    }
    let (tree, sides) = asked_of(&mesh);
    let condition = Condition::of(&mesh, &tree).ok_or_else(MeshError::empty)?;
    let found = Arc::new(PartGeometry {
        id: part.id.clone(),
        sides,
        mesh,
        tree,
        condition,
        digest,
    });
    kept.parts.put(own, Arc::clone(&found));
    Ok(found)
}

fn asked_of(mesh: &Mesh) -> (Tree, Sides) {
    rayon::join(|| Tree::build(mesh), || Sides::of(mesh))
}
