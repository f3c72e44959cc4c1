//! The exchanged records among the open formats of an object.

use super::item::{Item, Resource};
use super::lido::{self, Publisher};
use super::table;
use crate::formats::{Document, Format, Telling, one};
use crate::record::{BodyKind, Finding, Findings, Object, Rights, Severity, SourceFile, Use};

/// The object as LIDO.
pub(crate) fn lido(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let site = &telling.catalogue.site;
    let by = Publisher {
        name: &site.publisher,
        address: &site.address,
        languages: &site.languages,
    };
    let mut item = Item::of(site, telling.object, Some(telling.geometry));
    item.resources = resources(telling);
    let text = lido::write(&[item], &by).map_err(|why| refused(telling.object, why))?;
    Ok(vec![Document {
        format: Format::Lido,
        name: "record.lido.xml".to_owned(),
        media_type: "application/xml",
        bytes: text.into_bytes(),
    }])
}

/// The object as a table of one row.
pub(crate) fn table(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let site = &telling.catalogue.site;
    let item = Item::of(site, telling.object, Some(telling.geometry));
    let text = table::write(&[item], &site.languages, table::Titles::Own)
        .map_err(|why| refused(telling.object, why))?;
    Ok(vec![Document {
        format: Format::Csv,
        name: "record.csv".to_owned(),
        media_type: "text/csv; charset=utf-8; header=present",
        bytes: text.into_bytes(),
    }])
}

fn refused(object: &Object, what: String) -> Findings {
    one(Finding {
        severity: Severity::Error,
        rule: "not-exchanged",
        place: SourceFile::whole(&format!("{}/record.toml", object.id)),
        what: "the object cannot be written for exchange".to_owned(),
        remedy: what,
    })
}

/// What the site serves and the agreements let others point at: stills where the models may be
/// shown, models where the files may be taken.
fn resources(telling: &Telling<'_>) -> Vec<Resource> {
    let mut all = Vec::new();
    for kind in [BodyKind::Original, BodyKind::Replica] {
        let Some(rights) = agreements(telling.object, kind) else {
            continue;
        };
        let may = |usage| {
            rights
                .iter()
                .all(|r| r.permits(usage, telling.catalogue.today))
        };
        let [model, still] = match kind {
            BodyKind::Original => [
                "The original, as it was scanned",
                "The original, from the front",
            ],
            BodyKind::Replica => ["The replica, as it was made", "The replica, from the front"],
        };
        if let Some(plate) = telling
            .served
            .plates
            .get(&kind)
            .filter(|_| may(Use::Display))
        {
            all.push(Resource {
                link: telling.file(&plate.path),
                media_type: plate.media_type,
                kind: "still image",
                shows: still,
                rights: rights.clone(),
            });
        }
        if let Some(level) = telling.served.model(kind).filter(|_| may(Use::Download)) {
            all.push(Resource {
                link: telling.file(&level.path),
                media_type: "model/gltf-binary",
                kind: "3D model",
                shows: model,
                rights,
            });
        }
    }
    all
}

/// The agreements under which the models of a body are, each once; none when one is not known.
fn agreements(object: &Object, kind: BodyKind) -> Option<Vec<Rights>> {
    let mut all: Vec<Rights> = Vec::new();
    for part in object.record.bodies.parts(kind) {
        let one = object.record.rights.iter().find(|r| r.id == part.rights)?;
        if all.iter().all(|r| r.id != one.id) {
            all.push(one.clone());
        }
    }
    (!all.is_empty()).then_some(all)
}
