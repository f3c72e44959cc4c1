//! What stands around every page: titles, languages, navigation.

use super::{Site, Subject};
use crate::site::address::Page;
use crate::site::everywhere::{self, Web};
use crate::site::page::{Frame, LanguageLink, ObjectHead, SectionLink};
use crate::site::{Form, SiteError, figures};
use std::collections::BTreeMap;

/// Scripts, styles, pictures and models come from the site itself and nowhere else;
/// `wasm-unsafe-eval` lets the viewer's decoder, which is WebAssembly, be compiled, and `blob:` lets the worker
/// begin that runs it: its script is a text within the viewer.
const POLICY_WITH_VIEWER: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
     img-src 'self' data:; font-src 'self'; connect-src 'self'; worker-src 'self' blob:; manifest-src 'self'; \
     base-uri 'none'; form-action 'none'";
/// Pages without a viewer run no script at all.
const POLICY: &str = "default-src 'none'; style-src 'self'; img-src 'self' data:; font-src 'self'; \
     base-uri 'none'; form-action 'none'";

/// The same for pages that are opened from a disk: there `'self'` means nothing to some browsers, and
/// fonts are in the stylesheet, since files of their own would count as another's.
const CARRIED_WITH_VIEWER: &str = "default-src 'none'; script-src 'self' file: 'wasm-unsafe-eval'; style-src 'self' file:; \
     img-src 'self' file: data:; font-src data:; worker-src blob:; base-uri 'none'; form-action 'none'";
const CARRIED: &str = "default-src 'none'; style-src 'self' file:; img-src 'self' file: data:; font-src data:; \
     base-uri 'none'; form-action 'none'";

/// Longest description for search results, characters.
const DESCRIPTION_CHARS: usize = 160;

/// Whether a page carries the viewer.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Script {
    Viewer,
    None,
}

impl Site<'_> {
    /// The frame of a page above the objects.
    pub(super) fn frame(
        &self,
        page: &Page,
        heading: &str,
        description: &str,
    ) -> Result<Frame, SiteError> {
        let data = self.data(page, heading, description, None)?;
        self.around(page, heading, description, data)
    }

    /// The same with what the page tells to machines.
    fn around(
        &self,
        page: &Page,
        heading: &str,
        description: &str,
        data: String,
    ) -> Result<Frame, SiteError> {
        let here = self.address(page);
        let site_name = self.text(&self.catalogue.site.name)?;
        let title = if heading == site_name {
            site_name.to_owned()
        } else {
            format!("{heading} – {site_name}")
        };
        let mut languages = Vec::new();
        for lang in &self.catalogue.site.languages {
            let words = self
                .all_words
                .get(lang)
                .ok_or_else(|| SiteError::Words(format!("no words for ‘{lang}’")))?;
            languages.push(LanguageLink {
                lang: lang.to_string(),
                dir: dir_word(lang),
                name: words.get("language_name")?.to_owned(),
                href: here.to(&self.address_in(page, lang)),
                current: lang == self.lang,
            });
        }
        let statement = match &self.catalogue.site.statement {
            Some(statement) => Some(self.text(statement)?.to_owned()),
            None => None,
        };
        Ok(Frame {
            data,
            alternates: Vec::new(),
            lang: self.lang.to_string(),
            dir: dir_word(self.lang),
            title,
            description: figures::shortened(description, DESCRIPTION_CHARS),
            site_name: site_name.to_owned(),
            publisher: self.catalogue.site.publisher.clone(),
            statement,
            policy: self.policy(Script::None).to_owned(),
            stylesheet: here.to_file(&self.theme.stylesheet),
            preload_fonts: self
                .theme
                .preload_fonts
                .iter()
                .map(|f| here.to_file(f))
                .collect(),
            viewer: None,
            stage: None,
            unprinted: false,
            home: here.to(&self.address(&Page::Home)),
            languages,
            sections: Vec::new(),
            site_links: vec![
                self.section(page, &Page::Home, "all_objects")?,
                self.section(page, &Page::Find, "find")?,
                self.section(page, &Page::Glossary, "glossary")?,
            ],
            web: self.web(page)?,
            unlisted: page.is_unlisted(),
        })
    }

    /// Addresses on the web, and the picture for those who pass them on.
    fn web(&self, page: &Page) -> Result<Option<Web>, SiteError> {
        if self.form == Form::Carried {
            return Ok(None);
        }
        let object = page.object().and_then(|id| self.catalogue.object(id));
        let alt = || match object {
            Some(object) => {
                let shown = object.shown_body();
                match self.pictures.shown.get(&object.id) {
                    Some(plate) => {
                        let told =
                            self.plate_told(object, shown, &plate.camera, &BTreeMap::new())?;
                        Ok(told.alt)
                    }
                    None => Ok(self.note(&object.notes)?.title.clone()),
                }
            }
            None => {
                let titles = self.catalogue.objects.iter().take(2);
                let titles = titles.map(|o| Ok(self.note(&o.notes)?.title.as_str()));
                let titles: Vec<&str> = titles.collect::<Result<_, SiteError>>()?;
                let titles = titles.join(self.words.get("list_separator")?);
                let name = self.text(&self.catalogue.site.name)?;
                let blanks = [("name", name), ("objects", &titles)];
                self.words.fill("social_alt", &blanks)
            }
        };
        everywhere::web(self.catalogue, self.social, page, self.lang, alt).map(Some)
    }

    /// Lets the page lead on by itself.
    pub(super) fn lead_on(&self, frame: &mut Frame) {
        frame.policy = match self.form {
            Form::Served => format!("{POLICY}; script-src 'self'"),
            Form::Carried => format!("{CARRIED}; script-src 'self' file:"),
        };
    }

    /// Lets the page hand a question on to the page that looks for words.
    pub(super) fn ask_on(&self, frame: &mut Frame) {
        let asked = match self.form {
            Form::Served => "form-action 'self'",
            Form::Carried => "form-action 'self' file:",
        };
        frame.policy = frame.policy.replace("form-action 'none'", asked);
    }

    /// Lets the page turn models.
    pub(super) fn add_viewer(&self, frame: &mut Frame, page: &Page) {
        let here = self.address(page);
        frame.viewer = Some(here.to_file(&self.theme.viewer));
        frame.stage = Some(here.to_file(&self.theme.stage));
        frame.policy = self.policy(Script::Viewer).to_owned();
    }

    /// Fetches what a gallery's screen shows from its first page on.
    pub(super) fn add_gallery_fonts(&self, frame: &mut Frame, page: &Page) {
        let here = self.address(page);
        let fonts = self.theme.gallery_fonts.iter();
        frame.preload_fonts.extend(fonts.map(|f| here.to_file(f)));
    }

    /// Lets the page play sound and film, and load their captions.
    pub(super) fn add_media(&self, frame: &mut Frame) {
        frame.policy.push_str(match self.form {
            Form::Served => "; media-src 'self'",
            // Captions are in the page: those in a file of their own count as another's.
            Form::Carried => "; media-src 'self' file: data:",
        });
    }

    fn policy(&self, script: Script) -> &'static str {
        match (self.form, script) {
            (Form::Served, Script::Viewer) => POLICY_WITH_VIEWER,
            (Form::Served, Script::None) => POLICY,
            (Form::Carried, Script::Viewer) => CARRIED_WITH_VIEWER,
            (Form::Carried, Script::None) => CARRIED,
        }
    }

    pub(super) fn section(
        &self,
        from: &Page,
        to: &Page,
        word: &str,
    ) -> Result<SectionLink, SiteError> {
        Ok(SectionLink {
            text: self.words.get(word)?.to_owned(),
            href: self.address(from).to(&self.address(to)),
            current: from == to,
        })
    }
}

impl Subject<'_> {
    /// The frame of a page of this object.
    pub(super) fn frame(
        &self,
        page: &Page,
        heading: &str,
        description: &str,
        script: Script,
    ) -> Result<Frame, SiteError> {
        let title = &self.site.note(&self.object.notes)?.title;
        let own = heading;
        let heading = if heading == title {
            heading.to_owned()
        } else {
            format!("{heading} – {title}")
        };
        let data = match self.telling() {
            Some(telling) => {
                let short = figures::shortened(description, DESCRIPTION_CHARS);
                self.site.data(page, own, &short, Some(&telling))?
            }
            None => self.site.data(page, &heading, description, None)?,
        };
        let mut frame = self.site.around(page, &heading, description, data)?;
        frame.sections = self.site.subject_sections(self.object, page)?;
        frame.unprinted = self.pictures_stay_on_screen();
        if matches!(page, Page::Object(_)) {
            frame.alternates = self.alternates(page);
        }
        if script == Script::Viewer {
            self.site.add_viewer(&mut frame, page);
        }
        Ok(frame)
    }

    /// The few facts that head every page of the object.
    pub(super) fn head(&self, page: &Page) -> Result<ObjectHead, SiteError> {
        self.site.object_head(self.object, page)
    }
}

impl Site<'_> {
    /// Links to the pages of an object.
    pub(super) fn subject_sections(
        &self,
        object: &crate::record::Object,
        page: &Page,
    ) -> Result<Vec<SectionLink>, SiteError> {
        let id = || object.id.clone();
        let mut pages = vec![(Page::Object(id()), "plate_and_story")];
        if object.record.bodies.replica.is_some() {
            pages.push((Page::Differs(id()), "what_differs"));
        }
        if !object.making.is_empty() {
            pages.push((Page::Making(id()), "how_it_was_made"));
        }
        pages.push((Page::Evidence(id()), "evidence_page"));
        pages.push((Page::Rights(id()), "sources_and_rights"));
        let link = |(to, word): (Page, &str)| self.section(page, &to, word);
        pages.into_iter().map(link).collect()
    }

    pub(super) fn object_head(
        &self,
        object: &crate::record::Object,
        page: &Page,
    ) -> Result<ObjectHead, SiteError> {
        let identification = &object.record.identification;
        Ok(ObjectHead {
            id: object.id.to_string(),
            title: self.note(&object.notes)?.title.clone(),
            href: self
                .address(page)
                .to(&self.address(&Page::Object(object.id.clone()))),
            number: identification.number.clone(),
            name: self.text(&identification.name)?.to_owned(),
            date: self.text(&identification.date)?.to_owned(),
        })
    }
}

pub(super) fn dir_word(lang: &crate::record::Lang) -> &'static str {
    match lang.dir() {
        crate::record::Dir::Ltr => "ltr",
        crate::record::Dir::Rtl => "rtl",
    }
}
