//! What stands behind each address of the desk. Every path that the page names becomes an [`Inside`]
//! before anything is done with it.

use super::pen::{BinId, Change, Fresh, Inside, Leaf, Version, WindowId, amended};
use super::place::{self, Missed};
use super::refused::{Refused, json_answer};
use super::server::{Desk, Query, file};
use super::{look, model, publishing, told, words};
use crate::accession::{self, Answers};
use crate::collate::ObjectGeometry;
use crate::record::{
    Bearing, BodyKind, Catalogue, DetailId, Kind, Lang, LengthUnit, Note, ObjectId, Photograph,
    SourceFile, UpAxis, ViewFrom,
};
use crate::site::{self, Form};
use axum::body::Body;
use axum::http::{Response, StatusCode};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Previews that are kept, of as many windows.
const PREVIEWS: usize = 16;
/// Endings of pictures that the page may show.
const PICTURES: [&str; 4] = ["jpg", "jpeg", "png", "webp"];

pub(super) fn get(desk: &Desk, path: &str, query: &Query) -> Result<Response<Body>, Refused> {
    let found = match path {
        "/api/desk" => told::desk(&desk.content, &desk.live.seen()),
        "/api/file" => read(desk, query.get("path"))?,
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
        "/api/picture" => return picture(desk, query.get("path")),
        "/api/model" => return drawn(desk, query.get("object"), query.get("body")),
        _ => return Err(Refused::missing("There is nothing at that address.")),
    };
    Ok(json_answer(StatusCode::OK, &found))
}

pub(super) fn post(desk: &Arc<Desk>, path: &str, body: &[u8]) -> Result<Response<Body>, Refused> {
    let done = match path {
        "/api/save" => save(desk, &asked(body)?)?,
        "/api/draft" => draft(desk, &asked(body)?)?,
        "/api/bin" => bin(desk, &asked(body)?)?,
        "/api/restore" => restore(desk, &asked(body)?)?,
        "/api/undo" => {
            let undone = desk.pen.undo((desk.clock)())?;
            desk.live.poke();
            json!(undone)
        }
        "/api/place" => placed(desk, &asked(body)?)?,
        "/api/preview" => preview(desk, &asked(body)?)?,
        "/api/still-words" => still_words(desk, &asked(body)?)?,
        "/api/name" => named(&asked(body)?),
        "/api/accession" => begun(desk, &asked(body)?)?,
        "/api/measure" => measured(desk, &asked(body)?)?,
        "/api/translated" => translated(desk, &asked(body)?)?,
        "/api/publish" => publishing::begin(desk)?,
        _ => return Err(Refused::missing("There is nothing at that address.")),
    };
    Ok(json_answer(StatusCode::OK, &done))
}

fn asked<T: DeserializeOwned>(body: &[u8]) -> Result<T, Refused> {
    serde_json::from_slice(body)
        .map_err(|e| Refused::unclear(format!("The request is unclear: {e}")))
}

/// A text file, its version, and of a record what it says.
fn read(desk: &Desk, path: &str) -> Result<Value, Refused> {
    let file = Inside::new(path)?;
    let Some(Leaf { text, version }) = desk.pen.read(&file)? else {
        return Ok(json!({ "path": path, "version": null, "text": "", "facts": null }));
    };
    let facts: Option<toml::Value> = path
        .ends_with(".toml")
        .then(|| toml::from_str(&text).ok())
        .flatten();
    Ok(
        json!({ "path": path, "version": version, "text": text, "facts": facts.as_ref().map(plain) }),
    )
}

/// TOML as JSON; days as text.
fn plain(value: &toml::Value) -> Value {
    match value {
        toml::Value::String(s) => json!(s),
        toml::Value::Integer(i) => json!(i),
        toml::Value::Float(f) => json!(f),
        toml::Value::Boolean(b) => json!(b),
        toml::Value::Datetime(d) => json!(d.to_string()),
        toml::Value::Array(all) => all.iter().map(plain).collect(),
        toml::Value::Table(table) => {
            Value::Object(table.iter().map(|(k, v)| (k.clone(), plain(v))).collect())
        }
    }
}

/// Files to be written, all or none.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Save {
    files: Vec<Written>,
    why: String,
    /// Whose drafts of these files are done with.
    window: Option<WindowId>,
}

/// One of them: a whole text, or changes of single values.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    path: String,
    version: Option<Version>,
    text: Option<String>,
    #[serde(default)]
    changes: Vec<Change>,
}

fn save(desk: &Desk, asked: &Save) -> Result<Value, Refused> {
    let mut fresh = Vec::new();
    for one in &asked.files {
        let file = Inside::new(&one.path)?;
        let text = match &one.text {
            Some(text) => text.clone(),
            None => {
                // Changes are made to what was seen; whether it is still so, the pen checks.
                let base = match (&one.version, desk.pen.read(&file)?) {
                    (None, _) => String::new(),
                    (Some(_), Some(leaf)) => leaf.text,
                    (Some(_), None) => {
                        return Err(Refused::missing(format!("‘{file}’ is no longer there.")));
                    }
                };
                amended(&file, &base, &one.changes)?
            }
        };
        fresh.push(Fresh {
            file,
            expected: one.version.clone(),
            text,
        });
    }
    let versions = desk.pen.write_all(&fresh, &asked.why, (desk.clock)())?;
    if let Some(window) = &asked.window {
        for one in &fresh {
            desk.pen.drop_draft(window, &one.file)?;
        }
    }
    desk.live.poke();
    Ok(json!({ "versions": versions }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Drafted {
    window: WindowId,
    path: String,
    base: Option<Version>,
    /// The draft is let go when there is none.
    text: Option<String>,
}

fn draft(desk: &Desk, asked: &Drafted) -> Result<Value, Refused> {
    let file = Inside::new(&asked.path)?;
    match &asked.text {
        Some(text) => desk.pen.draft(
            &asked.window,
            &file,
            asked.base.as_ref(),
            text,
            (desk.clock)(),
        )?,
        None => desk.pen.drop_draft(&asked.window, &file)?,
    }
    Ok(json!({ "kept": asked.text.is_some() }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Binning {
    path: String,
}

fn bin(desk: &Desk, asked: &Binning) -> Result<Value, Refused> {
    let what = Inside::folder(&asked.path).or_else(|_| Inside::new(&asked.path))?;
    let binned = desk.pen.bin(&what, (desk.clock)())?;
    desk.live.poke();
    Ok(json!(binned))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Restoring {
    id: BinId,
}

fn restore(desk: &Desk, asked: &Restoring) -> Result<Value, Refused> {
    let place = desk.pen.restore(&asked.id, (desk.clock)())?;
    desk.live.poke();
    Ok(json!({ "place": place.as_str() }))
}

fn geometry(desk: &Desk, object: &str) -> Result<Arc<ObjectGeometry>, Refused> {
    let seen = desk.live.seen();
    let id: Option<ObjectId> = object.parse().ok();
    id.and_then(|id| seen.geometry.get(&id).cloned())
        .ok_or_else(|| {
            Refused::missing(format!("The models of ‘{object}’ have not been read yet."))
        })
}

fn placed(desk: &Desk, asked: &place::Asked) -> Result<Value, Refused> {
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

fn drawn(desk: &Desk, object: &str, body: &str) -> Result<Response<Body>, Refused> {
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
    let bytes = model::of(shape, &desk.store).map_err(|e| Refused::cannot(e.to_string()))?;
    Ok(file("application/octet-stream", bytes))
}

/// A photograph of the folder, found through the records that name it and read without following links.
fn picture(desk: &Desk, path: &str) -> Result<Response<Body>, Refused> {
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

/// Words that are being written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Previewing {
    window: WindowId,
    object: ObjectId,
    object_title: String,
    lang: Lang,
    text: String,
    detail: Option<PreviewedDetail>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PreviewedDetail {
    id: DetailId,
    #[serde(default)]
    index: usize,
    kind: Kind,
    bearing: Bearing,
    description: Option<String>,
    #[serde(default)]
    photographs: Vec<Photograph>,
}

/// The records as they are, or as much of them as can be read.
fn catalogue(desk: &Desk) -> Result<Catalogue, Refused> {
    let seen = desk.live.seen();
    if let Some(catalogue) = &seen.catalogue {
        return Ok(catalogue.clone());
    }
    let site = seen.site.clone().ok_or_else(|| {
        Refused::cannot("There is nothing to show yet: say first who publishes the site, and in which languages.")
    })?;
    Ok(Catalogue {
        folder: desk.content.clone(),
        site,
        objects: Vec::new(),
        terms: Vec::new(),
        translations: crate::record::Translations::default(),
        today: (desk.today)(),
    })
}

fn preview(desk: &Desk, asked: &Previewing) -> Result<Value, Refused> {
    let catalogue = catalogue(desk)?;
    let folder = desk.content.join(asked.object.as_str());
    let (folder, name) = match &asked.detail {
        Some(detail) => (
            folder.join("details").join(detail.id.as_str()),
            format!("{}/details/{}/{}.md", asked.object, detail.id, asked.lang),
        ),
        None => (folder, format!("{}/{}.md", asked.object, asked.lang)),
    };
    let source = SourceFile {
        path: folder.join(format!("{}.md", asked.lang)),
        name,
        text: asked.text.clone(),
    };
    let (note, findings) = Note::read(source, asked.lang.clone());
    let detail = asked.detail.as_ref().map(|detail| site::DetailWords {
        id: detail.id.clone(),
        index: detail.index,
        kind: detail.kind,
        bearing: detail.bearing,
        description: detail.description.clone(),
        photographs: (folder.clone(), detail.photographs.clone()),
    });
    let ours = site::Words {
        object: asked.object.clone(),
        object_title: asked.object_title.clone(),
        detail,
        note,
    };
    let none = BTreeMap::new();
    let request = request(desk, &catalogue, &none);
    let shown = site::preview(&request, &ours).map_err(|e| Refused::cannot(e.to_string()))?;
    let page = format!("/preview/{}/{}", asked.window.as_str(), shown.page);
    let mut previews = desk.previews.lock().unwrap_or_else(|e| e.into_inner());
    if previews.len() >= PREVIEWS && !previews.contains_key(asked.window.as_str()) {
        previews.pop_first();
    }
    previews.insert(asked.window.as_str().to_owned(), Arc::new(shown.files));
    let remarks: Vec<Value> = findings
        .iter()
        .map(|f| json!({ "what": f.what, "remedy": f.remedy }))
        .collect();
    Ok(json!({ "page": page, "remarks": remarks }))
}

fn request<'a>(
    desk: &'a Desk,
    catalogue: &'a Catalogue,
    geometry: &'a BTreeMap<ObjectId, Arc<ObjectGeometry>>,
) -> site::Request<'a> {
    site::Request {
        catalogue,
        geometry,
        target: &desk.display,
        form: Form::Served,
        store: &desk.store,
        limits: &desk.limits,
        listener: &crate::progress::Silence,
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StillAsked {
    lang: Lang,
    body: BodyKind,
    absent: bool,
    title: String,
    view: ViewFrom,
}

fn still_words(desk: &Desk, asked: &StillAsked) -> Result<Value, Refused> {
    let catalogue = catalogue(desk)?;
    let none = BTreeMap::new();
    let request = request(desk, &catalogue, &none);
    let told = site::still_words(
        &request,
        &asked.lang,
        asked.body,
        asked.absent,
        &asked.title,
        asked.view,
    );
    Ok(json!({ "alt": told.map_err(|e| Refused::cannot(e.to_string()))? }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Naming {
    title: String,
    #[serde(default)]
    taken: Vec<String>,
}

/// A name for a folder, from a title; another when it is taken.
fn named(asked: &Naming) -> Value {
    let wanted = crate::record::suggest(&asked.title);
    let numbered = (2..).map(|n| format!("{wanted}-{n}"));
    let name = std::iter::once(wanted.clone())
        .chain(numbered)
        .find(|n| !asked.taken.contains(n));
    json!({ "name": name })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Beginning {
    id: ObjectId,
    answers: Answers,
}

fn begun(desk: &Desk, asked: &Beginning) -> Result<Value, Refused> {
    let begun = accession::begin(&desk.pen, &asked.id, &asked.answers, (desk.clock)())?;
    desk.live.poke();
    Ok(json!(begun))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Measuring {
    path: String,
    unit: Option<LengthUnit>,
    #[serde(default)]
    up: UpAxis,
}

/// A scan that has just come in: in which units it may be, and once that is said, what it measures.
fn measured(desk: &Arc<Desk>, asked: &Measuring) -> Result<Value, Refused> {
    let inside = Inside::new(&asked.path)?;
    let missing = || Refused::missing(format!("There is no ‘{inside}’."));
    let root = desk.content.canonicalize().map_err(|_| missing())?;
    let path = root
        .join(inside.as_str())
        .canonicalize()
        .map_err(|_| missing())?;
    if !path.starts_with(&root) {
        return Err(missing());
    }
    let unfit = |e: crate::mesh::MeshError| {
        Refused::cannot(format!("The scan cannot be used: {}. {}", e.what, e.remedy))
    };
    let Some(unit) = asked.unit else {
        let choices = accession::unit_choices(&path, &desk.limits).map_err(unfit)?;
        return Ok(json!({ "units": choices }));
    };
    let teller = Measurer(desk);
    let scan = accession::look(&path, unit, asked.up, &desk.limits, &teller).map_err(unfit)?;
    Ok(json!({ "scan": scan.json(), "plain": scan.plain() }))
}

struct Measurer<'a>(&'a Desk);

impl crate::progress::Listener for Measurer<'_> {
    fn progress(&self, done: usize, total: usize, what: &str) {
        self.0
            .tell(&json!({ "measured": { "done": done, "total": total, "what": what } }));
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Translated {
    note: String,
    source: String,
    why: String,
}

/// Says that a translation says what its source says now.
fn translated(desk: &Desk, asked: &Translated) -> Result<Value, Refused> {
    let (file, source) = (Inside::new(&asked.note)?, Inside::new(&asked.source)?);
    let gone = |what: &Inside| Refused::missing(format!("There is no ‘{what}’."));
    let note = desk.pen.read(&file)?.ok_or_else(|| gone(&file))?;
    let from = desk.pen.read(&source)?.ok_or_else(|| gone(&source))?;
    let digest = crate::record::wording_digest(&from.text);
    let note = Fresh {
        file,
        expected: Some(note.version),
        text: note.text,
    };
    desk.pen
        .write_translation(&note, &source, &digest, &asked.why, (desk.clock)())?;
    desk.live.poke();
    Ok(json!({ "said": true }))
}
