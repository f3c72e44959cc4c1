//! The survey: everything that can be known before anything is written.
//!
//! Reads the records, then the geometry of every object, and gathers the findings of both.
//! `publish` begins with it too, so nothing is published that the survey would have refused.

use crate::collate::{self, ObjectGeometry};
use crate::limits::Limits;
use crate::picture::{Camera, Finish, Scene, still};
use crate::progress::Listener;
use crate::record::{
    self, BodyKind, Catalogue, Day, Findings, Known, Object, ObjectId, Sources, Use,
};
use crate::site;
use crate::store::{self, Rooms, Store};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

/// What the survey found.
#[derive(Debug)]
pub struct Survey {
    /// The records; `None` when errors stand in the way.
    pub catalogue: Option<Catalogue>,
    /// Geometry of every object whose models could be read.
    pub geometry: BTreeMap<ObjectId, Arc<ObjectGeometry>>,
    /// All findings, in the order of their places.
    pub findings: Findings,
    /// The files that were read, for showing the places.
    pub sources: Sources,
    /// Objects whose models something is to be said of.
    pub loud: BTreeSet<ObjectId>,
}

impl Survey {
    /// What was measured: object → body → the whole, and each part; and what was reckoned from it.
    pub fn measured(&self) -> serde_json::Value {
        let objects = self.geometry.iter().map(|(id, object)| {
            let record = self.catalogue.as_ref().and_then(|c| c.object(id));
            (id.to_string(), measured_of(record, object))
        });
        serde_json::Value::Object(objects.collect())
    }
}

/// What was measured of one object: of each body the whole and each part, what was reckoned from it, and,
/// when its record is at hand, the comparison.
pub(crate) fn measured_of(record: Option<&Object>, object: &ObjectGeometry) -> serde_json::Value {
    let bodies = object.bodies.iter().map(|(kind, body)| {
        let parts = body
            .parts
            .iter()
            .map(|part| (part.id.to_string(), part.condition.json()));
        let of_body = serde_json::json!({
            "whole": collate::whole_json(body.parts.iter().map(|p| &p.condition)),
            "parts": serde_json::Value::Object(parts.collect()),
        });
        (kind.word().to_owned(), of_body)
    });
    let reckoned = ("quantities".to_owned(), object.quantities.json());
    let extents = ("extents".to_owned(), object.extents.json());
    let compared = record.map(|record| {
        let found = collate::comparison_json(record, object.collation.as_ref(), &object.bearings);
        ("comparison".to_owned(), found)
    });
    let sights = object.sights.iter();
    let sights = sights.map(|(detail, sight)| (detail.to_string(), sight.json()));
    let sights = ("sights".to_owned(), sights.collect());
    let all = bodies
        .chain([reckoned, extents, sights])
        .chain(compared)
        .collect();
    serde_json::Value::Object(all)
}

/// A difference that nothing explains, to be looked at.
#[derive(Debug)]
pub struct Puzzle {
    /// `brackwater-mortar-difference-3`.
    pub name: String,
    /// A still that looks straight at it.
    pub still: image::RgbaImage,
}

/// So many of an object are drawn, the largest first.
pub const PUZZLES: usize = 12;
/// Size of such a still, pixels.
const PUZZLE_PX: [u32; 2] = [720, 540];
/// A still shows so many radii of a difference, and never less than this, millimetres.
const AROUND: (f64, f64) = (3.0, 8.0);

impl Survey {
    /// Draws the differences that nothing explains, the largest of each object first, on the body
    /// where they stand out; not of objects whose models may not be shown today.
    pub fn puzzles(&self) -> Vec<Puzzle> {
        let mut puzzles = Vec::new();
        for (id, object) in &self.geometry {
            let Some(collation) = object.collation.as_ref().filter(|_| self.may_show(id)) else {
                continue;
            };
            let mut scenes: BTreeMap<BodyKind, Option<Scene>> = BTreeMap::new();
            let open = collation.found.iter();
            let open = open.filter(|f| f.explained == collate::Explained::Not);
            for found in open.take(PUZZLES) {
                let Some(part) = collation.part(&found.part) else {
                    continue;
                };
                let region = &part.comparison.regions[found.index];
                let body = collate::shown_on(region.kind);
                let scene = scenes.entry(body).or_insert_with(|| {
                    let parts = object.bodies.get(&body).map(|b| b.parts.as_slice());
                    let parts = parts.unwrap_or_default().iter();
                    Scene::new(parts.map(|p| (p.mesh.clone(), Finish::default())).collect())
                });
                let Some(scene) = scene else { continue };
                let n = region.normal;
                let camera = Camera::at(
                    region.centre,
                    n.x.atan2(n.z).to_degrees(),
                    n.y.clamp(-1.0, 1.0).asin().to_degrees(),
                    (region.spot.radius_mm * AROUND.0).max(AROUND.1),
                    PUZZLE_PX,
                );
                puzzles.push(Puzzle {
                    name: format!("{id}-difference-{}", found.number),
                    still: still(scene, &camera),
                });
            }
        }
        puzzles
    }

    fn may_show(&self, id: &ObjectId) -> bool {
        let known = self.catalogue.as_ref();
        let known = known.and_then(|c| Some((c.object(id)?, c.today)));
        let kinds = [BodyKind::Original, BodyKind::Replica];
        known.is_some_and(|(object, today)| {
            let may = |kind| object.body_permits(kind, Use::Display, today);
            kinds.into_iter().all(may)
        })
    }
}

/// Surveys a content folder as of `today`.
pub fn survey(folder: &Path, today: Day, limits: &Limits, listener: &dyn Listener) -> Survey {
    survey_of(folder, today, limits, listener, &Asked::default())
}

/// Objects of a catalogue whose models are left unread.
pub type Leave<'a> = &'a dyn Fn(&Catalogue) -> BTreeSet<ObjectId>;

/// What is asked of a survey.
#[derive(Default)]
pub struct Asked<'a> {
    /// The one object whose geometry is read, when not all are.
    pub only: Option<&'a ObjectId>,
    /// Where dear results are kept.
    pub store: Store,
    /// Tells, when the records are read, of which objects the models need not be.
    pub leave: Option<Leave<'a>>,
    /// Objects whose records need not be read again; those of others must not depend on what changed since.
    pub known: Vec<Known>,
}

/// The same, as it is asked for.
pub fn survey_of(
    folder: &Path,
    today: Day,
    limits: &Limits,
    listener: &dyn Listener,
    asked: &Asked<'_>,
) -> Survey {
    let reading = record::read_but(folder, today, limits, &asked.known);
    let mut findings = reading.findings;
    let (mut geometry, mut loud) = (BTreeMap::new(), BTreeSet::new());
    if let Some(catalogue) = &reading.catalogue {
        store::sweep(&asked.store, folder);
        findings.extend(site::findings(catalogue));
        let left = asked.leave.map(|leave| leave(catalogue));
        let left = left.unwrap_or_default();
        for object in catalogue.objects.iter().filter(|o| left.contains(&o.id)) {
            // What may lie in the store no longer goes, whatever else is left as it is.
            Rooms::open(&asked.store, object, today);
        }
        let objects = catalogue.objects.iter().map(AsRef::as_ref);
        let wanted: Vec<&Object> = objects
            .filter(|o| asked.only.is_none_or(|id| &o.id == id) && !left.contains(&o.id))
            .collect();
        let total = wanted.len();
        // Objects that have a model in common measure it once.
        let mut kept = collate::Kept::in_store(&asked.store, today);
        for (done, object) in wanted.into_iter().enumerate() {
            listener.progress(done, total, &format!("reading the models of {}", object.id));
            let (found, more) =
                collate::read_again(folder, object, &reading.sources, limits, &mut kept);
            if !more.is_empty() {
                loud.insert(object.id.clone());
            }
            findings.extend(more);
            if let Some(found) = found {
                geometry.insert(object.id.clone(), Arc::new(found));
            }
            kept.end();
        }
        listener.progress(total, total, "models");
    }
    findings.settle();
    Survey {
        catalogue: reading.catalogue,
        geometry,
        findings,
        sources: reading.sources,
        loud,
    }
}
