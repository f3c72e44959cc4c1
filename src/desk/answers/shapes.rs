//! What the page draws: models, places on them, photographs.

use crate::collate::ObjectGeometry;
use crate::desk::pen::Inside;
use crate::desk::place::{self, Missed};
use crate::desk::refused::Refused;
use crate::desk::server::Desk;
use crate::desk::ways::file;
use crate::desk::{look, model};
use crate::record::{BodyKind, ObjectId};
use crate::store::{Rooms, Store};
use axum::body::Body;
use axum::http::Response;
use serde_json::{Value, json};
use std::sync::Arc;

/// Endings of pictures that the page may show.
const PICTURES: [&str; 4] = ["jpg", "jpeg", "png", "webp"];

fn geometry(desk: &Desk, object: &str) -> Result<Arc<ObjectGeometry>, Refused> {
    let seen = desk.live.seen();
    let id: Option<ObjectId> = object.parse().ok();
    id.and_then(|id| seen.geometry.get(&id).cloned())
        .ok_or_else(|| {
            Refused::missing(format!("The models of ‘{object}’ have not been read yet."))
        })
}

/// Where what is made of an object's models may be kept.
fn room(desk: &Desk, object: &str) -> Store {
    let seen = desk.live.seen();
    let id: Option<ObjectId> = object.parse().ok();
    let known = id.and_then(|id| seen.catalogue.as_ref()?.object(&id));
    known.map_or_else(Store::none, |object| {
        Rooms::open(&desk.store, object, (desk.today)()).models
    })
}

pub(super) fn placed(desk: &Desk, asked: &place::Asked) -> Result<Value, Refused> {
    let geometry = geometry(desk, &asked.object)?;
    match place::find(&geometry, asked) {
        Ok(found) => Ok(json!(found)),
        Err(Missed::Beside) => Ok(json!({ "missed": true })),
        Err(Missed::Unread) => Err(Refused::missing("This object has no such body.")),
        Err(Missed::Unclear) => Err(Refused::unclear(
            "A place is a point or a ray of finite numbers, with a radius above nought and within the object.",
        )),
    }
}

pub(super) fn drawn(desk: &Desk, object: &str, body: &str) -> Result<Response<Body>, Refused> {
    let geometry = geometry(desk, object)?;
    let kind = match body {
        "original" => BodyKind::Original,
        "replica" => BodyKind::Replica,
        _ => return Err(Refused::unclear("A body is ‘original’ or ‘replica’.")),
    };
    let shape = geometry
        .bodies
        .get(&kind)
        .ok_or_else(|| Refused::missing("This object has no such body."))?;
    let bytes =
        model::of(shape, &room(desk, object)).map_err(|e| Refused::cannot(e.to_string()))?;
    Ok(file("application/octet-stream", bytes))
}

/// A photograph of the folder, found through the records that name it and read without following links.
pub(super) fn picture(desk: &Desk, path: &str) -> Result<Response<Body>, Refused> {
    let inside = Inside::new(path)?;
    let ending = path
        .rsplit_once('.')
        .map(|(_, e)| e.to_lowercase())
        .unwrap_or_default();
    if !PICTURES.contains(&ending.as_str()) {
        return Err(Refused::unclear("That is no picture."));
    }
    let bytes = desk
        .pen
        .bytes(&inside, desk.limits.photograph_bytes)?
        .ok_or_else(|| Refused::missing(format!("There is no ‘{inside}’.")))?;
    Ok(file(look::kind(&ending), bytes))
}
