//! Dublin Core: DCMI Metadata Terms, the few that every catalogue reads.

use super::{document, put};
use crate::formats::{Document, Format, Telling};
use crate::record::{Body, BodyKind, Findings, Lang, Localised};
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// Where the document stands, below the object's folder of data.
pub(crate) const NAME: &str = "dublin-core.jsonld";

/// The terms that are used, whole: nothing needs to be fetched to read them.
fn context() -> Value {
    let in_languages =
        |term: &str| json!({ "@id": format!("dcterms:{term}"), "@container": "@language" });
    let address = |term: &str| json!({ "@id": format!("dcterms:{term}"), "@type": "@id" });
    json!({
        "dcterms": DCTERMS,
        "dcmitype": "http://purl.org/dc/dcmitype/",
        "id": "@id",
        "type": "@type",
        "PhysicalObject": "dcmitype:PhysicalObject",
        "title": in_languages("title"),
        "description": in_languages("description"),
        "medium": in_languages("medium"),
        "temporal": in_languages("temporal"),
        "spatial": in_languages("spatial"),
        "creator": in_languages("creator"),
        "provenance": in_languages("provenance"),
        "extent": in_languages("extent"),
        "contributor": "dcterms:contributor",
        "identifier": "dcterms:identifier",
        "created": "dcterms:created",
        "publisher": "dcterms:publisher",
        "rightsHolder": "dcterms:rightsHolder",
        "rights": address("rights"),
        "license": address("license"),
        "isVersionOf": address("isVersionOf"),
        "hasVersion": address("hasVersion"),
        "hasFormat": address("hasFormat"),
        "isReferencedBy": address("isReferencedBy"),
    })
}

/// The namespace of the terms.
pub(crate) const DCTERMS: &str = "http://purl.org/dc/terms/";

/// What a page says of a body in these terms, in its own language: property and value.
pub(crate) fn brief(
    telling: &Telling<'_>,
    kind: BodyKind,
    lang: &Lang,
) -> Vec<(&'static str, Value)> {
    let object = telling.object;
    let what = &object.record.identification;
    let title = object
        .notes
        .get(lang)
        .map(|n| Value::from(n.title.as_str()));
    let mut said = vec![("dcterms:extent", extent(telling, kind).into())];
    said.extend(title.map(|t| ("dcterms:title", t)));
    match kind {
        BodyKind::Original => {
            said.push(("dcterms:identifier", what.number.as_str().into()));
            said.extend(
                what.keeper
                    .get(lang)
                    .map(|k| ("dcterms:provenance", k.into())),
            );
        }
        BodyKind::Replica => {
            let original = telling.address("#original");
            said.push(("dcterms:isVersionOf", json!({ "@id": original })));
        }
    }
    said
}

/// The document.
pub(crate) fn documents(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let bodies = [BodyKind::Original, BodyKind::Replica];
    let bodies = bodies.into_iter().filter_map(|kind| {
        let body = telling.object.record.bodies.get(kind)?;
        Some(thing(telling, kind, body))
    });
    let all = json!({ "@context": context(), "@graph": bodies.collect::<Vec<_>>() });
    Ok(vec![document(Format::DublinCore, NAME, &all)?])
}

/// A text by language.
fn by_language(telling: &Telling<'_>, text: &Localised) -> Value {
    let languages = telling.catalogue.site.languages.iter();
    let all = languages.filter_map(|lang| Some((lang.to_string(), text.get(lang)?.into())));
    Value::Object(all.collect())
}

fn id(telling: &Telling<'_>, kind: BodyKind) -> String {
    telling.document(&super::art::thing_name(kind))
}

fn thing(telling: &Telling<'_>, kind: BodyKind, body: &Body) -> Value {
    let object = telling.object;
    let what = &object.record.identification;
    let titles = object
        .notes
        .iter()
        .map(|(lang, note)| (lang.to_string(), note.title.as_str().into()));
    let titles: Map<String, Value> = titles.collect();
    let mut thing = json!({
        "id": id(telling, kind), "type": "PhysicalObject",
        "title": titles,
        "medium": by_materials(telling, body),
        "publisher": telling.catalogue.site.publisher,
        "hasFormat": telling.served.model(kind).map(|_| telling.document(&super::art::shown_name(kind))),
        "isReferencedBy": telling.address(""),
        "extent": { "en": extent(telling, kind) },
    });
    if let Some(map) = thing.as_object_mut() {
        map.retain(|_, value| !value.is_null());
    }
    if kind == telling.shown() {
        put(
            &mut thing,
            "description",
            Some(by_language(telling, &object.record.label)),
        );
    }
    match kind {
        BodyKind::Original => {
            put(&mut thing, "identifier", Some(what.number.as_str().into()));
            put(
                &mut thing,
                "temporal",
                Some(by_language(telling, &what.date)),
            );
            put(
                &mut thing,
                "provenance",
                Some(by_language(telling, &what.keeper)),
            );
            put(
                &mut thing,
                "creator",
                what.maker.as_ref().map(|m| by_language(telling, m)),
            );
            put(
                &mut thing,
                "spatial",
                what.place.as_ref().map(|p| by_language(telling, p)),
            );
            let replica = object.record.bodies.replica.as_ref();
            put(
                &mut thing,
                "hasVersion",
                replica.map(|_| id(telling, BodyKind::Replica).into()),
            );
        }
        BodyKind::Replica => {
            put(
                &mut thing,
                "isVersionOf",
                Some(id(telling, BodyKind::Original).into()),
            );
            put(
                &mut thing,
                "created",
                body.dated.map(|d| d.to_string().into()),
            );
            let people = object.making.iter().flat_map(|s| &s.record.people);
            let people: BTreeSet<_> = people.collect();
            let site = &telling.catalogue.site;
            let names = people.into_iter().filter_map(|id| site.people.get(id));
            put(
                &mut thing,
                "contributor",
                Some(names.map(|p| p.name.as_str()).collect()),
            );
        }
    }
    // Rights of what is said here: the words.
    let words = object
        .record
        .rights
        .iter()
        .find(|r| r.id == object.record.words_rights);
    if let Some(rights) = words {
        let key = match rights.statement.as_str().contains("creativecommons.org") {
            true => "license",
            false => "rights",
        };
        put(&mut thing, key, Some(rights.statement.as_str().into()));
        put(
            &mut thing,
            "rightsHolder",
            Some(rights.holder.as_str().into()),
        );
    }
    thing
}

fn by_materials(telling: &Telling<'_>, body: &Body) -> Value {
    let ids: BTreeSet<_> = body.parts.iter().map(|p| &p.material).collect();
    let materials = &telling.object.record.materials;
    let languages = telling.catalogue.site.languages.iter();
    let all = languages.map(|lang| {
        let names = ids
            .iter()
            .filter_map(|id| materials.get(*id)?.name.get(lang));
        (lang.to_string(), names.collect::<Vec<_>>().into())
    });
    Value::Object(all.collect())
}

/// Sizes and mass as text, for that is what the term wants; numbers are those of the page.
fn extent(telling: &Telling<'_>, kind: BodyKind) -> Vec<String> {
    let geometry = telling.geometry;
    let mut told = Vec::new();
    let mut add = |what: &str, estimate: &crate::collate::Estimate, unit: &str| {
        told.push(match estimate.rounded() {
            Some(r) => {
                let d = r.decimals;
                format!("{what} {:.d$} ± {:.d$} {unit} (k = 2)", r.value, r.expanded)
            }
            None => format!("{what} {:.1} {unit}", estimate.value),
        });
    };
    if let Some(extent) = geometry.extents.bodies.get(&kind) {
        let [width, height, depth] = &extent.size_mm;
        for (what, size) in [("height", height), ("width", width), ("depth", depth)] {
            add(what, size, "mm");
        }
    }
    if let Some(mass) = geometry
        .quantities
        .masses
        .get(&kind)
        .and_then(|m| m.best_g())
    {
        add("mass", mass, "g");
    }
    told
}
