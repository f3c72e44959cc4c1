//! What pages tell to machines, and the page that lists every format of an object.

use super::frame::Script;
use super::{Site, Subject};
use crate::formats::{Format, Telling};
use crate::linked::search::{Crumb, Paged, for_page, in_script};
use crate::record::DetailId;
use crate::site::address::{Address, Page};
use crate::site::page::{Alternate, DataFile, DataPage, DataRow};
use crate::site::told::{Listed, Told};
use crate::site::{Form, SiteError, figures};

impl Site<'_> {
    /// The address of a page at which the public finds it, whatever the form of this site.
    fn public(&self, page: &Page) -> String {
        let first = self.catalogue.site.languages.first();
        let at = Address::of(page, self.lang, first.unwrap_or(self.lang), Form::Served);
        format!("{}{}", self.catalogue.site.address, at.below_root())
    }

    /// The block of data of a page.
    pub(super) fn data(
        &self,
        page: &Page,
        heading: &str,
        description: &str,
        telling: Option<&Telling<'_>>,
    ) -> Result<String, SiteError> {
        let crumb = |page: &Page, name: &str| Crumb {
            name: name.to_owned(),
            address: self.public(page),
        };
        let mut way = vec![crumb(&Page::Home, self.text(&self.catalogue.site.name)?)];
        let object = page.object().and_then(|id| self.catalogue.object(id));
        if let Some(object) = object {
            let title = &self.note(&object.notes)?.title;
            let page = Page::Object(object.id.clone());
            way.push(crumb(&page, title));
        }
        let main = matches!(page, Page::Object(_));
        if !main && *page != Page::Home {
            way.push(crumb(page, heading));
        }
        let paged = Paged {
            catalogue: self.catalogue,
            lang: self.lang,
            address: self.public(page),
            name: heading.to_owned(),
            description: description.to_owned(),
            way,
            home: *page == Page::Home,
        };
        let data = for_page(&paged, telling.map(|telling| (telling, main)));
        Ok(in_script(&data))
    }
}

impl Subject<'_> {
    /// What the object is told from; nothing when a page is shown before it is published.
    pub(super) fn telling(&self) -> Option<Telling<'_>> {
        let told = self.site.told.get(&self.object.id)?;
        Some(Telling {
            catalogue: self.site.catalogue,
            object: self.object,
            sources: self.site.sources,
            geometry: self.geometry,
            served: &told.served,
            claims: &told.grounds.claims,
            said: &told.grounds.said,
        })
    }

    fn documents(&self) -> &[Listed] {
        let told = self.site.told.get(&self.object.id);
        told.map_or(&[], |told| &told.documents)
    }

    /// The same object in the formats that programs look for from its page.
    pub(super) fn alternates(&self, page: &Page) -> Vec<Alternate> {
        let here = self.site.address(page);
        let whole = |d: &&Listed| match d.format {
            Format::LinkedArt => !d.name.contains("-model") && !d.name.contains("-shown"),
            Format::Annotations => !d.name.contains('/'),
            Format::DublinCore | Format::Manifest | Format::Lido | Format::Paradata => true,
            Format::SchemaOrg | Format::Edition | Format::Csv | Format::Context => false,
        };
        let all = self.documents().iter().filter(whole);
        all.map(|d| Alternate {
            media_type: d.media_type,
            title: d.format.standard(),
            href: here.to_file(&Told::path(&self.object.id, d)),
        })
        .collect()
    }

    /// The page of all formats.
    pub(super) fn data_page(&self) -> Result<DataPage, SiteError> {
        let words = self.site.words;
        let page = Page::Data(self.object.id.clone());
        let heading = words.get("data_heading")?;
        let mut rows = Vec::new();
        for format in Format::ALL {
            let all = self.documents().iter().filter(|d| d.format == format);
            let all: Vec<&Listed> = all.collect();
            if !all.is_empty() {
                rows.push(self.data_row(&page, format, &all)?);
            }
        }
        Ok(DataPage {
            frame: self.frame(&page, heading, words.get("data_description")?, Script::None)?,
            object: self.head(&page)?,
            rows,
            kept_away: self.site.form == Form::Served,
            rights_href: {
                let rights = Page::Rights(self.object.id.clone());
                self.site.address(&page).to(&self.site.address(&rights))
            },
        })
    }

    fn data_row(&self, page: &Page, format: Format, all: &[&Listed]) -> Result<DataRow, SiteError> {
        let (site, words, word) = (self.site, self.site.words, format.word());
        let here = site.address(page);
        let own =
            |key: &str| Ok::<_, SiteError>(words.get(&format!("data_{word}_{key}"))?.to_owned());
        let mut languages = Vec::new();
        for lang in &site.catalogue.site.languages {
            let theirs = site.all_words.get(lang);
            let theirs =
                theirs.ok_or_else(|| SiteError::Words(format!("no words for ‘{lang}’")))?;
            let key = format!("data_language_{}", lang.primary());
            languages.push(match words.get(&key) {
                Ok(name) => name.to_owned(),
                Err(_) => theirs.get("language_name")?.to_owned(),
            });
        }
        let languages = languages.join(words.get("list_separator")?);
        let mut files = Vec::new();
        for document in all {
            files.push(DataFile {
                label: self.document_label(document)?,
                href: here.to_file(&Told::path(&self.object.id, document)),
                media_type: document.media_type,
                size: figures::file_size(document.bytes, words)?,
            });
        }
        Ok(DataRow {
            id: word.replace('_', "-"),
            name: own("name")?,
            what: own("what")?,
            who: own("who")?,
            standard: format.standard(),
            draft: format.is_draft(),
            languages: match format {
                Format::Context => words.get("data_no_language")?.to_owned(),
                Format::Edition => words.fill("data_lettering", &[("languages", &languages)])?,
                _ => languages,
            },
            files,
        })
    }

    /// What a link to a document says.
    fn document_label(&self, document: &Listed) -> Result<String, SiteError> {
        let words = self.site.words;
        let name = document.name.rsplit('/').next().unwrap_or_default();
        let stem = name.split('.').next().unwrap_or_default();
        let of_detail = || {
            let id: DetailId = stem.parse().ok()?;
            let detail = self.object.details.iter().find(|d| d.id == id)?;
            Some(self.site.note(&detail.notes).ok()?.title.clone())
        };
        match document.format {
            Format::LinkedArt => {
                let key = format!("data_file_{}", stem.replace('-', "_"));
                Ok(words.get(&key)?.to_owned())
            }
            Format::Annotations if !document.name.contains('/') => {
                Ok(words.get("data_file_all_details")?.to_owned())
            }
            Format::Annotations | Format::Edition => {
                Ok(of_detail().unwrap_or_else(|| name.to_owned()))
            }
            _ => Ok(name.to_owned()),
        }
    }
}
