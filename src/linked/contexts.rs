//! The terms of the contexts that documents name, shipped beside them.
//!
//! Each holds exactly the terms that are used here, with their published addresses. Those of
//! Linked Art and of schema.org are held against the published context and vocabulary by
//! `./check outside`; those of the W3C's annotations and of the IIIF draft are from memory, since
//! no registry carries them. `contexts/index.json` says which file stands for which address, for
//! a reader without a network.

use super::MEDIA_TYPE;
use crate::formats::{Document, Format, Telling, json};
use crate::record::Findings;
use serde_json::{Map, Value};

/// Address, file name, text.
pub const CONTEXTS: [(&str, &str, &str); 4] = [
    (
        super::art::CONTEXT,
        "linked-art.jsonld",
        include_str!("contexts/linked-art.jsonld"),
    ),
    (
        super::search::CONTEXT,
        "schema-org.jsonld",
        include_str!("contexts/schema-org.jsonld"),
    ),
    (
        "http://www.w3.org/ns/anno.jsonld",
        "anno.jsonld",
        include_str!("contexts/anno.jsonld"),
    ),
    (
        "http://iiif.io/api/presentation/4/context.json",
        "presentation-4.jsonld",
        include_str!("contexts/presentation-4.jsonld"),
    ),
];

/// All of them, and the list.
pub(crate) fn documents(_: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let context = |name: &str, media_type, bytes| Document {
        format: Format::Context,
        name: format!("contexts/{name}"),
        media_type,
        bytes,
    };
    let list = CONTEXTS
        .iter()
        .map(|(address, name, _)| ((*address).to_owned(), Value::from(*name)));
    let list: Map<String, Value> = list.collect();
    let list = json(&Value::Object(list))?;
    let files = CONTEXTS.iter();
    let mut all: Vec<Document> = files
        .map(|(_, name, text)| context(name, MEDIA_TYPE, text.as_bytes().to_vec()))
        .collect();
    all.push(context("index.json", "application/json", list));
    Ok(all)
}
