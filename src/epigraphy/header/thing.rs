//! The thing that carries the lettering, as its record tells.

use super::super::Subject;
use super::super::xml::Xml;
use super::{ENGLISH, in_every_language};
use crate::record::{Body, BodyKind, Part};
use std::io::Result;

pub(super) fn write(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    xml.block("msDesc", &[], |xml| {
        identifier(xml, subject)?;
        physical(xml, subject)?;
        history(xml, subject)?;
        source(xml, subject)
    })
}

/// Keeper and number. TEI has room for one name of the keeper; those in other languages stand in
/// identifiers beside it.
fn identifier(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    let what = &subject.object.record.identification;
    let place = |key: &str| subject.in_object(&["identification", key]);
    let held = |xml: &mut Xml, lang: &str, keeper: &str| {
        xml.from(place("keeper"));
        xml.words("institution", &[("xml:lang", lang)], keeper)?;
        xml.from(place("number"));
        xml.words("idno", &[], &what.number)
    };
    let mut keepers = subject
        .langs()
        .iter()
        .filter_map(|lang| Some((lang.as_str(), what.keeper.get(lang)?)));
    xml.block("msIdentifier", &[], |xml| {
        let Some((lang, keeper)) = keepers.next() else {
            return Ok(());
        };
        held(xml, lang, keeper)?;
        in_every_language(xml, subject, "msName", &what.name, place("name"))?;
        for (lang, other) in keepers.filter(|(_, other)| *other != keeper) {
            xml.block("altIdentifier", &[], |xml| held(xml, lang, other))?;
        }
        Ok(())
    })
}

/// The body and part on which the anchor lies.
fn carrier<'a>(subject: &Subject<'a>) -> Option<(BodyKind, &'a Body, usize, &'a Part)> {
    let record = &subject.detail.record;
    let kind = record.anchor.body;
    let body = subject.object.record.bodies.get(kind)?;
    let mut parts = body.parts.iter().enumerate();
    let (index, part) = parts.find(|(_, p)| p.id == record.part)?;
    Some((kind, body, index, part))
}

fn physical(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    let Some((kind, _, index, part)) = carrier(subject) else {
        return Ok(());
    };
    let record = &subject.object.record;
    let name = subject.in_object(&["identification", "name"]);
    xml.block("physDesc", &[], |xml| {
        xml.block("objectDesc", &[], |xml| {
            xml.block("supportDesc", &[], |xml| {
                xml.block("support", &[], |xml| {
                    let what = &record.identification.name;
                    in_every_language(xml, subject, "objectType", what, name)?;
                    let id = &part.material;
                    match record.materials.get(id) {
                        Some(material) => {
                            let place = subject.in_object(&["materials", id.as_str(), "name"]);
                            in_every_language(xml, subject, "material", &material.name, place)
                        }
                        None => Ok(()),
                    }
                })
            })?;
            xml.block("layoutDesc", &[], |xml| {
                xml.block("layout", &[], |xml| {
                    let on = match kind {
                        BodyKind::Original => "On the original, on its part:",
                        BodyKind::Replica => "On the replica, on its part:",
                    };
                    xml.words("p", &[ENGLISH], on)?;
                    let index = index.to_string();
                    let place = ["bodies", kind.word(), "parts", &index, "name"];
                    let place = subject.in_object(&place);
                    in_every_language(xml, subject, "p", &part.name, place)
                })
            })
        })
    })
}

/// Where and when the original was made, which says nothing of lettering that is on the replica
/// only; and where the thing is now.
fn history(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    let Some((kind, body, ..)) = carrier(subject) else {
        return Ok(());
    };
    let what = &subject.object.record.identification;
    let place = |key: &str| subject.in_object(&["identification", key]);
    xml.block("history", &[], |xml| {
        if kind == BodyKind::Original {
            xml.block("origin", &[], |xml| {
                in_every_language(xml, subject, "origDate", &what.date, place("date"))?;
                if let Some(made) = &what.place {
                    in_every_language(xml, subject, "origPlace", made, place("place"))?;
                }
                let Some(maker) = &what.maker else {
                    return Ok(());
                };
                xml.from(place("maker"));
                for lang in subject.langs() {
                    if let Some(maker) = maker.get(lang) {
                        let role = [("role", "maker"), ("xml:lang", lang.as_str())];
                        xml.words("name", &role, maker)?;
                    }
                }
                Ok(())
            })?;
        } else if let Some(day) = body.dated {
            let day = day.to_string();
            xml.block("origin", &[], |xml| {
                xml.words("origDate", &[("when", &day)], &day)
            })?;
        }
        xml.block("provenance", &[("type", "observed")], |xml| {
            let at = subject.in_object(&["bodies", kind.word(), "location"]);
            in_every_language(xml, subject, "p", &body.location, at)
        })
    })
}

/// From what it was read.
fn source(xml: &mut Xml, subject: &Subject<'_>) -> Result<()> {
    let sources = &subject.object.record.sources;
    let named = subject.detail.record.evidence.source.as_ref();
    let Some((id, source)) = named.and_then(|id| Some((id, sources.get(id)?))) else {
        return Ok(());
    };
    xml.from(subject.in_object(&["sources", id.as_str()]));
    xml.block("additional", &[], |xml| {
        xml.block("listBibl", &[], |xml| {
            xml.block("bibl", &[], |xml| {
                if let Some(author) = &source.author {
                    xml.words("author", &[], author)?;
                }
                match &source.lang {
                    Some(lang) => {
                        let lang = [("xml:lang", lang.as_str())];
                        xml.words("title", &lang, &source.title)?;
                    }
                    None => xml.words("title", &[], &source.title)?,
                }
                if let Some(date) = &source.date {
                    xml.words("date", &[], date)?;
                }
                Ok(())
            })
        })
    })
}
