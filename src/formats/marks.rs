//! Annotations of the details, the manifest of scenes, and editions of the lettering.

use super::{Document, Format, Telling, json, one};
use crate::annotation::{
    self, ANNOTATION_TYPE, Annotation, BodyFiles, NotAnnotated, Subject, stand,
};
use crate::epigraphy;
use crate::record::{BodyKind, Detail, Finding, Findings, Severity, content_name};
use std::collections::BTreeMap;

/// Media type of a manifest: JSON-LD with the draft's profile.
const MANIFEST_TYPE: &str =
    "application/ld+json; profile=\"http://iiif.io/api/presentation/4/context.json\"";

/// One annotation a detail, and a page of them all.
pub(super) fn annotations(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let subject = subject(telling);
    let shown = |detail: &&Detail| {
        let mut bodies = subject.bodies.values();
        bodies.any(|b| b.details.contains_key(&detail.id) || b.stills.contains_key(&detail.id))
    };
    let mut kept = Vec::new();
    for detail in telling.object.details.iter().filter(shown) {
        let one = annotation::annotation(&subject, detail);
        kept.push((detail, one.map_err(|fault| finding(telling, &fault))?));
    }
    if kept.is_empty() {
        return Ok(Vec::new());
    }
    let all: Vec<&Annotation> = kept.iter().map(|(_, k)| &k.annotation).collect();
    let page = annotation::page(&subject, &all);
    let written = |name: String, bytes| document(Format::Annotations, name, ANNOTATION_TYPE, bytes);
    let mut documents = vec![written(annotation::PAGE_NAME.to_owned(), json(&page)?)];
    for (detail, one) in &kept {
        documents.push(written(annotation::name_of(&detail.id), json(one)?));
    }
    Ok(documents)
}

/// The manifest; none when no model may be shown.
pub(super) fn manifest(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let mut subject = subject(telling);
    subject.bodies.retain(|_, body| !body.models.is_empty());
    if subject.bodies.is_empty() {
        return Ok(Vec::new());
    }
    let manifest = annotation::manifest(&subject).map_err(|fault| finding(telling, &fault))?;
    Ok(vec![document(
        Format::Manifest,
        annotation::MANIFEST_NAME.to_owned(),
        MANIFEST_TYPE,
        json(&manifest)?,
    )])
}

/// An edition for each detail that has lettering.
pub(super) fn editions(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let editions = epigraphy::editions(telling.catalogue, telling.object, telling.sources)?;
    let of = |edition: epigraphy::Edition| {
        document(
            Format::Edition,
            format!("inscriptions/{}.xml", edition.detail),
            epigraphy::MEDIA_TYPE,
            edition.xml.into_bytes(),
        )
    };
    Ok(editions.into_iter().map(of).collect())
}

fn document(format: Format, name: String, media_type: &'static str, bytes: Vec<u8>) -> Document {
    Document {
        format,
        name,
        media_type,
        bytes,
    }
}

fn subject<'a>(telling: &Telling<'a>) -> Subject<'a> {
    let models = telling.served.whole_models();
    let mut bodies: BTreeMap<BodyKind, BodyFiles> =
        stand(telling.object, telling.geometry, &models);
    for (kind, body) in &mut bodies {
        let stills = telling.served.stills.get(kind);
        body.stills = stills.cloned().unwrap_or_default();
        // Nothing can be pointed at on a model that rights withhold; its stills may still be shown.
        if body.models.is_empty() {
            body.details.clear();
        }
    }
    Subject {
        site: &telling.catalogue.site,
        object: telling.object,
        bodies,
    }
}

fn finding(telling: &Telling<'_>, fault: &NotAnnotated) -> Findings {
    let path = telling.object.folder.join(&fault.record);
    let name = content_name(&telling.catalogue.folder, &path);
    one(Finding {
        severity: Severity::Error,
        rule: "not-annotated",
        place: telling.sources.place_of(&name, &[]),
        what: fault.what.clone(),
        remedy: fault.remedy.clone(),
    })
}
