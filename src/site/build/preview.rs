//! The page of words that are being written.

use super::detail::{bearing_facts, kind_name, kind_word};
use super::resolve::Resolver;
use super::{Made, Site, alternative};
use crate::record::words::Passage;
use crate::record::{BodyKind, Lang, ViewFrom};
use crate::site::address::Page;
use crate::site::assets::ThemeFiles;
use crate::site::everywhere::Social;
use crate::site::page::{Described, DetailPage, ObjectHead};
use crate::site::pictures::Pictures;
use crate::site::preview::Words as Ours;
use crate::site::render::Renderer;
use crate::site::words::Words;
use crate::site::{Request, SiteError, figures};
use std::collections::BTreeMap;

/// A page with its file name.
pub(in crate::site) struct Composed {
    pub(in crate::site) page: String,
    pub(in crate::site) html: Vec<u8>,
}

pub(in crate::site) fn one(
    request: &Request<'_>,
    words: &BTreeMap<Lang, Words>,
    theme: &ThemeFiles,
    pictures: &Pictures,
    renderer: &Renderer,
    ours: &Ours,
) -> Result<Composed, SiteError> {
    let lang = &ours.note.lang;
    let (social, nothing) = (Social::default(), BTreeMap::new());
    let made = Made {
        theme,
        pictures,
        social: &social,
        told: &nothing,
    };
    let site = Site::speaking(lang, request, words, made)?;
    let renderer = renderer.speaking(site.words)?;
    let object_page = Page::Object(ours.object.clone());
    let page = match &ours.detail {
        Some(detail) => Page::Detail(ours.object.clone(), detail.id.clone()),
        None => object_page.clone(),
    };
    let here = site.address(&page);
    let object = request.catalogue.object(&ours.object);
    let detail = ours.detail.as_ref();
    let none = Default::default();
    let (folder, photographs) = detail.map_or(&none, |d| &d.photographs);
    let resolver = Resolver {
        site: &site,
        here: here.clone(),
        object,
        folder: Some(folder),
        photographs,
    };
    let note = &ours.note;
    let heading = format!("{} – {}", note.title, ours.object_title);
    let mut frame = site.frame(&page, &heading, &note.lead_text())?;
    if let Some(object) = object {
        frame.sections = site.subject_sections(object, &page)?;
    }
    let head = ObjectHead {
        id: ours.object.to_string(),
        title: ours.object_title.clone(),
        href: here.to(&site.address(&object_page)),
        number: String::new(),
        name: String::new(),
        date: String::new(),
    };
    let words_html = site.html(note, Passage::Whole, 2, &resolver)?;
    let html = match detail {
        None => renderer.page(
            "note-alone.html",
            &serde_json::json!({ "frame": frame, "title": note.title, "words_html": words_html }),
        )?,
        Some(detail) => {
            let mut shown = Vec::new();
            if let Some(object) = object {
                for photograph in photographs.iter() {
                    if !note.pictures.iter().any(|p| p.file == photograph.file) {
                        shown.push(site.photograph(&here, object, folder, photograph)?);
                    }
                }
            }
            let kind = kind_word(detail.kind);
            renderer.page(
                "detail.html",
                &DetailPage {
                    frame,
                    object: head,
                    letter: figures::letter(detail.index),
                    title: note.title.clone(),
                    kind,
                    kind_word: kind_name(detail.kind, site.words)?,
                    kind_meaning: site.words.get(&format!("kind_{kind}_meaning"))?.to_owned(),
                    words_html,
                    bearing: bearing_facts(&detail.bearing, site.words)?,
                    stills: Vec::new(),
                    raking: None,
                    photographs: shown,
                    recordings: Vec::new(),
                    described: detail.description.as_ref().map(|text| Described {
                        text: text.clone(),
                        spoken: None,
                    }),
                    facts: Vec::new(),
                    on_model_href: format!(
                        "{}#{}",
                        here.to(&site.address(&object_page)),
                        detail.id
                    ),
                    previous: None,
                    next: None,
                },
            )?
        }
    };
    Ok(Composed {
        page: here.file(),
        html,
    })
}

/// The first sentences of a still's alternative text.
pub(in crate::site) fn still_words(
    words: &Words,
    body: BodyKind,
    absent: bool,
    title: &str,
    from: ViewFrom,
) -> Result<String, SiteError> {
    let stem = if absent { "alt_place" } else { "alt_detail" };
    let key = format!("{stem}_{}", body.word());
    let first = alternative::ended(&words.fill(&key, &[("title", title)])?);
    let seen = words.fill("alt_seen", &[("view", &alternative::view(from, words)?)])?;
    Ok(format!("{first} {seen}"))
}
