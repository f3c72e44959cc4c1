//! The header: what this is, who stands for it, what may be done with it, and which thing it is on.

use super::Subject;
use super::xml::Xml;
use crate::record::{Evidence, Ground, Localised, Place};
use crate::site::Form;
use crate::site::address::{Address, Page};
use std::collections::BTreeSet;
use std::io::Result;

mod thing;

/// The program's own words are English; the header says so.
const ENGLISH: (&str, &str) = ("xml:lang", "en");

pub(super) fn write(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    xml.block("teiHeader", &[], |xml| {
        xml.block("fileDesc", &[], |xml| {
            title(xml, subject)?;
            publication(xml, subject)?;
            statement(xml, subject)?;
            xml.block("sourceDesc", &[], |xml| thing::write(xml, subject))
        })?;
        encoding(xml)?;
        languages(xml, subject)
    })
}

/// One element for each language of the site.
fn in_every_language(
    xml: &mut Xml,
    subject: &Subject<'_>,
    name: &str,
    text: &Localised,
    place: Place,
) -> Result<()> {
    xml.from(place);
    for lang in subject.langs() {
        if let Some(text) = text.get(lang) {
            xml.words(name, &[("xml:lang", lang.as_str())], text)?;
        }
    }
    Ok(())
}

fn title(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    xml.block("titleStmt", &[], |xml| {
        for note in &subject.notes {
            xml.from(note.source.place(0..0));
            let lang = [("xml:lang", note.lang.as_str())];
            xml.words("title", &lang, &note.title)?;
        }
        read_by(xml, subject, &subject.detail.record.evidence)
    })
}

/// Who read it, how and when.
fn read_by(xml: &mut Xml, subject: &Subject<'_>, evidence: &Evidence) -> Result<()> {
    if evidence.by.is_none() && evidence.date.is_none() {
        return Ok(());
    }
    let how = match evidence.ground {
        Ground::Measured => "Read with an instrument",
        Ground::Observed => "Read on the thing itself",
        Ground::Documented => "Read in a document",
        Ground::Conjectured => "Read by conjecture",
    };
    xml.block("respStmt", &[], |xml| {
        xml.line("resp", &[ENGLISH], |xml| {
            xml.text(how)?;
            if let Some(day) = evidence.date {
                let day = day.to_string();
                xml.text(", ")?;
                xml.inline("date", &[("when", &day)], |xml| xml.text(&day))?;
            }
            Ok(())
        })?;
        let people = &subject.catalogue.site.people;
        let person = evidence.by.as_ref().map(|id| (id, people.get(id)));
        match person {
            Some((id, Some(person))) => {
                xml.from(subject.in_site(&["people", id.as_str(), "name"]));
                xml.words("name", &[], &person.name)
            }
            // Reading refuses a person whom the site does not name; the id is then all there is.
            Some((id, None)) => xml.words("name", &[], id.as_str()),
            None => xml.words("name", &[ENGLISH], "not recorded"),
        }
    })
}

fn publication(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    let (site, object) = (&subject.catalogue.site, subject.object);
    xml.block("publicationStmt", &[], |xml| {
        xml.from(subject.in_site(&["publisher"]));
        xml.words("publisher", &[], &site.publisher)?;
        if let Some(first) = site.languages.first() {
            let page = Page::Detail(object.id.clone(), subject.detail.id.clone());
            let page = Address::of(&page, first, first, Form::Served).below_root();
            let page = format!("{}{page}", site.address);
            xml.from(subject.in_site(&["address"]));
            xml.words("idno", &[("type", "URI")], &page)?;
        }
        let named = &object.record.words_rights;
        let mut all = object.record.rights.iter().enumerate();
        let Some((index, rights)) = all.find(|(_, r)| r.id == *named) else {
            return Ok(());
        };
        let index = index.to_string();
        let place = |key: &str| subject.in_object(&["rights", &index, key]);
        let statement = rights.statement.as_str();
        xml.block("availability", &[], |xml| {
            xml.block("licence", &[("target", statement)], |xml| {
                xml.words("p", &[], &rights.statement.label())?;
                xml.from(place("holder"));
                xml.line("p", &[ENGLISH], |xml| {
                    xml.text("Rights holder: ")?;
                    let role = [("role", "rights-holder")];
                    xml.inline("name", &role, |xml| xml.text(&rights.holder))
                })?;
                match &rights.credit {
                    Some(credit) => in_every_language(xml, subject, "p", credit, place("credit")),
                    None => Ok(()),
                }
            })
        })
    })
}

/// The site's own statement: for a demonstration, that all is invented.
fn statement(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    let Some(statement) = &subject.catalogue.site.statement else {
        return Ok(());
    };
    xml.block("notesStmt", &[], |xml| {
        let place = subject.in_site(&["statement"]);
        in_every_language(xml, subject, "note", statement, place)
    })
}

/// Signs differ between schools, so the school is named.
fn encoding(xml: &mut Xml) -> Result<()> {
    xml.block("encodingDesc", &[], |xml| {
        xml.block("editorialDecl", &[], |xml| {
            xml.words(
                "p",
                &[ENGLISH],
                "Transcribed in the Leiden signs as Krummrey and Panciera revised them; the signs \
                 became elements by the EpiDoc Guidelines. The division without a subtype keeps the \
                 letters as they are cut; that of subtype ‘expanded’ gives whole words.",
            )
        })
    })
}

fn languages(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    let mut named: BTreeSet<&str> = subject.langs().iter().map(|l| l.as_str()).collect();
    named.insert("en");
    for (_, told) in subject.readings.iter().flat_map(|r| &r.told) {
        for words in [&told.signs, &told.expanded, &told.translation] {
            named.insert(words.lang.as_str());
        }
    }
    xml.block("profileDesc", &[], |xml| {
        xml.block("langUsage", &[], |xml| {
            named
                .iter()
                .try_for_each(|tag| xml.empty_line("language", &[("ident", tag)]))
        })
    })
}
