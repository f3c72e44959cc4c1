//! Every claim with its ground.

use super::{Document, Format, Telling, json, one};
use crate::paradata::{Digests, graph};
use crate::record::{BodyKind, Finding, Findings, Severity, content_name};
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// Name of the document.
const NAME: &str = "paradata.jsonld";

pub(super) fn paradata(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let digests = digests(telling)?;
    let value = graph(
        telling.catalogue,
        telling.object,
        telling.claims,
        telling.said,
        &digests,
    );
    Ok(vec![Document {
        format: Format::Paradata,
        name: NAME.to_owned(),
        media_type: "application/ld+json",
        bytes: json(&value)?,
    }])
}

/// Of the models as they were received.
fn digests(telling: &Telling<'_>) -> Result<Digests, Findings> {
    let object = telling.object;
    let mut found = Digests::new();
    for kind in [BodyKind::Original, BodyKind::Replica] {
        for part in object.record.bodies.parts(kind) {
            let path = object.folder.join(&part.model);
            let bytes = std::fs::read(&path).map_err(|error| {
                let record = object.folder.join("record.toml");
                one(Finding {
                    severity: Severity::Error,
                    rule: "unreadable-file",
                    place: telling.sources.place_of(
                        &content_name(&telling.catalogue.folder, &record),
                        &["bodies", kind.word()],
                    ),
                    what: format!("{}: {error}", path.display()),
                    remedy: "put the model back, or correct its path".to_owned(),
                })
            })?;
            let mut hex = String::new();
            for byte in Sha256::digest(&bytes) {
                let _ = write!(hex, "{byte:02x}");
            }
            found.insert((kind, part.id.clone()), hex);
        }
    }
    Ok(found)
}
