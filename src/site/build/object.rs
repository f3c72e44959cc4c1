//! The object's page: plate, key and story.

use super::Subject;
use super::frame::Script;
use super::recordings::Recorded;
use super::resolve::Resolver;
use crate::paradata::About;
use crate::record::words::Passage;
use crate::record::{BodyKind, DetailId};
use crate::site::address::Page;
use crate::site::page::{Fact, KeyEntry, ObjectPage};
use crate::site::{Form, SiteError, figures, offline};

pub(super) fn page(subject: &Subject<'_>) -> Result<ObjectPage, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let page = Page::Object(object.id.clone());
    let here = site.address(&page);
    let note = site.note(&object.notes)?;
    let resolver = Resolver {
        site,
        here: here.clone(),
        object: Some(object),
        folder: Some(&object.folder),
        photographs: &object.record.photographs,
    };
    let recorded = subject.recorded();
    let recordings = subject.recordings(&recorded, &here, &resolver)?;
    let mut frame = subject.frame(&page, &note.title, &note.lead_text(), Script::Viewer)?;
    if !recordings.is_empty() {
        site.add_media(&mut frame);
    }
    let mut photographs = Vec::new();
    for photograph in &object.record.photographs {
        // A photograph that stands in the story is not shown twice.
        let shown = note.pictures.iter().any(|p| p.file == photograph.file);
        if !shown && !recorded.as_poster(photograph) {
            photographs.push(site.photograph(&here, object, &object.folder, photograph)?);
        }
    }
    let to = |page: Page| here.to(&site.address(&page));
    let id = || object.id.clone();
    let sheets = subject.sheets();
    Ok(ObjectPage {
        frame,
        object: subject.head(&page)?,
        lead_html: site.html(note, Passage::Lead, 2, &resolver)?,
        story_html: site.html(note, Passage::Rest, 2, &resolver)?,
        facts: subject.identification(&page)?,
        bodies: subject.bodies(&page)?,
        key: subject.key(&page)?,
        photographs,
        recordings,
        standing: site.standing(object)?,
        differs_href: object
            .record
            .bodies
            .replica
            .as_ref()
            .map(|_| to(Page::Differs(id()))),
        making_href: (!object.making.is_empty()).then(|| to(Page::Making(id()))),
        label_href: sheets.words.then(|| to(Page::Label(id()))),
        large_print_href: sheets.words.then(|| to(Page::LargePrint(id()))),
        handout_href: sheets.plate().then(|| to(Page::Handout(id()))),
        raised_lines_href: sheets.raised().then(|| to(Page::RaisedLines(id()))),
        data_href: to(Page::Data(id())),
        offline_href: (site.form == Form::Served).then(|| here.to_file(offline::WORKER)),
    })
}

impl Subject<'_> {
    /// The recordings of the object itself.
    pub(super) fn recorded(&self) -> Recorded<'_> {
        let object = self.object;
        Recorded {
            folder: &object.folder,
            recordings: &object.record.recordings,
            talk: &object.talk,
            prefix: object.id.as_str(),
        }
    }

    /// Identification, in the order in which a label gives it.
    pub(super) fn identification(&self, page: &Page) -> Result<Vec<Fact>, SiteError> {
        let identification = &self.object.record.identification;
        let site = self.site;
        let mut facts = Vec::new();
        let mut add = |key: &str, value: &str| -> Result<(), SiteError> {
            facts.push(Fact {
                term: site.words.get(key)?.to_owned(),
                value: value.to_owned(),
                evidence: None,
            });
            Ok(())
        };
        add("fact_name", site.text(&identification.name)?)?;
        add("fact_number", &identification.number)?;
        add("fact_date", site.text(&identification.date)?)?;
        if let Some(place) = &identification.place {
            add("fact_place", site.text(place)?)?;
        }
        if let Some(maker) = &identification.maker {
            add("fact_maker", site.text(maker)?)?;
        }
        add("fact_keeper", site.text(&identification.keeper)?)?;
        if let Some(last) = facts.last_mut() {
            last.evidence = self.stated(page, &About::Identification, &identification.evidence)?;
        }
        Ok(facts)
    }

    /// All lines of the key, as seen from a page.
    pub(super) fn key(&self, page: &Page) -> Result<Vec<KeyEntry>, SiteError> {
        (0..self.object.details.len())
            .map(|index| self.key_entry(page, index))
            .collect()
    }

    /// One line of the key.
    /// How a page points at a detail: on a screen in the gallery, to its words on the same page.
    pub(super) fn detail_href(&self, page: &Page, detail: &DetailId) -> String {
        match page {
            Page::KioskObject(_) | Page::KioskAlone(_) => format!("#{detail}"),
            _ => {
                let target = Page::Detail(self.object.id.clone(), detail.clone());
                self.site.address(page).to(&self.site.address(&target))
            }
        }
    }

    pub(super) fn key_entry(&self, page: &Page, index: usize) -> Result<KeyEntry, SiteError> {
        use crate::site::pictures::is_there;
        let detail = &self.object.details[index];
        let record = &detail.record;
        let site = self.site;
        let note = site.note(&detail.notes)?;
        let missing = || {
            SiteError::Picture(format!(
                "the detail ‘{}’ has no place on its part",
                detail.id
            ))
        };
        let place = self
            .geometry
            .places
            .get(&detail.id)
            .and_then(|p| p.get(&record.anchor.body))
            .ok_or_else(missing)?;
        let from = self
            .pictures
            .details
            .get(&detail.id)
            .ok_or_else(missing)?
            .on_model;
        let parts = &self
            .object
            .record
            .bodies
            .get(record.anchor.body)
            .ok_or_else(missing)?
            .parts;
        let part = parts
            .iter()
            .find(|p| p.id == record.part)
            .ok_or_else(missing)?;
        Ok(KeyEntry {
            letter: figures::letter(index),
            id: detail.id.to_string(),
            href: self.detail_href(page, &detail.id),
            title: note.title.clone(),
            teaser: note.first_sentence(),
            kind: super::detail::kind_word(record.kind),
            kind_word: super::detail::kind_name(record.kind, site.words)?,
            bearing: super::detail::bearing_sentence(&record.bearing, site.words)?,
            part: site.text(&part.name)?.to_owned(),
            on_original: is_there(detail, BodyKind::Original),
            on_replica: is_there(detail, BodyKind::Replica),
            anchor_mm: place.point.to_array().map(hundredth),
            normal: place.normal.to_array().map(|c| (c * 1e4).round() / 1e4),
            radius_mm: record.anchor.radius_mm,
            azimuth_deg: hundredth(from.azimuth_deg),
            elevation_deg: hundredth(from.elevation_deg),
        })
    }
}

/// To a hundredth: finer than any display model.
fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}
