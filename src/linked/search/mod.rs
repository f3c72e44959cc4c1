//! The vocabulary of schema.org, for search engines: in each page, and as a document.
//!
//! A body is a `VisualArtwork`: of schema.org's made things only that has height, width, depth and
//! weight and is neither for sale nor a file. Its `artform` says what it is. The replica is
//! `isBasedOn` the original. Models and stills are `3DModel` and `ImageObject`, with their
//! statement of rights; an address of a model only where its agreement lets it be kept.

mod media;
mod pages;
mod things;

pub(crate) use pages::{Crumb, Paged, for_page, in_script};

use super::document;
use crate::formats::{Document, Format, Telling};
use crate::record::{Findings, Lang, Localised};
use serde_json::{Value, json};

/// Context of schema.org. A copy of the terms that are used here is shipped: [`super::contexts`].
pub(crate) const CONTEXT: &str = "https://schema.org/";

/// Where the document stands, below the object's folder of data.
pub(crate) const NAME: &str = "schema-org.jsonld";

/// Who says what, in which languages.
pub(crate) struct Speaks<'a> {
    pub(crate) telling: &'a Telling<'a>,
    /// One, as in a page, and texts are plain; or several, and each text says its own.
    pub(crate) langs: &'a [Lang],
}

impl Speaks<'_> {
    /// A text in the languages.
    fn text(&self, text: &Localised) -> Value {
        self.each(|lang| text.get(lang).map(str::to_owned))
    }

    fn each(&self, say: impl Fn(&Lang) -> Option<String>) -> Value {
        match self.langs {
            [one] => say(one).map_or(Value::Null, Value::from),
            all => all
                .iter()
                .filter_map(|lang| Some(json!({ "@value": say(lang)?, "@language": lang })))
                .collect(),
        }
    }
}

/// The document, in every language.
pub(crate) fn documents(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let langs = &telling.catalogue.site.languages;
    let speaks = Speaks { telling, langs };
    let mut graph = speaks.things();
    graph.push(pages::publisher(telling.catalogue));
    let all = json!({ "@context": CONTEXT, "@graph": graph });
    Ok(vec![document(Format::SchemaOrg, NAME, &all)?])
}
