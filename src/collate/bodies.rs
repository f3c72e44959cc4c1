//! The bodies of one object, read from their model files.

use super::condition::Condition;
use super::places::{self, Placed};
use super::quantities::{Quantities, quantities};
use crate::limits::Limits;
use crate::mesh::{self, Bounds, Mesh, MeshError};
use crate::record::{
    Body, BodyKind, DetailId, Finding, Findings, Object, Part, PartId, Severity, Sources,
    content_name,
};
use crate::space::Tree;
use std::collections::BTreeMap;
use std::path::Path;

/// One part: surface, tree, and the digest of the file it came from.
#[derive(Debug)]
pub struct PartGeometry {
    /// Which part.
    pub id: PartId,
    /// Its surface, millimetres, in the object's frame (+Y up).
    pub mesh: Mesh,
    /// For closest points and rays.
    pub tree: Tree,
    /// What it measures, and its flaws.
    pub condition: Condition,
    /// BLAKE3 of the model file, for the store.
    pub digest: [u8; 32],
}

/// One body.
#[derive(Debug)]
pub struct BodyGeometry {
    /// Its parts, in the record's order.
    pub parts: Vec<PartGeometry>,
    /// Box around all parts, millimetres.
    pub bounds: Bounds,
}

impl BodyGeometry {
    /// The part with this id.
    pub fn part(&self, id: &PartId) -> Option<&PartGeometry> {
        self.parts.iter().find(|p| &p.id == id)
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
    /// Masses, layers, hours, powder and sizes.
    pub quantities: Quantities,
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
    let mut findings = Findings::none();
    let mut bodies = BTreeMap::new();
    let kinds = [BodyKind::Original, BodyKind::Replica];
    let mut whole = true;
    for (kind, body) in kinds
        .iter()
        .filter_map(|k| Some((*k, object.record.bodies.get(*k)?)))
    {
        match read_body(root, object, kind, body, sources, limits, &mut findings) {
            Some(geometry) => {
                bodies.insert(kind, geometry);
            }
            None => whole = false,
        }
    }
    if !whole {
        return (None, findings);
    }
    let places = places::place_all(root, object, &bodies, sources, &mut findings);
    let elsewhere = places::elsewhere(root, object, &bodies, sources, &mut findings);
    let (quantities, more) = quantities(root, object, &bodies, sources);
    findings.extend(more);
    let geometry = ObjectGeometry {
        bodies,
        places,
        elsewhere,
        quantities,
    };
    (Some(geometry), findings)
}

fn read_body(
    root: &Path,
    object: &Object,
    kind: BodyKind,
    body: &Body,
    sources: &Sources,
    limits: &Limits,
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
        match examine(&path, part, limits) {
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
    Some(BodyGeometry { parts, bounds })
}

fn examine(path: &Path, part: &Part, limits: &Limits) -> Result<PartGeometry, MeshError> {
    let mesh = mesh::read(path, part.unit, part.up, limits)?;
    let digest = mesh::digest(path)?;
    let tree = Tree::build(&mesh);
    let condition = Condition::of(&mesh, &tree).ok_or_else(MeshError::empty)?;
    Ok(PartGeometry {
        id: part.id.clone(),
        mesh,
        tree,
        condition,
        digest,
    })
}
