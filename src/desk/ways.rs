//! From an address to what answers it: the page and its files, previews, news, and the answers.

use super::refused::Refused;
use super::server::Desk;
use super::{answers, look};
use crate::messages::Messages;
use axum::body::{Body, Bytes, to_bytes};
use axum::http::{HeaderValue, Response, StatusCode, header};
use serde_json::json;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use tokio_stream::StreamExt;
use tokio_stream::wrappers::BroadcastStream;

/// Largest request that is not a file, bytes: a few texts with room to spare.
const REQUEST_BYTES: usize = 8 << 20;

static PAGE: &str = include_str!("../../themes/plate/desk/desk.html");
static SCRIPT: &[u8] = include_bytes!("../../themes/plate/desk/desk.js");

pub(super) async fn get(
    desk: Arc<Desk>,
    path: &str,
    query: Query,
    messages: &'static Messages,
) -> Result<Response<Body>, Refused> {
    match path {
        "/" => return Ok(file("text/html; charset=utf-8", PAGE.as_bytes().to_vec())),
        "/assets/desk.js" => return Ok(file("text/javascript; charset=utf-8", SCRIPT.to_vec())),
        // Browsers ask for it unasked.
        "/favicon.ico" => {
            let mut none = Response::new(Body::empty());
            *none.status_mut() = StatusCode::NO_CONTENT;
            return Ok(none);
        }
        "/api/news" => return Ok(news(&desk)),
        _ => {}
    }
    if let Some(bytes) = path.strip_prefix('/').and_then(|p| desk.dress.get(p)) {
        return Ok(file(kind_of(path), bytes.clone()));
    }
    if let Some(rest) = path.strip_prefix("/preview/") {
        return preview(&desk, rest);
    }
    let path = path.to_owned();
    apart(move || answers::get(&desk, &path, &query, messages)).await
}

pub(super) async fn post(
    desk: Arc<Desk>,
    path: String,
    body: Body,
    messages: &'static Messages,
) -> Result<Response<Body>, Refused> {
    let bytes: Bytes = to_bytes(body, REQUEST_BYTES).await.map_err(|_| {
        Refused::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            "too-large",
            format!("A request may have {} MB.", REQUEST_BYTES >> 20),
        )
    })?;
    apart(move || answers::post(&desk, &path, &bytes, messages)).await
}

/// Runs what waits for a disk, or reckons, on a thread that may.
async fn apart(
    work: impl FnOnce() -> Result<Response<Body>, Refused> + Send + 'static,
) -> Result<Response<Body>, Refused> {
    tokio::task::spawn_blocking(work)
        .await
        .unwrap_or_else(|e| Err(Refused::cannot(format!("The desk stumbled: {e}"))))
}

/// Everything that happens, as it happens (HTML Standard, server-sent events).
fn news(desk: &Desk) -> Response<Body> {
    let first = json!({ "changed": desk.live.seen().number });
    let first = tokio_stream::once(format!("data: {first}\n\n"));
    let rest = BroadcastStream::new(desk.news.subscribe()).map(|news| match news {
        Ok(news) => format!("data: {news}\n\n"),
        // Some were missed: whoever hears this asks for everything.
        Err(_) => "data: {\"changed\":0}\n\n".to_owned(),
    });
    let stream = first
        .chain(rest)
        .map(|text| Ok::<_, std::convert::Infallible>(Bytes::from(text)));
    let mut answer = Response::new(Body::from_stream(stream));
    answer.headers_mut().insert(
        header::CONTENT_TYPE,
        HeaderValue::from_static("text/event-stream"),
    );
    answer
}

fn preview(desk: &Desk, rest: &str) -> Result<Response<Body>, Refused> {
    let missing = || Refused::missing("There is no such preview.");
    let rest = look::decoded(rest).ok_or_else(missing)?;
    let (window, path) = rest.split_once('/').ok_or_else(missing)?;
    let previews = desk.previews.lock().unwrap_or_else(|e| e.into_inner());
    let files = previews.get(window).cloned().ok_or_else(missing)?;
    drop(previews);
    let bytes = files.get(path).cloned().ok_or_else(missing)?;
    Ok(file(kind_of(path), bytes))
}

fn kind_of(path: &str) -> &'static str {
    let ending = Path::new(path).extension();
    look::kind(ending.and_then(|e| e.to_str()).unwrap_or_default())
}

/// A file as an answer.
pub(super) fn file(kind: &'static str, bytes: Vec<u8>) -> Response<Body> {
    let mut answer = Response::new(Body::from(bytes));
    answer
        .headers_mut()
        .insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    answer
}

/// The part of an address after the question mark.
pub(super) struct Query(BTreeMap<String, String>);

impl Query {
    pub(super) fn of(text: &str) -> Self {
        let pairs = text.split('&').filter_map(|pair| pair.split_once('='));
        let decoded = pairs.filter_map(|(k, v)| Some((k.to_owned(), look::decoded(v)?)));
        Self(decoded.collect())
    }

    /// A value; empty when it is not there.
    pub(super) fn get(&self, key: &str) -> &str {
        self.0.get(key).map_or("", String::as_str)
    }
}
