//! Where the links and pictures of a note lead, seen from one page.

use super::Site;
use super::alternative::ended;
use crate::record::words::{LinkTarget, Passage, Resolve, ResolvedPicture, to_html};
use crate::record::{Note, Object, ObjectId, Photograph, Rights, Use};
use crate::site::address::{Address, Page};
use crate::site::page::CaptionedPicture;
use crate::site::{Form, SiteError};
use std::path::Path;

/// Resolves for one page.
pub(super) struct Resolver<'a> {
    pub(super) site: &'a Site<'a>,
    pub(super) here: Address,
    /// The object that plain `detail:` and `step:` links belong to, if the note has one.
    pub(super) object: Option<&'a Object>,
    /// Folder of the note, and the photographs declared in its record.
    pub(super) folder: Option<&'a Path>,
    pub(super) photographs: &'a [Photograph],
}

impl Resolver<'_> {
    fn page(&self, page: &Page) -> String {
        self.here.to(&self.site.address(page))
    }

    /// A page of an object. One that is not published here is pointed at by its public address.
    fn page_of(&self, object: ObjectId, page: impl FnOnce(ObjectId) -> Page) -> String {
        let site = self.site;
        if site.catalogue.object(&object).is_some() {
            return self.page(&page(object));
        }
        let first = site.catalogue.site.languages.first().unwrap_or(site.lang);
        let there = Address::of(&page(object), site.lang, first, Form::Served);
        format!("{}{}", site.catalogue.site.address, there.below_root())
    }
}

impl Resolve for Resolver<'_> {
    fn link(&self, target: &LinkTarget) -> Option<String> {
        let own = || self.object.map(|o| o.id.clone());
        match target {
            LinkTarget::Detail { object, detail } => {
                let object: ObjectId = match object {
                    Some(id) => id.parse().ok()?,
                    None => own()?,
                };
                let detail = detail.parse().ok()?;
                Some(self.page_of(object, |object| Page::Detail(object, detail)))
            }
            LinkTarget::Step(step) => Some(format!("{}#{step}", self.page(&Page::Making(own()?)))),
            LinkTarget::Term(term) => Some(format!("{}#{term}", self.page(&Page::Glossary))),
            LinkTarget::Source(source) => Some(format!(
                "{}#source-{source}",
                self.page(&Page::Evidence(own()?))
            )),
            LinkTarget::Object(id) => Some(self.page_of(id.parse().ok()?, Page::Object)),
            LinkTarget::Web(address) | LinkTarget::Place(address) => Some(address.clone()),
            LinkTarget::Lang(_) | LinkTarget::Unknown(_) => None,
        }
    }

    fn picture(&self, file: &str) -> Option<ResolvedPicture> {
        let photograph = self.photographs.iter().find(|p| p.file == file)?;
        let shown = self
            .site
            .photograph(&self.here, self.object?, self.folder?, photograph)
            .ok()?;
        Some(ResolvedPicture {
            webp: shown.picture.webp,
            fallback: shown.picture.fallback,
            src: shown.picture.src,
            width: shown.picture.width,
            height: shown.picture.height,
            alt: shown.picture.alt,
            caption: shown.caption,
            credit: shown.credit,
            printed: shown.printed,
        })
    }

    fn left_out(&self, file: &str) -> bool {
        self.folder
            .is_some_and(|folder| self.site.pictures.left_out.holds(&folder.join(file)))
    }
}

impl Site<'_> {
    /// A photograph of a record, with its caption and credit.
    pub(super) fn photograph(
        &self,
        here: &Address,
        object: &Object,
        folder: &Path,
        photograph: &Photograph,
    ) -> Result<CaptionedPicture, SiteError> {
        let path = folder.join(&photograph.file);
        let files = self.pictures.photographs.get(&path).ok_or_else(|| {
            SiteError::Picture(format!("the photograph {} was not made", path.display()))
        })?;
        let rights = object
            .record
            .rights
            .iter()
            .find(|r| r.id == photograph.rights);
        let rights = rights.ok_or_else(|| {
            SiteError::Picture(format!("the photograph {} has no rights", path.display()))
        })?;
        let caption = match &photograph.caption {
            Some(caption) => Some(self.text(caption)?.to_owned()),
            None => None,
        };
        Ok(CaptionedPicture {
            picture: files.seen_from(here, ended(self.text(&photograph.alt)?)),
            caption,
            credit: self.credit(rights)?,
            statement: rights.statement.to_string(),
            printed: rights.permits(Use::Print, self.catalogue.today),
        })
    }

    /// "Brackwater Museum, CC BY 4.0"
    pub(super) fn credit(&self, rights: &Rights) -> Result<String, SiteError> {
        let holder = match &rights.credit {
            Some(credit) => self.text(credit)?,
            None => &rights.holder,
        };
        Ok(format!("{holder}, {}", rights.statement.label()))
    }

    /// Words of a note as they stand on the page at `here`.
    pub(super) fn html(
        &self,
        note: &Note,
        passage: Passage,
        heading: u8,
        resolver: &dyn Resolve,
    ) -> Result<String, SiteError> {
        to_html(note, passage, heading, resolver, &self.spoken)
            .map_err(|e| SiteError::Words(format!("{}: {e}", note.source.name)))
    }
}
