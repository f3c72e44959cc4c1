//! A screen in the gallery: every link stays on it.

use super::detail::{bearing_facts, kind_name, kind_word, stills};
use super::frame::dir_word;
use super::lists;
use super::recordings::Recorded;
use super::resolve::Resolver;
use super::whole::card;
use super::{Site, Subject};
use crate::record::words::{LinkTarget, Passage, Resolve, ResolvedPicture};
use crate::record::{Lang, Object, Stands};
use crate::site::address::Page;
use crate::site::lists::Lists;
use crate::site::page::{
    Invitation, KioskObjectPage, KioskPage, KioskScreen, KioskTallyPage, Leaf, TallyName,
    TallyObject,
};
use crate::site::words::Words;
use crate::site::{SiteError, figures};
use std::sync::Arc;

/// How long the warning stands before the screen goes back to its start: at least twenty seconds
/// to say that one is still there (WCAG 2.2, success criterion 2.2.1).
const WARNING_SECONDS: u32 = 20;

/// Every object, or as many as the screen holds.
pub(super) fn page(site: &Site<'_>, lists: &Lists) -> Result<KioskPage, SiteError> {
    let introduction = site.text(&site.catalogue.site.introduction)?.to_owned();
    let mut shelf = site.shelf(
        &Page::Kiosk,
        site.words.get("kiosk_title")?,
        &introduction,
        lists,
    )?;
    shelf.heading = site.text(&site.catalogue.site.name)?.to_owned();
    shelf.introduction = Some(introduction);
    if !lists.are_many_on_a_screen() {
        let objects = site.catalogue.objects.iter();
        let cards = objects.map(|object| -> Result<_, SiteError> {
            let mut card = card(site, object, &Page::Kiosk)?;
            let there = Page::KioskObject(object.id.clone());
            card.object.href = site.address(&Page::Kiosk).to(&site.address(&there));
            Ok(card)
        });
        shelf.cards = cards.collect::<Result<_, _>>()?;
    }
    Ok(shelf)
}

/// One object; `alone` on a screen of its own.
pub(super) fn object(
    subject: &Subject<'_>,
    lists: &Lists,
    alone: bool,
) -> Result<KioskObjectPage, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let (page, start, title) = if alone {
        let page = Page::KioskAlone(object.id.clone());
        (page.clone(), page, "kiosk_title_alone")
    } else {
        let page = Page::KioskObject(object.id.clone());
        (page, Page::Kiosk, "kiosk_title_object")
    };
    let note = site.note(&object.notes)?;
    let title = site.words.fill(title, &[("title", &note.title)])?;
    let mut frame = site.frame(&page, &title, &note.lead_text())?;
    site.add_viewer(&mut frame, &page);
    site.add_gallery_fonts(&mut frame, &page);
    let words = |passage| {
        let links = Inside(Resolver {
            site,
            here: site.address(&page),
            object: Some(object),
            folder: Some(&object.folder),
            photographs: &object.record.photographs,
        });
        site.html(note, passage, 2, &links)
    };
    let leaves = 0..object.details.len();
    let leaves = leaves.map(|index| leaf(subject, index, &page));
    Ok(KioskObjectPage {
        frame,
        screen: site.screen(&page, &start)?,
        object: subject.head(&page)?,
        standing: site.standing(object)?,
        lead_html: words(Passage::Lead)?,
        story_html: words(Passage::Rest)?,
        bodies: subject.bodies(&page)?,
        key: subject.key(&page)?,
        recordings: subject.recordings(
            &subject.recorded(),
            &site.address(&page),
            &Inside(Resolver {
                site,
                here: site.address(&page),
                object: Some(object),
                folder: Some(&object.folder),
                photographs: &object.record.photographs,
            }),
        )?,
        leaves: leaves.collect::<Result<_, _>>()?,
        back: match alone {
            true => None,
            false => {
                let among = lists.screen_of(site.catalogue, &object.id);
                Some(site.section(&page, &among, "all_objects")?)
            }
        },
    })
}

fn leaf(subject: &Subject<'_>, index: usize, page: &Page) -> Result<Leaf, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let detail = &object.details[index];
    let note = site.note(&detail.notes)?;
    let links = Inside(Resolver {
        site,
        here: site.address(page),
        object: Some(object),
        folder: Some(&detail.folder),
        photographs: &detail.record.photographs,
    });
    let count = object.details.len();
    let beside = |index: usize| object.details[index % count].id.to_string();
    let kind = kind_word(detail.record.kind);
    // What a visitor stands before comes first, unless the detail is not there.
    let bearing = &detail.record.bearing;
    let absent = |body: &str| match body {
        "replica" => bearing.replica == Some(Stands::Absent),
        _ => bearing.original == Stands::Absent,
    };
    let mut pictures = stills(subject, index, page)?.into_iter();
    let picture = pictures.find(|still| !absent(still.body));
    Ok(Leaf {
        letter: figures::letter(index),
        id: detail.id.to_string(),
        title: note.title.clone(),
        kind,
        kind_word: kind_name(detail.record.kind, site.words)?,
        kind_meaning: site.words.get(&format!("kind_{kind}_meaning"))?.to_owned(),
        described: subject.described(detail, &site.address(page), &links)?,
        words_html: site.html(note, Passage::Whole, 3, &links)?,
        recordings: subject.recordings(&Recorded::detail(detail), &site.address(page), &links)?,
        bearing: bearing_facts(&detail.record.bearing, site.words)?,
        picture: picture.map(|still| still.picture),
        previous: beside(index + count - 1),
        next: beside(index + 1),
    })
}

/// What the machine has counted.
pub(super) fn tally(site: &Site<'_>) -> Result<KioskTallyPage, SiteError> {
    let heading = site.words.get("kiosk_tally")?;
    let mut frame = site.frame(
        &Page::KioskTally,
        heading,
        site.words.get("kiosk_tally_why")?,
    )?;
    site.add_viewer(&mut frame, &Page::KioskTally);
    frame.viewer = None;
    let object = |object: &Arc<Object>| -> Result<_, SiteError> {
        let details = object.details.iter().map(|detail| -> Result<_, SiteError> {
            Ok(TallyName {
                id: detail.id.to_string(),
                title: site.note(&detail.notes)?.title.clone(),
            })
        });
        Ok(TallyObject {
            id: object.id.to_string(),
            title: site.note(&object.notes)?.title.clone(),
            details: details.collect::<Result<_, _>>()?,
        })
    };
    let objects = site.catalogue.objects.iter().map(object);
    Ok(KioskTallyPage {
        frame,
        script: site.address(&Page::KioskTally).to_file(&site.theme.kiosk),
        style: site
            .address(&Page::KioskTally)
            .to_file(&site.theme.kiosk_style),
        objects: objects.collect::<Result<_, _>>()?,
    })
}

impl Site<'_> {
    /// A screen of objects or values, as yet without any.
    pub(super) fn shelf(
        &self,
        page: &Page,
        heading: &str,
        description: &str,
        lists: &Lists,
    ) -> Result<KioskPage, SiteError> {
        let mut frame = self.frame(page, heading, description)?;
        self.add_viewer(&mut frame, page);
        self.add_gallery_fonts(&mut frame, page);
        let (listing, values) = lists::on_screen(self, lists, page)?;
        Ok(KioskPage {
            screen: self.screen(page, &Page::Kiosk)?,
            frame,
            heading: heading.to_owned(),
            introduction: None,
            cards: Vec::new(),
            listing,
            values,
            choose: match lists.chosen_on_a_screen() && *page != Page::KioskChoice {
                true => Some(self.section(page, &Page::KioskChoice, "lists_choose_name")?),
                false => None,
            },
            back: match page {
                Page::KioskChoice | Page::KioskChosen(..) => {
                    Some(self.section(page, &Page::Kiosk, "all_objects")?)
                }
                _ => None,
            },
        })
    }

    fn screen(&self, page: &Page, start: &Page) -> Result<KioskScreen, SiteError> {
        let here = self.address(page);
        let settings = &self.catalogue.site.kiosk;
        let first = self.catalogue.site.languages.first().unwrap_or(self.lang);
        let invitation = |(lang, words): (&Lang, &Words)| -> Result<_, SiteError> {
            Ok(Invitation {
                lang: lang.to_string(),
                dir: dir_word(lang),
                text: words.get("kiosk_begin")?.to_owned(),
            })
        };
        // In the order in which the site has its languages.
        let languages = self.catalogue.site.languages.iter();
        let words = languages.filter_map(|lang| self.all_words.get_key_value(lang));
        Ok(KioskScreen {
            invitations: words.map(invitation).collect::<Result<_, _>>()?,
            script: here.to_file(&self.theme.kiosk),
            style: here.to_file(&self.theme.kiosk_style),
            idle_seconds: settings.idle_seconds,
            warning_seconds: WARNING_SECONDS,
            start: here.to(&self.address_in(start, first)),
            tally: settings.tally,
        })
    }
}

/// Links of a note that stay on the screen: those to details of the object. Of the others the words
/// stand alone.
struct Inside<'a>(Resolver<'a>);

impl Resolve for Inside<'_> {
    fn link(&self, target: &LinkTarget) -> Option<String> {
        let known = self.0.link(target)?;
        let shown = self.0.object.map(|object| object.id.as_str());
        Some(match target {
            LinkTarget::Detail { object, detail }
                if object.is_none() || object.as_deref() == shown =>
            {
                format!("#{detail}")
            }
            LinkTarget::Lang(_) | LinkTarget::Unknown(_) => known,
            _ => String::new(),
        })
    }

    fn picture(&self, file: &str) -> Option<ResolvedPicture> {
        self.0.picture(file)
    }

    fn left_out(&self, file: &str) -> bool {
        self.0.left_out(file)
    }
}
