//! The door of the desk: the loopback, the guard, the headers of every answer, and the way to what
//! answers.

use super::guard::Guard;
use super::live::Live;
use super::pen::{Moment, Pen, Recovered, Refusal};
use super::refused::{Refused, json_answer};
use super::ways::{self, Query};
use super::{look, uploads, watch};
use crate::limits::Limits;
use crate::messages::{Messages, by_header};
use crate::record::Day;
use crate::site::{SiteError, dress};
use crate::store::Store;
use axum::Router;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, Response, StatusCode, header};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt;
use std::net::Ipv4Addr;
use std::path::PathBuf;
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex};
use tokio::net::TcpListener;
use tokio::sync::broadcast;

/// News that a slow window may be behind before it asks for everything anew.
const NEWS: usize = 256;

/// Scripts, styles and pictures from the desk itself, none in the page; no page around it; no text
/// becomes markup by accident (Trusted Types).
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; \
     font-src 'self'; connect-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; \
     frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types 'none'";
/// A preview is shown within the desk's page, and runs nothing.
const PREVIEW_POLICY: &str = "default-src 'none'; style-src 'self'; img-src 'self' data:; font-src 'self'; \
     base-uri 'none'; form-action 'none'; frame-ancestors 'self'; sandbox allow-same-origin";

static STYLE: &str = include_str!("../../themes/plate/desk/desk.css");

/// What a desk is opened with.
pub struct Setting {
    /// The content folder; made when missing.
    pub content: PathBuf,
    /// The folder `.counterpart` beside it.
    pub beside: PathBuf,
    /// Where the site is published to.
    pub display: PathBuf,
    /// Ports of the desk and of the published site; free ones when 0.
    pub ports: [u16; 2],
    /// Bounds for what is read.
    pub limits: Limits,
    /// The time.
    pub clock: Box<dyn Fn() -> Moment + Send + Sync>,
    /// The day for which rights are judged.
    pub today: fn() -> Day,
    /// Hears what there is to say.
    pub heard: Box<dyn Fn(Heard<'_>) + Send + Sync>,
}

/// What is said while the desk is open.
#[derive(Debug, Clone, Copy)]
pub enum Heard<'a> {
    /// The address that opens the desk in one browser, once.
    Address(&'a str),
    /// A change that was interrupted when the desk was last open was finished or taken back.
    Recovered(&'a Recovered),
    /// Something does not work, and what follows from it.
    Remark(&'a str),
}

/// Why a desk could not be opened.
#[derive(Debug)]
pub struct DeskError(pub(super) String);

impl fmt::Display for DeskError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for DeskError {}

impl From<Refusal> for DeskError {
    fn from(refusal: Refusal) -> Self {
        Self(refusal.to_string())
    }
}

impl From<SiteError> for DeskError {
    fn from(error: SiteError) -> Self {
        Self(error.to_string())
    }
}

/// Files of one preview, by path.
pub(super) type Files = Arc<BTreeMap<String, Vec<u8>>>;

/// An open desk.
pub(super) struct Desk {
    guard: Guard,
    pub(super) pen: Pen,
    pub(super) live: Arc<Live>,
    pub(super) content: PathBuf,
    pub(super) display: PathBuf,
    pub(super) store: Store,
    pub(super) limits: Limits,
    pub(super) clock: Box<dyn Fn() -> Moment + Send + Sync>,
    pub(super) today: fn() -> Day,
    heard: Box<dyn Fn(Heard<'_>) + Send + Sync>,
    pub(super) publishing: AtomicBool,
    /// The newest preview of every window.
    pub(super) previews: Mutex<BTreeMap<String, Files>>,
    pub(super) news: broadcast::Sender<String>,
    look_port: u16,
    /// Stylesheet and fonts.
    pub(super) dress: BTreeMap<String, Vec<u8>>,
}

impl Desk {
    /// Tells every window.
    pub(super) fn tell(&self, news: &Value) {
        // Nobody listening is no fault.
        let _ = self.news.send(news.to_string());
    }

    /// Where the published site is shown.
    pub(super) fn look_address(&self) -> String {
        format!("http://127.0.0.1:{}/", self.look_port)
    }
}

/// Serves a desk until the process ends.
///
/// # Errors
/// Another desk has the folder, it cannot be written, or no port can be had.
pub fn serve(setting: Setting) -> Result<(), DeskError> {
    let failed = |doing: &str, e: &dyn fmt::Display| DeskError(format!("{doing}: {e}"));
    std::fs::create_dir_all(&setting.content)
        .map_err(|e| failed(&format!("the folder {}", setting.content.display()), &e))?;
    let pen = Pen::open(&setting.content, &setting.beside.join("desk"))?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| failed("starting", &e))?;
    runtime.block_on(run(setting, pen))
}

/// A desk with everything but its doors.
pub(super) fn furnished(setting: Setting, pen: Pen, ports: [u16; 2]) -> Result<Desk, DeskError> {
    let guard = Guard::new(ports[0])
        .map_err(|e| DeskError(format!("the system gives no randomness: {e}")))?;
    let (stylesheet, mut dress) = dress(None)?;
    let style = dress.remove(&stylesheet).unwrap_or_default();
    // Fonts come from this machine, at once: there is no reason to do without them on a first page.
    let style =
        String::from_utf8_lossy(&style).replace("font-display: optional", "font-display: block");
    dress.insert("assets/desk.css".to_owned(), (style + STYLE).into_bytes());
    let (news, _) = broadcast::channel(NEWS);
    let teller = news.clone();
    let told = move |number: u64| {
        let _ = teller.send(json!({ "changed": number }).to_string());
    };
    let today = setting.today;
    let live = Arc::new(Live::open(
        &setting.content,
        setting.limits,
        Box::new(today),
        Box::new(told),
    ));
    let store = match Store::open(&setting.beside) {
        Ok(store) => store,
        Err(error) => {
            let remark = format!("The store cannot be used ({error}); everything is made anew.");
            (setting.heard)(Heard::Remark(&remark));
            Store::none()
        }
    };
    if let Some(recovered) = pen.recovered() {
        (setting.heard)(Heard::Recovered(recovered));
    }
    Ok(Desk {
        guard,
        pen,
        live,
        content: setting.content,
        display: setting.display,
        store,
        limits: setting.limits,
        clock: setting.clock,
        today,
        heard: setting.heard,
        publishing: AtomicBool::new(false),
        previews: Mutex::new(BTreeMap::new()),
        news,
        look_port: ports[1],
        dress,
    })
}

async fn listen(port: u16) -> Result<(TcpListener, u16), DeskError> {
    let said = |e: std::io::Error| {
        DeskError(format!(
            "port {port} of this machine cannot be had: {e}; choose another with --port, or close the program that has it"
        ))
    };
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))
        .await
        .map_err(said)?;
    let port = listener.local_addr().map_err(said)?.port();
    Ok((listener, port))
}

async fn run(setting: Setting, pen: Pen) -> Result<(), DeskError> {
    let (door, port) = listen(setting.ports[0]).await?;
    let (window, look_port) = listen(setting.ports[1]).await?;
    let desk = Arc::new(furnished(setting, pen, [port, look_port])?);
    let _watcher = match watch::watch(&desk.content, &desk.live) {
        Ok(watcher) => Some(watcher),
        Err(error) => {
            let remark = format!(
                "Changes by other programs will not be noticed ({error}); reload the page after one."
            );
            (desk.heard)(Heard::Remark(&remark));
            None
        }
    };
    let live = Arc::clone(&desk.live);
    let worker = Arc::clone(&live);
    std::thread::spawn(move || worker.work());
    (desk.heard)(Heard::Address(&desk.guard.address()));
    let shown = look::router(desk.display.clone(), look_port);
    tokio::spawn(async move { axum::serve(window, shown).await });
    let router = Router::new().fallback(answer).with_state(desk);
    let served = axum::serve(door, router).await;
    live.close();
    served.map_err(|e| DeskError(e.to_string()))
}

/// Every answer goes out through here.
async fn answer(State(desk): State<Arc<Desk>>, request: Request) -> Response<Body> {
    let preview = request.uri().path().starts_with("/preview/");
    let mut answer = admitted(desk, request).await;
    let headers = answer.headers_mut();
    let policy = if preview { PREVIEW_POLICY } else { POLICY };
    let frame = if preview { "SAMEORIGIN" } else { "DENY" };
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, policy),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, frame),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    for name in ["cross-origin-opener-policy", "cross-origin-resource-policy"] {
        headers.insert(name, HeaderValue::from_static("same-origin"));
    }
    answer
}

async fn admitted(desk: Arc<Desk>, request: Request) -> Response<Body> {
    let (parts, body) = request.into_parts();
    let path = parts.uri.path().to_owned();
    let query = Query::of(parts.uri.query().unwrap_or_default());
    if parts.method == Method::GET && path == "/begin" {
        return begin(&desk, &parts.headers, query.get("key"));
    }
    if let Err(turned) = desk.guard.admit(&parts.method, &parts.headers) {
        let (status, sentence) = turned.answer();
        return Refused::new(status, "turned-away", sentence).answer(speaking(&parts.headers));
    }
    answered(desk, &parts.method, path, query, &parts.headers, body).await
}

/// What an admitted request is answered with.
pub(super) async fn answered(
    desk: Arc<Desk>,
    method: &Method,
    path: String,
    query: Query,
    headers: &HeaderMap,
    body: Body,
) -> Response<Body> {
    let messages = speaking(headers);
    let result = match *method {
        Method::GET | Method::HEAD => ways::get(desk, &path, query, messages).await,
        Method::POST if path == "/api/take-in" => {
            uploads::take(desk, query.get("path"), headers, body)
                .await
                .map(|v| json_answer(StatusCode::OK, &v))
        }
        Method::POST => ways::post(desk, path, body, messages).await,
        _ => Err(Refused::new(
            StatusCode::METHOD_NOT_ALLOWED,
            "unclear",
            "The desk is asked with GET and POST.",
        )),
    };
    result.unwrap_or_else(|refused| refused.answer(messages))
}

/// The messages in the language that the page asks for: the one that is chosen there.
fn speaking(headers: &HeaderMap) -> &'static Messages {
    let asked = headers.get(header::ACCEPT_LANGUAGE);
    let asked = asked
        .and_then(|value| value.to_str().ok())
        .unwrap_or_default();
    Messages::of(by_header(asked)).unwrap_or_else(Messages::english)
}

/// The first request: the secret for a cookie, and on to the page, so that the secret is nowhere in
/// the browser's list of pages.
fn begin(desk: &Desk, headers: &HeaderMap, key: &str) -> Response<Body> {
    match desk.guard.begin(headers, key) {
        Ok(cookie) => {
            (desk.heard)(Heard::Address(&desk.guard.address()));
            let mut answer = Response::new(Body::empty());
            *answer.status_mut() = StatusCode::SEE_OTHER;
            let headers = answer.headers_mut();
            headers.insert(header::LOCATION, HeaderValue::from_static("/"));
            if let Ok(cookie) = HeaderValue::from_str(&cookie) {
                headers.insert(header::SET_COOKIE, cookie);
            }
            answer
        }
        Err(turned) => {
            let (status, sentence) = turned.answer();
            Refused::new(status, "turned-away", sentence).answer(speaking(headers))
        }
    }
}
