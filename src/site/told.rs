//! What a site tells of its objects in open formats, made once for all languages.

use super::files::Files;
use super::pictures::Pictures;
use super::served::served;
use super::{Request, SiteError};
use crate::formats::{self, Format, Served, Telling};
use crate::paradata::{Claim, Said};
use crate::record::{ObjectId, report};
use std::collections::BTreeMap;

/// All that is told of one object.
pub(super) struct Told {
    pub(super) served: Served,
    /// The documents, which lie among the files.
    pub(super) documents: Vec<Listed>,
    pub(super) grounds: Grounds,
}

/// A document as pages list it.
pub(super) struct Listed {
    pub(super) format: Format,
    pub(super) name: String,
    pub(super) media_type: &'static str,
    pub(super) bytes: usize,
}

/// What is claimed of an object, and the same in words.
#[derive(Default)]
pub(super) struct Grounds {
    pub(super) claims: Vec<Claim>,
    pub(super) said: Said,
}

impl Told {
    /// Where the documents of an object stand, relative to the root of the site.
    pub(super) fn path(object: &ObjectId, document: &Listed) -> String {
        format!("{object}/data/{}", document.name)
    }
}

/// Tells every object of the request.
pub(super) fn all(
    request: &Request<'_>,
    pictures: &Pictures,
    mut grounds: BTreeMap<ObjectId, Grounds>,
    files: &Files,
) -> Result<BTreeMap<ObjectId, Told>, SiteError> {
    let mut all = BTreeMap::new();
    for object in &request.catalogue.objects {
        let missing = || SiteError::Picture(format!("no geometry or pictures for ‘{}’", object.id));
        let made = pictures.objects.get(&object.id).ok_or_else(missing)?;
        let geometry = request.geometry.get(&object.id).ok_or_else(missing)?;
        let served = served(object, geometry, made);
        let grounds = grounds.remove(&object.id).unwrap_or_default();
        let telling = Telling {
            catalogue: request.catalogue,
            object,
            sources: request.sources,
            geometry,
            served: &served,
            claims: &grounds.claims,
            said: &grounds.said,
        };
        let documents = formats::of_object(&telling).map_err(|findings| {
            SiteError::Formats(report::plain(&findings, request.sources, false))
        })?;
        let mut told = Told {
            served,
            documents: Vec::new(),
            grounds,
        };
        for document in documents {
            let listed = Listed {
                format: document.format,
                name: document.name,
                media_type: document.media_type,
                bytes: document.bytes.len(),
            };
            let files = files.of_object(&object.id);
            files.put(&Told::path(&object.id, &listed), document.bytes);
            told.documents.push(listed);
        }
        all.insert(object.id.clone(), told);
    }
    Ok(all)
}
