//! Words that are being written, as the site will show them.

use crate::collate::ObjectGeometry;
use crate::desk::pen::WindowId;
use crate::desk::refused::Refused;
use crate::desk::server::Desk;
use crate::messages::Messages;
use crate::record::{
    Bearing, BodyKind, Catalogue, DetailId, Kind, Lang, Note, ObjectId, Photograph, SourceFile,
    Sources, ViewFrom,
};
use crate::site::{self, Form};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Previews that are kept, of as many windows.
const PREVIEWS: usize = 16;

/// Words that are being written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Previewing {
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

pub(super) fn preview(
    desk: &Desk,
    asked: &Previewing,
    messages: &Messages,
) -> Result<Value, Refused> {
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
    let none = (BTreeMap::new(), Sources::default());
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
        .map(|f| json!({ "what": messages.say(&f.what), "remedy": messages.say(&f.remedy) }))
        .collect();
    Ok(json!({ "page": page, "remarks": remarks }))
}

fn request<'a>(
    desk: &'a Desk,
    catalogue: &'a Catalogue,
    (geometry, sources): &'a (BTreeMap<ObjectId, Arc<ObjectGeometry>>, Sources),
) -> site::Request<'a> {
    site::Request {
        catalogue,
        geometry,
        only: None,
        sources,
        target: &desk.display,
        form: Form::Served,
        store: &desk.store,
        limits: &desk.limits,
        listener: &crate::progress::Silence,
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StillAsked {
    lang: Lang,
    body: BodyKind,
    absent: bool,
    title: String,
    view: ViewFrom,
}

pub(super) fn still_words(desk: &Desk, asked: &StillAsked) -> Result<Value, Refused> {
    let catalogue = catalogue(desk)?;
    let none = (BTreeMap::new(), Sources::default());
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
