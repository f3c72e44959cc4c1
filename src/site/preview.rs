//! One page before it is published: the site's own template, styles and rendering of notes, without
//! stills, which take longer than typing.

use super::assets::{Assets, add_theme};
use super::build::{self, Composed};
use super::files::Files;
use super::pictures::Pictures;
use super::render::Renderer;
use super::theme::Theme;
use super::{Form, Request, SiteError, words};
use crate::record::{
    Bearing, BodyKind, DetailId, Kind, Lang, Note, ObjectId, Photograph, ViewFrom,
};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Words that somebody is writing, and what they belong to.
#[derive(Debug, Clone)]
pub struct Words {
    /// The object.
    pub object: ObjectId,
    /// Its title, as the page names it.
    pub object_title: String,
    /// The detail, when they are a detail's; else they are the object's own.
    pub detail: Option<DetailWords>,
    /// The note.
    pub note: Note,
}

/// What the page of a detail says beside its words.
#[derive(Debug, Clone)]
pub struct DetailWords {
    /// Which.
    pub id: DetailId,
    /// Its place in the key, from 0.
    pub index: usize,
    /// What sort of thing it is.
    pub kind: Kind,
    /// How it stands on each body.
    pub bearing: Bearing,
    /// What someone who cannot see it is told.
    pub description: Option<String>,
    /// The folder of its photographs, and those.
    pub photographs: (PathBuf, Vec<Photograph>),
}

/// A page and all files that it needs, by path relative to the root of the site.
#[derive(Debug)]
pub struct Previewed {
    /// The page.
    pub page: String,
    /// It and the others.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// Renders one page. Of the request only records, store and limits are used.
///
/// # Errors
/// A link that leads nowhere, a photograph that cannot be read, a language without interface words.
pub fn preview(request: &Request<'_>, ours: &Words) -> Result<Previewed, SiteError> {
    let catalogue = request.catalogue;
    let theme = theme_of(request)?;
    let all_words = words::read(&theme, &catalogue.site.languages)?;
    let renderer = Renderer::new(&theme)?;
    let assets = Assets::of(Form::Served, Files::held());
    let files = add_theme(&theme, &catalogue.site.kiosk, &assets)?;
    let mut pictures = Pictures::default();
    if let Some(detail) = &ours.detail {
        let (folder, photographs) = &detail.photographs;
        super::pictures::photographs_of(
            request,
            &ours.object,
            folder,
            photographs,
            &assets,
            &mut pictures,
        )?;
    }
    let Composed { page, html } =
        build::one(request, &all_words, &files, &pictures, &renderer, ours)?;
    let mut files = assets.into_files().into_held();
    files.insert(page.clone(), html);
    Ok(Previewed { page, files })
}

/// The site's stylesheet and fonts, for pages that are to look like it.
///
/// # Errors
/// A theme that cannot be used.
pub fn dress(
    theme: Option<&std::path::Path>,
) -> Result<(String, BTreeMap<String, Vec<u8>>), SiteError> {
    let theme = match theme {
        Some(folder) => Theme::with_folder(folder)?,
        None => Theme::built_in(),
    };
    let assets = Assets::of(Form::Served, Files::held());
    let files = add_theme(&theme, &crate::record::Kiosk::default(), &assets)?;
    Ok((files.stylesheet, assets.into_files().into_held()))
}

/// What the program will say of a detail's still to those who cannot see it, as far as it is known
/// before the still is taken.
///
/// # Errors
/// Interface words that are missing.
pub fn still_words(
    request: &Request<'_>,
    lang: &Lang,
    body: BodyKind,
    absent: bool,
    title: &str,
    from: ViewFrom,
) -> Result<String, SiteError> {
    let theme = theme_of(request)?;
    let all = words::read(&theme, std::slice::from_ref(lang))?;
    let own = all
        .get(lang)
        .ok_or_else(|| SiteError::Words(format!("no words for ‘{lang}’")))?;
    build::still_words(own, body, absent, title, from)
}

fn theme_of(request: &Request<'_>) -> Result<Theme, SiteError> {
    let catalogue = request.catalogue;
    match &catalogue.site.look.theme {
        Some(folder) => Theme::with_folder(&catalogue.folder.join(folder)),
        None => Ok(Theme::built_in()),
    }
}
