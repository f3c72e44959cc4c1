//! Everything that is dear to make: stills, photographs, codes and display models.
//!
//! Made once for all languages, kept in the store, and handed on as paths relative to the root of
//! the site.

mod close;
mod coarse;
mod differences;
mod files;
mod levels;
pub(crate) mod models;
mod pending;
mod photographs;
mod profile;
mod raised;
mod raking;
mod recordings;
mod sides;
mod stills;

pub(crate) use close::DetailView;
pub(crate) use differences::{Differences, DrawnGroup};
pub(crate) use files::PictureFiles;
pub(crate) use models::DisplayModel;
pub(crate) use profile::ProfileLines;
pub(crate) use raised::{RaisedSheets, symbol};
pub(crate) use raking::{RakedFiles, RakedView};
pub(crate) use recordings::{RecordingFile, Track};
#[cfg(test)]
pub(crate) use sides::SIDE_PX;
pub(crate) use sides::{MOST_SIDES, Side, SidePlates};
pub(crate) use stills::{BodyPlate, PLATE_PX, is_there};

use super::assets::Assets;
use super::gate::LeftOut;
use super::{Request, SiteError};
use crate::record::{BodyKind, DetailId, ObjectId};
use crate::store::{Rooms, Store};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// All pictures and models of the site.
#[derive(Debug, Default)]
pub(crate) struct Pictures {
    /// By object, of those that are made.
    pub(crate) objects: BTreeMap<ObjectId, ObjectPictures>,
    /// The overview by which each object is shown among others: of the body that visitors stand before.
    pub(crate) shown: BTreeMap<ObjectId, BodyPlate>,
    /// Photographs by their path on disk.
    pub(crate) photographs: BTreeMap<PathBuf, PictureFiles>,
    /// Sound and film by their path on disk.
    pub(crate) recordings: BTreeMap<PathBuf, RecordingFile>,
    /// What may not be shown, and was not made.
    pub(crate) left_out: LeftOut,
}

/// Pictures and models of one object.
#[derive(Debug)]
pub(crate) struct ObjectPictures {
    /// The overview of each body, all from one camera.
    pub(crate) plates: BTreeMap<BodyKind, BodyPlate>,
    /// Further sides, in the order in which they were chosen.
    pub(crate) sides: Vec<SidePlates>,
    /// The same sides for fingers.
    pub(crate) raised: RaisedSheets,
    /// Each detail from close by, on each body, from one camera.
    pub(crate) details: BTreeMap<DetailId, DetailView>,
    /// Details in raking light.
    pub(crate) raked: BTreeMap<DetailId, RakedView>,
    /// What the viewer loads.
    /// The lightest level first.
    pub(crate) models: BTreeMap<BodyKind, Vec<DisplayModel>>,
    /// What was measured to differ, when there is a replica.
    pub(crate) differences: Option<Differences>,
    /// Both bodies in profile, when there is a replica.
    pub(crate) profile: Option<ProfileLines>,
    /// Where more that is made of it may be kept.
    pub(crate) room: Store,
}

/// Makes them all.
pub(crate) fn make(request: &Request<'_>, assets: &Assets) -> Result<Pictures, SiteError> {
    let mut pictures = Pictures::default();
    let total = pieces(request);
    let mut done = 0;
    let mut next = |what: &str| {
        request.listener.progress(done, total, what);
        done += 1;
    };
    for object in &request.catalogue.objects {
        let geometry = request.geometry.get(&object.id).ok_or_else(|| {
            SiteError::Picture(format!(
                "no geometry was read for the object ‘{}’",
                object.id
            ))
        })?;
        let rooms = Rooms::open(request.store, object, request.catalogue.today);
        let request = &Request {
            store: &rooms.models,
            ..*request
        };
        let assets = &assets.of_object(&object.id);
        let mut models = BTreeMap::new();
        for kind in geometry.bodies.keys() {
            next(&format!("model of {}", object.id));
            let measured = differences::measured(geometry, *kind);
            let made = models::make(request, object, *kind, geometry, measured.as_ref(), assets)?;
            models.insert(*kind, made);
        }
        let made = stills::make(request, object, geometry, assets, &mut next)?;
        let differences = differences::make(
            request,
            object,
            geometry,
            &made.plates,
            &made.stages,
            assets,
            &mut next,
        )?;
        let raised = raised::make(
            request,
            object,
            geometry,
            &made.plates,
            &made.sides,
            assets,
            &mut next,
        )?;
        if let Some(plate) = made.plates.get(&object.shown_body()) {
            pictures.shown.insert(object.id.clone(), plate.clone());
        }
        pictures.objects.insert(
            object.id.clone(),
            ObjectPictures {
                plates: made.plates,
                sides: made.sides,
                raised,
                details: made.details,
                raked: made.raked,
                models,
                differences,
                profile: may_be_drawn(object)
                    .then(|| profile::make(geometry))
                    .flatten(),
                room: rooms.models.clone(),
            },
        );
        for (path, name) in photographs::of(object) {
            next(&format!("photograph {name}"));
            let files = photographs::make(request, &rooms.photograph(&path), &path, &name, assets)?;
            pictures.photographs.insert(path, files);
        }
        recordings::make(request, object, assets, &mut pictures.recordings)?;
    }
    request.listener.progress(total, total, "pictures");
    Ok(pictures)
}

/// A profile is drawn as finely as the scan is: not where an agreement asks for less.
fn may_be_drawn(object: &crate::record::Object) -> bool {
    let kinds = [BodyKind::Original, BodyKind::Replica];
    !kinds.into_iter().any(|kind| {
        let mut parts = object.record.bodies.parts(kind).iter();
        parts.any(|part| object.finest_mm(kind, &part.id).is_some())
    })
}

/// Makes the photographs of one record.
pub(crate) fn photographs_of(
    request: &Request<'_>,
    object: &ObjectId,
    folder: &std::path::Path,
    photographs: &[crate::record::Photograph],
    assets: &Assets,
    pictures: &mut Pictures,
) -> Result<(), SiteError> {
    let known = request.catalogue.object(object);
    let rooms = known.map(|known| Rooms::open(request.store, known, request.catalogue.today));
    let rooms = rooms.unwrap_or_default();
    for (path, name) in photographs::named(object, folder, photographs) {
        let files = photographs::make(request, &rooms.photograph(&path), &path, &name, assets)?;
        pictures.photographs.insert(path, files);
    }
    Ok(())
}

fn pieces(request: &Request<'_>) -> usize {
    let of_object = |object: &Arc<crate::record::Object>| {
        let bodies = 1 + usize::from(object.record.bodies.replica.is_some());
        let collation = request
            .geometry
            .get(&object.id)
            .and_then(|g| g.collation.as_ref());
        let differences = collation.map_or(0, |c| bodies + c.groups().len());
        let raked = object.details.iter().filter(|d| d.record.raked()).count();
        // At most: how many sides there are is known when the bodies are looked at.
        bodies * (1 + 2 * MOST_SIDES + object.details.len())
            + raked
            + photographs::of(object).len()
            + differences
    };
    request.catalogue.objects.iter().map(of_object).sum()
}
