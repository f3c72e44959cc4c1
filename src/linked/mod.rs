//! An object as linked data: facts that machines can read and join with those of others.
//!
//! Takes what [`Telling`] holds; hands on JSON-LD. [`art`] tells it in Linked Art, a profile of
//! the CIDOC CRM: a document each for original, replica and their models. [`search`] tells it in
//! the words of schema.org, for search engines, in a document and in the pages. [`core`] tells it
//! in Dublin Core. [`contexts`] are the terms that these use, shipped beside them, so that they can
//! be read without a network: nothing is ever fetched.
//!
//! Terms and identifiers of types are held against published vocabularies by `./check outside`.
//! Where a record says nothing, nothing is said. Numbers are those of the pages, rounded as there.

pub(crate) mod art;
pub mod contexts;
pub(crate) mod core;
pub(crate) mod search;

use crate::formats::{Document, Format, json};
use crate::record::Findings;
use serde_json::Value;

/// Media type of JSON-LD (RFC 6838 registration by JSON-LD 1.1, 10).
pub const MEDIA_TYPE: &str = "application/ld+json";

/// A document of JSON-LD.
fn document(format: Format, name: &str, value: &Value) -> Result<Document, Findings> {
    Ok(Document {
        format,
        name: name.to_owned(),
        media_type: MEDIA_TYPE,
        bytes: json(value)?,
    })
}

/// Adds a key where there is something to say.
fn put(node: &mut Value, key: &str, value: Option<Value>) {
    let said = value.filter(|v| !v.as_array().is_some_and(Vec::is_empty));
    if let (Some(map), Some(value)) = (node.as_object_mut(), said) {
        map.insert(key.to_owned(), value);
    }
}
