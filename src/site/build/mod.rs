//! Page models of every language, composed from records, geometry and pictures.

mod alternative;
mod bodies;
mod data;
mod detail;
mod differs;
mod evidence;
mod find;
mod frame;
mod ground;
mod handout;
mod kiosk;
mod lists;
mod making;
mod moved;
mod object;
mod paper;
mod plates;
mod preview;
mod printing;
mod raised;
mod raking;
mod recordings;
mod resolve;
mod rights;
mod said;
mod scale;
mod whole;

pub(super) use ground::grounds;
pub(super) use moved::Moved;
pub(super) use preview::{Composed, one, still_words};
pub(crate) use said::Said;
pub(super) use said::said;

use super::address::{Address, Page};
use super::assets::{Assets, ThemeFiles};
use super::earlier::Kept;
use super::everywhere::Social;
use super::lists::Lists;
use super::pictures::{ObjectPictures, Pictures};
use super::render::{Renderer, Speaking};
use super::told::Told;
use super::words::Words;
use super::{Form, Request, SiteError};
use crate::collate::ObjectGeometry;
use crate::record::words::SpokenWords;
use crate::record::{ByLang, Catalogue, Lang, Localised, Note, Object, ObjectId, Sources};
use rayon::prelude::*;
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// What is made once for all languages, before any page.
#[derive(Clone, Copy)]
pub(super) struct Made<'a> {
    pub(super) theme: &'a ThemeFiles,
    pub(super) pictures: &'a Pictures,
    pub(super) social: &'a Social,
    pub(super) told: &'a BTreeMap<ObjectId, Told>,
}

/// Everything that a page of one language is composed from.
pub(super) struct Site<'a> {
    pub(super) catalogue: &'a Catalogue,
    pub(super) form: Form,
    pub(super) lang: &'a Lang,
    pub(super) words: &'a Words,
    pub(super) all_words: &'a BTreeMap<Lang, Words>,
    pub(super) spoken: SpokenWords,
    pub(super) theme: &'a ThemeFiles,
    pub(super) pictures: &'a Pictures,
    pub(super) social: &'a Social,
    pub(super) told: &'a BTreeMap<ObjectId, Told>,
    pub(super) sources: &'a Sources,
}

impl<'a> Site<'a> {
    /// The site in one of its languages.
    fn speaking(
        lang: &'a Lang,
        request: &Request<'a>,
        words: &'a BTreeMap<Lang, Words>,
        made: Made<'a>,
    ) -> Result<Site<'a>, SiteError> {
        let own = words.get(lang).ok_or_else(|| {
            SiteError::Words(format!(
                "‘{lang}’ is no language of the site; add it to site.toml"
            ))
        })?;
        Ok(Site {
            catalogue: request.catalogue,
            form: request.form,
            lang,
            words: own,
            all_words: words,
            spoken: SpokenWords::from_words(lang, own.all()).map_err(SiteError::Words)?,
            theme: made.theme,
            pictures: made.pictures,
            social: made.social,
            told: made.told,
            sources: request.sources,
        })
    }
}

/// One object within a site of one language.
pub(super) struct Subject<'a> {
    pub(super) site: &'a Site<'a>,
    pub(super) object: &'a Object,
    pub(super) geometry: &'a ObjectGeometry,
    pub(super) pictures: &'a ObjectPictures,
    /// The file of its square code, drawn once for all its sheets.
    pub(super) code: OnceLock<String>,
}

/// Composes and renders all pages, and adds them to the files of the site. Objects that are kept have theirs.
pub(super) fn all(
    request: &Request<'_>,
    words: &BTreeMap<Lang, Words>,
    made: Made<'_>,
    kept: &Kept<'_>,
    assets: &Assets,
    renderer: &Renderer,
) -> Result<(), SiteError> {
    let listed = Lists::of(request.catalogue);
    let objects = request.catalogue.objects.iter().map(AsRef::as_ref);
    let objects: Vec<&Object> = objects.filter(|o| !kept.holds(&o.id)).collect();
    let languages = &request.catalogue.site.languages;
    languages.par_iter().try_for_each(|lang| {
        let site = Site::speaking(lang, request, words, made)?;
        let renderer = &renderer.speaking(site.words)?;
        let press = Press {
            site: &site,
            assets,
            renderer,
        };
        above_objects(&press, &listed, request)?;
        objects.par_iter().try_for_each(|object| {
            let subject = site.subject(request, object)?;
            let assets = &assets.of_object(&object.id);
            of_object(&subject, &listed, assets, renderer, &|page, html| {
                assets.files().put(&site.address(&page).file(), html);
            })?;
            moved::add(&site, object, assets, renderer)
        })
    })
}

/// Renders pages that are of no one object, of which there are many: those whose model is as it was are not
/// rendered again.
struct Press<'a> {
    site: &'a Site<'a>,
    assets: &'a Assets,
    renderer: &'a Speaking,
}

impl Press<'_> {
    fn add(&self, page: &Page, template: &str, model: &impl Serialize) -> Result<(), SiteError> {
        let path = self.site.address(page).file();
        let mark = self.renderer.mark(template, model)?;
        let files = self.assets.files();
        if !files.stands_made_of(&path, &mark) {
            files.put_made_of(&path, mark, self.renderer.page(template, model)?);
        }
        Ok(())
    }
}

/// The pages of a language that are of no one object.
fn above_objects(
    press: &Press<'_>,
    listed: &Lists,
    request: &Request<'_>,
) -> Result<(), SiteError> {
    let site = press.site;
    press.add(&Page::Home, "home.html", &whole::home(site, listed)?)?;
    let lists = listed.pages();
    lists
        .par_iter()
        .try_for_each(|page| lists::add(press, listed, page))?;
    press.add(&Page::Glossary, "glossary.html", &whole::glossary(site)?)?;
    let (finder, files) = find::page(site)?;
    press.add(&Page::Find, "find.html", &finder)?;
    press.assets.add_beside(files);
    press.add(&Page::Kiosk, "kiosk-all.html", &kiosk::page(site, listed)?)?;
    if request.catalogue.site.kiosk.tally {
        press.add(&Page::KioskTally, "kiosk-tally.html", &kiosk::tally(site)?)?;
    }
    if request.form == Form::Served {
        press.add(&Page::NotKept, "not-kept.html", &whole::not_kept(site)?)?;
    }
    Ok(())
}

/// The pages of an object.
fn of_object(
    subject: &Subject<'_>,
    listed: &Lists,
    assets: &Assets,
    renderer: &Speaking,
    add: &dyn Fn(Page, Vec<u8>),
) -> Result<(), SiteError> {
    let object = subject.object;
    let id = || object.id.clone();
    add(
        Page::Object(id()),
        renderer.page("object.html", &object::page(subject)?)?,
    );
    for (page, alone) in [
        (Page::KioskObject(id()), false),
        (Page::KioskAlone(id()), true),
    ] {
        add(
            page,
            renderer.page("kiosk.html", &kiosk::object(subject, listed, alone)?)?,
        );
    }
    add(
        Page::Rights(id()),
        renderer.page("rights.html", &rights::page(subject)?)?,
    );
    let sheets = subject.sheets();
    if sheets.words {
        add(
            Page::Label(id()),
            renderer.page("label.html", &paper::label(subject, assets)?)?,
        );
        add(
            Page::LargePrint(id()),
            renderer.page("large-print.html", &paper::large_print(subject)?)?,
        );
    }
    if sheets.plate() {
        add(
            Page::Handout(id()),
            renderer.page("handout.html", &handout::page(subject, assets)?)?,
        );
    }
    if sheets.raised() {
        add(
            Page::RaisedLines(id()),
            renderer.page("raised-lines.html", &raised::page(subject, assets)?)?,
        );
    }
    add(
        Page::Data(id()),
        renderer.page("data.html", &subject.data_page()?)?,
    );
    add(
        Page::Evidence(id()),
        renderer.page("evidence.html", &ground::page(subject)?)?,
    );
    if object.record.bodies.replica.is_some() {
        add(
            Page::Differs(id()),
            renderer.page("differs.html", &differs::page(subject)?)?,
        );
    }
    if !object.making.is_empty() {
        add(
            Page::Making(id()),
            renderer.page("making.html", &making::page(subject)?)?,
        );
    }
    for (index, own) in object.details.iter().enumerate() {
        add(
            Page::Detail(id(), own.id.clone()),
            renderer.page("detail.html", &detail::page(subject, index)?)?,
        );
    }
    Ok(())
}

impl<'a> Site<'a> {
    pub(super) fn address(&self, page: &Page) -> Address {
        self.address_in(page, self.lang)
    }

    pub(super) fn address_in(&self, page: &Page, lang: &Lang) -> Address {
        // Reading has checked that a site has at least one language.
        let first = self.catalogue.site.languages.first().unwrap_or(lang);
        Address::of(page, lang, first, self.form)
    }

    /// A text in the page's language.
    pub(super) fn text<'t>(&self, text: &'t Localised) -> Result<&'t str, SiteError> {
        text.get(self.lang).ok_or_else(|| {
            SiteError::Words(format!(
                "a record has a text that lacks the language ‘{}’",
                self.lang
            ))
        })
    }

    /// A note in the page's language.
    pub(super) fn note<'n>(&self, notes: &'n ByLang<Note>) -> Result<&'n Note, SiteError> {
        notes
            .get(self.lang)
            .ok_or_else(|| SiteError::Words(format!("a note lacks the language ‘{}’", self.lang)))
    }

    pub(super) fn subject(
        &'a self,
        request: &'a Request<'_>,
        object: &'a Object,
    ) -> Result<Subject<'a>, SiteError> {
        let missing = || SiteError::Picture(format!("no geometry or pictures for ‘{}’", object.id));
        Ok(Subject {
            site: self,
            object,
            geometry: request.geometry.get(&object.id).ok_or_else(missing)?,
            pictures: self.pictures.objects.get(&object.id).ok_or_else(missing)?,
            code: OnceLock::new(),
        })
    }
}
