//! The published site, for looking at: plain files on a port of their own, so that its pages are
//! strangers to the desk. Only that folder, only reading, only under this machine's own name.

use axum::Router;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderValue, Method, Response, StatusCode, header};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

/// The folder, and the port on which it is shown.
struct Shown {
    folder: PathBuf,
    port: u16,
}

/// Pages are not kept by the browser here: the next look is to show the newest edition.
const KEEPER: &str = "offline.js";

pub(super) fn router(folder: PathBuf, port: u16) -> Router {
    let shown = Arc::new(Shown { folder, port });
    Router::new().fallback(answer).with_state(shown)
}

async fn answer(State(shown): State<Arc<Shown>>, request: Request) -> Response<Body> {
    let hosts = ["127.0.0.1", "localhost"].map(|name| format!("{name}:{}", shown.port));
    let host = request.headers().get(header::HOST);
    let host = host.and_then(|h| h.to_str().ok());
    if !host.is_some_and(|h| hosts.iter().any(|own| own == h)) {
        return plain(
            StatusCode::MISDIRECTED_REQUEST,
            "This is not the address of the site.",
        );
    }
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        return plain(
            StatusCode::METHOD_NOT_ALLOWED,
            "The site is only read here.",
        );
    }
    let path = request.uri().path().to_owned();
    let found = tokio::task::spawn_blocking(move || read(&shown.folder, &path)).await;
    match found.ok().flatten() {
        Some((kind, bytes)) => {
            let mut answer = Response::new(Body::from(bytes));
            let headers = answer.headers_mut();
            headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
            headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
            headers.insert(
                header::X_CONTENT_TYPE_OPTIONS,
                HeaderValue::from_static("nosniff"),
            );
            headers.insert(
                header::CONTENT_SECURITY_POLICY,
                HeaderValue::from_static("frame-ancestors 'none'"),
            );
            answer
        }
        None => plain(
            StatusCode::NOT_FOUND,
            "There is no such page. Publish the site at the desk, then look again.",
        ),
    }
}

fn read(folder: &Path, path: &str) -> Option<(&'static str, Vec<u8>)> {
    let mut inside = PathBuf::from(decoded(path)?.trim_start_matches('/'));
    let plain = |c: Component<'_>| matches!(c, Component::Normal(_));
    if !inside.components().all(plain) || inside == Path::new(KEEPER) {
        return None;
    }
    if path.ends_with('/') {
        inside.push("index.html");
    }
    let whole = folder.canonicalize().ok()?;
    // A link that leads out of the folder is followed to where it ends, and refused there.
    let file = whole.join(inside).canonicalize().ok()?;
    if !file.starts_with(&whole) || !file.is_file() {
        return None;
    }
    let ending = file.extension()?.to_str()?;
    Some((kind(ending), std::fs::read(&file).ok()?))
}

/// Undoes percent-encoding (RFC 3986); `None` for what is no text.
pub(super) fn decoded(path: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(path.len());
    let mut rest = path.bytes();
    while let Some(b) = rest.next() {
        if b == b'%' {
            let digits = [rest.next()?, rest.next()?];
            let digits = std::str::from_utf8(&digits).ok()?;
            bytes.push(u8::from_str_radix(digits, 16).ok()?);
        } else {
            bytes.push(b);
        }
    }
    String::from_utf8(bytes).ok().filter(|p| !p.contains('\0'))
}

/// The media type of a file by its ending.
pub(super) fn kind(ending: &str) -> &'static str {
    match ending {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "json" | "webmanifest" => "application/json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" | "jpeg" => "image/jpeg",
        "webp" => "image/webp",
        "woff2" => "font/woff2",
        "glb" => "model/gltf-binary",
        "mp3" => "audio/mpeg",
        "m4a" => "audio/mp4",
        "ogg" | "opus" => "audio/ogg",
        "wav" => "audio/wav",
        "mp4" => "video/mp4",
        "webm" => "video/webm",
        "vtt" => "text/vtt; charset=utf-8",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

fn plain(status: StatusCode, text: &'static str) -> Response<Body> {
    let mut answer = Response::new(Body::from(text));
    *answer.status_mut() = status;
    answer
}
