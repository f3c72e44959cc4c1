//! Items as LIDO 1.1.

use super::{DIGITISATION, FINISH, LABEL, LOCAL, NAMESPACE, PRODUCTION, TERMS, URI, WORK};
use crate::exchange::item::{Item, Measured};
use crate::markup::Markup;
use crate::record::{BodyKind, Day, Lang, Localised, Rights};

/// Who hands the records on, and where they are published.
#[derive(Debug, Clone, Copy)]
pub struct Publisher<'a> {
    /// As it signs.
    pub name: &'a str,
    /// Address of its site, with a closing slash.
    pub address: &'a str,
    /// Languages, the first one first.
    pub languages: &'a [Lang],
}

/// Words of LIDO itself are told in English.
const ENGLISH: (&str, &str) = ("xml:lang", "en");

/// Writes items as one document.
///
/// # Errors
/// A character that no XML document may hold, said in a sentence.
pub fn write(items: &[Item], publisher: &Publisher<'_>) -> Result<String, String> {
    let mut xml = Markup::new();
    let wrap = [
        ("xmlns:lido", NAMESPACE),
        ("xmlns:xsi", "http://www.w3.org/2001/XMLSchema-instance"),
        (
            "xsi:schemaLocation",
            "http://www.lido-schema.org http://www.lido-schema.org/schema/v1.1/lido-v1.1.xsd",
        ),
    ];
    xml.within("lido:lidoWrap", &wrap, |xml| {
        items.iter().for_each(|item| record(xml, item, publisher));
    });
    xml.finish().map_err(|c| {
        format!(
            "The character U+{:04X} cannot stand in an XML document. Take it out of the record; it often comes with copied text.",
            c as u32
        )
    })
}

fn record(xml: &mut Markup, item: &Item, by: &Publisher<'_>) {
    let Some(object) = &item.object else { return };
    let Some(first) = by.languages.first() else {
        return;
    };
    let address = format!("{}{object}/", by.address);
    let lang = [("xml:lang", first.as_str())];
    xml.within("lido:lido", &[], |xml| {
        xml.words(
            "lido:lidoRecID",
            &[("lido:type", URI), ("lido:source", by.name)],
            &address,
        );
        xml.within("lido:category", &[], |xml| {
            xml.words(
                "lido:conceptID",
                &[("lido:type", URI)],
                "http://www.cidoc-crm.org/cidoc-crm/E22_Human-Made_Object",
            );
            xml.words("lido:term", &[ENGLISH], "Human-Made Object");
        });
        xml.within("lido:descriptiveMetadata", &lang, |xml| {
            xml.within("lido:objectClassificationWrap", &[], |xml| {
                xml.within("lido:objectWorkTypeWrap", &[], |xml| {
                    xml.within("lido:objectWorkType", &[], |xml| {
                        each(xml, "lido:term", &item.name)
                    });
                });
            });
            xml.within("lido:objectIdentificationWrap", &[], |xml| {
                identification(xml, item, by)
            });
            events(xml, item);
            related(xml, item);
        });
        xml.within("lido:administrativeMetadata", &lang, |xml| {
            administration(xml, item, by, &address)
        });
    });
}

/// An element for each language.
fn each(xml: &mut Markup, name: &str, texts: &Localised) {
    for (lang, text) in &texts.0 {
        xml.words(name, &[("xml:lang", lang.as_str())], text);
    }
}

/// A name within its set.
fn named(xml: &mut Markup, set: &'static str, texts: &Localised) {
    xml.within(set, &[], |xml| each(xml, "lido:appellationValue", texts));
}

fn identification(xml: &mut Markup, item: &Item, by: &Publisher<'_>) {
    xml.within("lido:titleWrap", &[], |xml| {
        named(xml, "lido:titleSet", &item.title)
    });
    xml.within("lido:repositoryWrap", &[], |xml| {
        xml.within("lido:repositorySet", &[], |xml| {
            xml.within("lido:repositoryName", &[], |xml| {
                named(xml, "lido:legalBodyName", &item.keeper)
            });
            if let Some(number) = &item.number {
                xml.words("lido:workID", &[("lido:type", LOCAL)], number);
            }
            xml.within("lido:repositoryLocation", &[], |xml| {
                named(xml, "lido:namePlaceSet", &item.location)
            });
        });
    });
    xml.within("lido:objectDescriptionWrap", &[], |xml| {
        let plain = by
            .languages
            .iter()
            .filter_map(|l| Some((l.clone(), item.plain_words(l)?)));
        let words = Localised(plain.collect());
        for (kind, texts) in [
            (None, &words),
            (Some(FINISH), &item.finish),
            (Some(LABEL), &item.label),
        ] {
            if texts.0.is_empty() {
                continue;
            }
            let kind: Vec<_> = kind.iter().map(|k| ("lido:type", *k)).collect();
            xml.within("lido:objectDescriptionSet", &kind, |xml| {
                each(xml, "lido:descriptiveNoteValue", texts)
            });
        }
    });
    if let Some(measured) = item.measured.get(&BodyKind::Original) {
        xml.within("lido:objectMeasurementsWrap", &[], |xml| {
            measurements(xml, measured)
        });
    }
}

/// What was measured on the scan of the original, and its mass.
fn measurements(xml: &mut Markup, measured: &Measured) {
    let sides = [("width", 0), ("height", 1), ("depth", 2)];
    let mut all: Vec<(&str, &str, String, Option<String>)> = Vec::new();
    for (word, k) in sides {
        let within = measured.within_mm.as_ref().map(|w| w[k].clone());
        all.push((word, "mm", measured.size_mm[k].clone(), within));
    }
    if let Some(mass) = measured.mass {
        all.push((
            "weight",
            "g",
            mass.value_g.to_string(),
            Some(mass.within_g.to_string()),
        ));
    }
    for (word, unit, value, within) in all {
        xml.within("lido:objectMeasurementsSet", &[], |xml| {
            // LIDO has no element for the uncertainty.
            if let Some(within) = &within {
                let shown = format!("{word} {value} {unit} ± {within} {unit} (k = 2)");
                xml.words("lido:displayObjectMeasurements", &[ENGLISH], &shown);
            }
            xml.within("lido:objectMeasurements", &[], |xml| {
                xml.within("lido:measurementSet", &[], |xml| {
                    xml.within("lido:measurementType", &[], |xml| {
                        xml.words("lido:term", &[ENGLISH], word)
                    });
                    xml.within("lido:measurementUnit", &[], |xml| {
                        xml.words("lido:term", &[ENGLISH], unit)
                    });
                    xml.words("lido:measurementValue", &[], &value);
                });
            });
        });
    }
}

fn event(xml: &mut Markup, concept: Option<&str>, term: &str, inside: impl FnOnce(&mut Markup)) {
    xml.within("lido:eventSet", &[], |xml| {
        xml.within("lido:event", &[], |xml| {
            xml.within("lido:eventType", &[], |xml| {
                if let Some(concept) = concept {
                    xml.words(
                        "lido:conceptID",
                        &[("lido:type", URI)],
                        &format!("{TERMS}{concept}"),
                    );
                }
                xml.words("lido:term", &[ENGLISH], term);
            });
            inside(xml);
        });
    });
}

fn on(xml: &mut Markup, day: Day) {
    xml.within("lido:eventDate", &[], |xml| {
        xml.within("lido:date", &[], |xml| {
            xml.words("lido:earliestDate", &[], &day.to_string());
            xml.words("lido:latestDate", &[], &day.to_string());
        });
    });
}

/// Making, scanning, copying; and each step of the copying.
fn events(xml: &mut Markup, item: &Item) {
    xml.within("lido:eventWrap", &[], |xml| {
        event(xml, Some(PRODUCTION), "Production", |xml| {
            if !item.maker.0.is_empty() {
                xml.within("lido:eventActor", &[], |xml| {
                    each(xml, "lido:displayActorInRole", &item.maker);
                    xml.within("lido:actorInRole", &[], |xml| {
                        xml.within("lido:actor", &[], |xml| {
                            named(xml, "lido:nameActorSet", &item.maker)
                        });
                    });
                });
            }
            if !item.date.0.is_empty() {
                xml.within("lido:eventDate", &[], |xml| {
                    each(xml, "lido:displayDate", &item.date)
                });
            }
            if !item.place.0.is_empty() {
                xml.within("lido:eventPlace", &[], |xml| {
                    each(xml, "lido:displayPlace", &item.place)
                });
            }
            materials(xml, item, BodyKind::Original);
        });
        if let Some(day) = item.scanned {
            event(xml, None, DIGITISATION, |xml| on(xml, day));
        }
        if let Some(replica) = &item.replica {
            event(xml, None, "Making of a replica", |xml| {
                if let Some(day) = replica.made {
                    on(xml, day);
                }
                materials(xml, item, BodyKind::Replica);
            });
        }
        for step in &item.steps {
            event(xml, None, "Step in making a replica", |xml| {
                xml.within("lido:eventName", &[], |xml| {
                    each(xml, "lido:appellationValue", &step.title)
                });
                for person in &step.people {
                    xml.within("lido:eventActor", &[], |xml| {
                        xml.words("lido:displayActorInRole", &[], person);
                    });
                }
                if let Some(day) = step.date {
                    on(xml, day);
                }
            });
        }
    });
}

fn materials(xml: &mut Markup, item: &Item, body: BodyKind) {
    // Before there is a part, a material is taken to be the original's.
    let is = |of: &[BodyKind]| of.contains(&body) || (of.is_empty() && body == BodyKind::Original);
    let made: Vec<_> = item.materials.iter().filter(|m| is(&m.of)).collect();
    if made.is_empty() {
        return;
    }
    xml.within("lido:eventMaterialsTech", &[], |xml| {
        xml.within("lido:materialsTech", &[], |xml| {
            for material in made {
                xml.within(
                    "lido:termMaterialsTech",
                    &[("lido:type", "material")],
                    |xml| {
                        if let Some(id) = &material.id {
                            xml.words("lido:conceptID", &[("lido:type", LOCAL)], id.as_str());
                        }
                        each(xml, "lido:term", &material.name);
                    },
                );
            }
        });
    });
}

/// The replica is a work of its own, which this one has.
fn related(xml: &mut Markup, item: &Item) {
    let Some(replica) = &item.replica else { return };
    xml.within("lido:objectRelationWrap", &[], |xml| {
        xml.within("lido:relatedWorksWrap", &[], |xml| {
            xml.within("lido:relatedWorkSet", &[], |xml| {
                xml.within("lido:relatedWork", &[], |xml| {
                    for (lang, place) in &replica.location.0 {
                        let finish = replica.finish.get(lang).unwrap_or_default();
                        let shown = format!("{place}. {finish}.");
                        xml.words("lido:displayObject", &[("xml:lang", lang.as_str())], &shown);
                    }
                });
                xml.within("lido:relatedWorkRelType", &[], |xml| {
                    xml.words("lido:term", &[ENGLISH], "has replica")
                });
            });
        });
    });
}

fn administration(xml: &mut Markup, item: &Item, by: &Publisher<'_>, address: &str) {
    let of_words = item.words_rights.as_ref();
    let of_work = |r: &&Rights| r.id.as_str() == WORK && Some(&r.id) != of_words;
    let work: Vec<&Rights> = item.rights.iter().filter(of_work).collect();
    if !work.is_empty() {
        xml.within("lido:rightsWorkWrap", &[], |xml| {
            work.iter()
                .for_each(|r| rights(xml, "lido:rightsWorkSet", r));
        });
    }
    xml.within("lido:recordWrap", &[], |xml| {
        let id = item
            .object
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default();
        xml.words("lido:recordID", &[("lido:type", LOCAL)], &id);
        xml.within("lido:recordType", &[], |xml| {
            xml.words("lido:term", &[ENGLISH], "single object")
        });
        xml.within("lido:recordSource", &[], |xml| {
            xml.within("lido:legalBodyName", &[], |xml| {
                xml.words("lido:appellationValue", &[], by.name)
            });
        });
        let words = item.rights.iter().find(|r| Some(&r.id) == of_words);
        words
            .into_iter()
            .for_each(|r| rights(xml, "lido:recordRights", r));
        xml.within("lido:recordInfoSet", &[], |xml| {
            xml.words("lido:recordInfoLink", &[], address)
        });
    });
    if item.resources.is_empty() {
        return;
    }
    xml.within("lido:resourceWrap", &[], |xml| {
        for one in &item.resources {
            xml.within("lido:resourceSet", &[], |xml| {
                xml.within("lido:resourceRepresentation", &[], |xml| {
                    xml.words(
                        "lido:linkResource",
                        &[("lido:formatResource", one.media_type)],
                        &one.link,
                    );
                });
                xml.within("lido:resourceType", &[], |xml| {
                    xml.words("lido:term", &[ENGLISH], one.kind)
                });
                xml.words("lido:resourceDescription", &[ENGLISH], one.shows);
                one.rights
                    .iter()
                    .for_each(|r| rights(xml, "lido:rightsResource", r));
            });
        }
    });
}

fn rights(xml: &mut Markup, name: &'static str, rights: &Rights) {
    xml.within(name, &[("lido:type", rights.id.as_str())], |xml| {
        xml.within("lido:rightsType", &[], |xml| {
            xml.words(
                "lido:conceptID",
                &[("lido:type", URI)],
                rights.statement.as_str(),
            );
        });
        if rights.from.is_some() || rights.until.is_some() {
            xml.within("lido:rightsDate", &[], |xml| {
                for (name, day) in [
                    ("lido:earliestDate", rights.from),
                    ("lido:latestDate", rights.until),
                ] {
                    day.into_iter()
                        .for_each(|d| xml.words(name, &[], &d.to_string()));
                }
            });
        }
        xml.within("lido:rightsHolder", &[], |xml| {
            xml.within("lido:legalBodyName", &[], |xml| {
                xml.words("lido:appellationValue", &[], &rights.holder);
            });
        });
        if let Some(credit) = &rights.credit {
            each(xml, "lido:creditLine", credit);
        }
    });
}
