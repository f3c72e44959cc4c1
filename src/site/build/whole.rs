//! Pages above the objects: home and glossary.

use super::Site;
use super::lists::many;
use super::resolve::Resolver;
use crate::record::Object;
use crate::record::words::Passage;
use crate::site::address::Page;
use crate::site::lists::Lists;
use crate::site::page::{Card, GlossaryPage, GlossaryTerm, HomePage, NotKeptPage, SectionLink};
use crate::site::{SiteError, figures};
use std::collections::BTreeMap;
use std::sync::Arc;

pub(super) fn home(site: &Site<'_>, lists: &Lists) -> Result<HomePage, SiteError> {
    let introduction = site.text(&site.catalogue.site.introduction)?.to_owned();
    let name = site.text(&site.catalogue.site.name)?;
    let mut frame = site.frame(&Page::Home, name, &introduction)?;
    let mut cards = Vec::new();
    let many = if lists.are_many() {
        site.ask_on(&mut frame);
        Some(many(site, lists)?)
    } else {
        let objects = site.catalogue.objects.iter();
        let all = objects.map(|object| card(site, object, &Page::Home));
        cards = all.collect::<Result<_, _>>()?;
        None
    };
    Ok(HomePage {
        frame,
        introduction,
        cards,
        many,
    })
}

/// An object among all, on `page`.
pub(super) fn card(site: &Site<'_>, object: &Object, page: &Page) -> Result<Card, SiteError> {
    let here = site.address(page);
    let note = site.note(&object.notes)?;
    let resolver = Resolver {
        site,
        here: here.clone(),
        object: Some(object),
        folder: Some(&object.folder),
        photographs: &[],
    };
    let shown = object.shown_body();
    let plate = site.pictures.shown.get(&object.id);
    let plate = plate.ok_or_else(|| SiteError::Picture(format!("no plate of ‘{}’", object.id)))?;
    let told = site.plate_told(object, shown, &plate.camera, &BTreeMap::new())?;
    Ok(Card {
        object: site.object_head(object, page)?,
        lead_html: site.html(note, Passage::Lead, 3, &resolver)?,
        picture: plate.files.seen_from(&here, told.alt),
        standing: site.standing(object)?,
        details: site
            .words
            .fill("details_count", &[("n", &object.details.len().to_string())])?,
    })
}

impl Site<'_> {
    /// One plain sentence: what the visitor is looking at, and where the original is.
    pub(super) fn standing(&self, object: &Object) -> Result<String, SiteError> {
        let bodies = &object.record.bodies;
        let original = self.text(&bodies.original.location)?;
        match &bodies.replica {
            Some(replica) => self.words.fill(
                "standing_replica",
                &[
                    ("original", original),
                    ("replica", self.text(&replica.location)?),
                ],
            ),
            None => self
                .words
                .fill("standing_original", &[("original", original)]),
        }
    }
}

/// What a visitor without a network sees in place of a page that was not kept.
pub(super) fn not_kept(site: &Site<'_>) -> Result<NotKeptPage, SiteError> {
    let heading = site.words.get("not_kept")?;
    let frame = site.frame(&Page::NotKept, heading, site.words.get("not_kept_why")?)?;
    let here = site.address(&Page::NotKept);
    let object = |object: &Arc<Object>| -> Result<_, SiteError> {
        Ok(SectionLink {
            text: site.note(&object.notes)?.title.clone(),
            href: here.to(&site.address(&Page::Object(object.id.clone()))),
            current: false,
        })
    };
    let all = &site.catalogue.objects;
    let shown = all.len().min(site.catalogue.site.look.objects());
    let objects = all[..shown].iter().map(object);
    Ok(NotKeptPage {
        frame,
        objects: objects.collect::<Result<_, _>>()?,
        others: match shown < all.len() {
            true => Some(site.section(&Page::NotKept, &Page::Home, "all_objects")?),
            false => None,
        },
    })
}

pub(super) fn glossary(site: &Site<'_>) -> Result<GlossaryPage, SiteError> {
    let heading = site.words.get("glossary")?;
    let frame = site.frame(
        &Page::Glossary,
        heading,
        site.words.get("glossary_description")?,
    )?;
    let resolver = Resolver {
        site,
        here: site.address(&Page::Glossary),
        object: None,
        folder: None,
        photographs: &[],
    };
    let mut terms = Vec::new();
    for term in &site.catalogue.terms {
        let note = site.note(&term.notes)?;
        terms.push(GlossaryTerm {
            id: term.id.to_string(),
            formerly: term
                .record
                .formerly
                .iter()
                .map(ToString::to_string)
                .collect(),
            title: note.title.clone(),
            words_html: site.html(note, Passage::Whole, 3, &resolver)?,
        });
    }
    terms.sort_by_key(|t| figures::sort_key(&t.title));
    Ok(GlossaryPage { frame, terms })
}
