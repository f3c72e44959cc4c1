//! What stands behind each address of the desk. Every path that the page names becomes an `Inside`
//! before anything is done with it.

mod arrivals;
mod files;
mod previews;
mod shapes;

use super::refused::{Refused, json_answer};
use super::server::Desk;
use super::ways::Query;
use super::{publishing, told, words};
use crate::messages::Messages;
use axum::body::Body;
use axum::http::{Response, StatusCode};
use serde::de::DeserializeOwned;
use serde_json::json;
use std::sync::Arc;

pub(super) fn get(
    desk: &Desk,
    path: &str,
    query: &Query,
    messages: &Messages,
) -> Result<Response<Body>, Refused> {
    let found = match path {
        "/api/desk" => told::desk(&desk.content, &desk.live.seen(), messages),
        "/api/file" => files::read(desk, query.get("path"))?,
        "/api/drafts" => json!(desk.pen.drafts()?),
        "/api/history" => json!(desk.pen.history()?),
        "/api/bin" => json!(desk.pen.binned()?),
        "/api/words" => json!(
            words::of(query.get("lang"))
                .ok_or_else(|| Refused::missing("The desk does not speak that language."))?
        ),
        "/api/site" => json!({
            "look": desk.look_address(), "published": desk.display.join("index.html").is_file(),
        }),
        "/api/picture" => return shapes::picture(desk, query.get("path")),
        "/api/model" => return shapes::drawn(desk, query.get("object"), query.get("body")),
        _ => return Err(Refused::missing("There is nothing at that address.")),
    };
    Ok(json_answer(StatusCode::OK, &found))
}

pub(super) fn post(
    desk: &Arc<Desk>,
    path: &str,
    body: &[u8],
    messages: &'static Messages,
) -> Result<Response<Body>, Refused> {
    let done = match path {
        "/api/save" => files::save(desk, &asked(body)?)?,
        "/api/draft" => files::draft(desk, &asked(body)?)?,
        "/api/bin" => files::bin(desk, &asked(body)?)?,
        "/api/restore" => files::restore(desk, &asked(body)?)?,
        "/api/undo" => {
            let undone = desk.pen.undo((desk.clock)())?;
            desk.live.poke();
            json!(undone)
        }
        "/api/place" => shapes::placed(desk, &asked(body)?)?,
        "/api/preview" => previews::preview(desk, &asked(body)?, messages)?,
        "/api/still-words" => previews::still_words(desk, &asked(body)?)?,
        "/api/name" => arrivals::named(&asked(body)?),
        "/api/accession" => arrivals::begun(desk, &asked(body)?)?,
        "/api/measure" => arrivals::measured(desk, &asked(body)?)?,
        "/api/translated" => files::translated(desk, &asked(body)?)?,
        "/api/publish" => publishing::begin(desk, messages)?,
        _ => return Err(Refused::missing("There is nothing at that address.")),
    };
    Ok(json_answer(StatusCode::OK, &done))
}

fn asked<T: DeserializeOwned>(body: &[u8]) -> Result<T, Refused> {
    serde_json::from_slice(body)
        .map_err(|e| Refused::unclear(format!("The request is unclear: {e}")))
}
