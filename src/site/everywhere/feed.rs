//! A feed of the objects and of the dated steps in making their replicas (Atom, RFC 4287).
//!
//! `updated` is the newest day in the records, at its first moment; what bears no day is in no feed.

use super::{absolute, days, unsayable};
use crate::markup::Markup;
use crate::record::{Catalogue, Day, Lang, Note, Object, ObjectId};
use crate::site::SiteError;
use crate::site::address::Page;
use crate::site::words::Words;
use std::collections::BTreeMap;

/// The feed's file in this language.
pub(super) fn file(catalogue: &Catalogue, lang: &Lang) -> String {
    format!("{}feed.xml", super::below(catalogue, &Page::Home, lang))
}

/// Whether there is anything to tell.
pub(super) fn any(catalogue: &Catalogue) -> bool {
    let mut objects = catalogue.objects.iter();
    objects.any(|o| days::newest(catalogue, o).is_some())
}

struct Entry<'a> {
    id: String,
    link: String,
    day: Day,
    title: String,
    summary: String,
    rights: &'a str,
}

pub(super) fn write(
    catalogue: &Catalogue,
    lang: &Lang,
    words: &BTreeMap<Lang, Words>,
) -> Result<Option<Vec<u8>>, SiteError> {
    let mut entries: Vec<Entry<'_>> = Vec::new();
    for object in &catalogue.objects {
        entries.extend(of_object(catalogue, object, lang));
    }
    // The newest first; of one day in the order of their addresses.
    entries.sort_by(|a, b| b.day.cmp(&a.day).then_with(|| a.id.cmp(&b.id)));
    let Some(newest) = entries.first().map(|e| e.day) else {
        return Ok(None);
    };
    let site = &catalogue.site;
    let own = words
        .get(lang)
        .ok_or_else(|| SiteError::Words(format!("no words for ‘{lang}’")))?;
    let mut xml = Markup::new();
    let space = [
        ("xmlns", "http://www.w3.org/2005/Atom"),
        ("xml:lang", lang.as_str()),
    ];
    xml.open("feed", &space);
    let home = absolute(catalogue, &Page::Home, lang);
    let itself = format!("{}{}", site.address, file(catalogue, lang));
    xml.words("id", &[], &itself);
    xml.words("title", &[], site.name.get(lang).unwrap_or_default());
    xml.words("subtitle", &[], own.get("feed_subtitle")?);
    xml.words("updated", &[], &moment(newest));
    xml.within("author", &[], |xml| {
        xml.words("name", &[], &site.publisher);
        xml.words("uri", &[], &site.address);
    });
    xml.empty(
        "link",
        &[
            ("rel", "self"),
            ("type", "application/atom+xml"),
            ("href", &itself),
        ],
    );
    xml.empty(
        "link",
        &[
            ("rel", "alternate"),
            ("type", "text/html"),
            ("hreflang", lang.as_str()),
            ("href", &home),
        ],
    );
    for entry in &entries {
        xml.within("entry", &[], |xml| {
            xml.words("id", &[], &entry.id);
            xml.words("title", &[], &entry.title);
            xml.words("updated", &[], &moment(entry.day));
            let link = [
                ("rel", "alternate"),
                ("type", "text/html"),
                ("hreflang", lang.as_str()),
                ("href", &entry.link),
            ];
            xml.empty("link", &link);
            xml.words("summary", &[], &entry.summary);
            xml.words("rights", &[], entry.rights);
        });
    }
    Ok(Some(xml.finish().map_err(unsayable)?.into_bytes()))
}

/// A record knows days: its first moment, in UTC.
fn moment(day: Day) -> String {
    format!("{day}T00:00:00Z")
}

fn of_object<'a>(catalogue: &'a Catalogue, object: &'a Object, lang: &Lang) -> Vec<Entry<'a>> {
    let mut entries = Vec::new();
    let rights = object
        .record
        .rights
        .iter()
        .find(|r| r.id == object.record.words_rights);
    let rights = rights.map_or("", |r| r.statement.as_str());
    let Some(note) = object.notes.get(lang) else {
        return entries;
    };
    // An entry keeps its id for ever (RFC 4287, 4.2.6): that of the name which the object had first.
    let first: &ObjectId = object.record.formerly.first().unwrap_or(&object.id);
    let link = absolute(catalogue, &Page::Object(object.id.clone()), lang);
    if let Some(day) = days::newest(catalogue, object) {
        entries.push(Entry {
            id: absolute(catalogue, &Page::Object(first.clone()), lang),
            link,
            day,
            title: note.title.clone(),
            summary: summary(note),
            rights,
        });
    }
    for step in &object.making {
        let (Some(day), Some(words)) = (days::of_step(catalogue, step), step.notes.get(lang))
        else {
            continue;
        };
        let making = |id: &ObjectId| absolute(catalogue, &Page::Making(id.clone()), lang);
        let step_first = step.record.formerly.first().unwrap_or(&step.id);
        entries.push(Entry {
            id: format!("{}#{step_first}", making(first)),
            link: format!("{}#{}", making(&object.id), step.id),
            day,
            title: format!("{}: {}", note.title, words.title),
            summary: summary(words),
            rights,
        });
    }
    entries
}

fn summary(note: &Note) -> String {
    note.lead_text()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}
