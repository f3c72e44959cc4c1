//! The open formats in which an object is told to machines and to archives.
//!
//! Takes the records, the geometry and where the site serves models and stills; hands on every
//! [`Document`] of an object, in a fixed order: the same input gives the same bytes. The site puts
//! them below `<object>/data/`, the deposit below `data/formats/`. Addresses within them are those
//! of the published site, whatever the form in which it is read. Numbers are those of the pages:
//! nothing is measured here. What cannot be said in a format is a finding, never left out.

mod format;
mod grounds;
mod marks;

pub use format::Format;

use crate::annotation::{ModelFile, Still};
use crate::collate::ObjectGeometry;
use crate::linked;
use crate::paradata::{Claim, Said};
use crate::record::{BodyKind, Catalogue, DetailId, Finding, Findings, Object, Sources};
use std::collections::BTreeMap;

/// A document in one of the formats.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// In which.
    pub format: Format,
    /// Its path below the object's folder of data, such as `annotations/lip-patch.jsonld`.
    pub name: String,
    /// Media type, with parameters.
    pub media_type: &'static str,
    /// The document.
    pub bytes: Vec<u8>,
}

/// A picture file of the site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureFile {
    /// Its path relative to the root of the site.
    pub path: String,
    /// Its media type.
    pub media_type: &'static str,
    /// Width and height, pixels.
    pub size_px: [u32; 2],
}

/// A model file of the site: all parts of one body, of one level.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelFile {
    /// Name of the level.
    pub level: &'static str,
    /// Its path relative to the root of the site; glTF binary, metres.
    pub path: String,
    /// Its length, bytes.
    pub bytes: usize,
    /// Triangles in it.
    pub triangles: usize,
    /// Nowhere does it stray further from the scan, either way, millimetres.
    pub strays_mm: f64,
}

/// What the site serves of an object. What rights withhold is not here.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Served {
    /// Models, the lightest level first.
    pub models: BTreeMap<BodyKind, Vec<LevelFile>>,
    /// Each body from the front.
    pub plates: BTreeMap<BodyKind, PictureFile>,
    /// Details from close by, with the place of the detail.
    pub stills: BTreeMap<BodyKind, BTreeMap<DetailId, Still>>,
}

impl Served {
    /// The model of a body to which documents point: the finest but one, which turns on most
    /// devices, or the only one.
    pub fn model(&self, kind: BodyKind) -> Option<&LevelFile> {
        let levels = self.models.get(&kind)?;
        levels.iter().rev().nth(1).or(levels.last())
    }

    /// The same for all bodies, each in one file.
    pub(crate) fn whole_models(&self) -> BTreeMap<BodyKind, Vec<ModelFile>> {
        let of = |kind: &BodyKind| {
            let path = self.model(*kind)?.path.clone();
            Some((*kind, vec![ModelFile { part: None, path }]))
        };
        self.models.keys().filter_map(of).collect()
    }
}

/// What the documents of an object are told from. The day for which rights are judged is that of
/// the catalogue.
#[derive(Debug, Clone, Copy)]
pub struct Telling<'a> {
    /// Publisher, address, people, languages.
    pub catalogue: &'a Catalogue,
    /// The object.
    pub object: &'a Object,
    /// The files that were read, for the places of findings.
    pub sources: &'a Sources,
    /// What was measured.
    pub geometry: &'a ObjectGeometry,
    /// What the site serves.
    pub served: &'a Served,
    /// Every claim.
    pub claims: &'a [Claim],
    /// The same in words.
    pub said: &'a Said,
}

impl Telling<'_> {
    /// The address of something of this object: `rest` below its folder.
    pub fn address(&self, rest: &str) -> String {
        format!("{}{}/{rest}", self.catalogue.site.address, self.object.id)
    }

    /// The address of a document: `name` below the object's folder of data.
    pub fn document(&self, name: &str) -> String {
        self.address(&format!("data/{name}"))
    }

    /// The body that stands before the visitor: the replica, or the original where there is none.
    pub fn shown(&self) -> BodyKind {
        match self.object.record.bodies.replica {
            Some(_) => BodyKind::Replica,
            None => BodyKind::Original,
        }
    }

    /// The address of a file of the site.
    pub fn file(&self, path: &str) -> String {
        format!("{}{path}", self.catalogue.site.address)
    }
}

/// All documents of an object.
///
/// # Errors
/// Everything in its records and notes that a format has no words for.
pub fn of_object(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let arms = [
        linked::art::documents,
        linked::search::documents,
        linked::core::documents,
        marks::annotations,
        marks::manifest,
        marks::editions,
        grounds::paradata,
        linked::contexts::documents,
    ];
    let (mut documents, mut findings) = (Vec::new(), Findings::none());
    for arm in arms {
        match arm(telling) {
            Ok(more) => documents.extend(more),
            Err(more) => findings.extend(more),
        }
    }
    if findings.is_empty() {
        Ok(documents)
    } else {
        findings.settle();
        Err(findings)
    }
}

/// JSON on lines of its own, so that people can read it and versions can be compared.
pub(crate) fn json(value: &impl serde::Serialize) -> Result<Vec<u8>, Findings> {
    match serde_json::to_vec_pretty(value) {
        Ok(mut bytes) => {
            bytes.push(b'\n');
            Ok(bytes)
        }
        Err(error) => Err(one(Finding {
            severity: crate::record::Severity::Error,
            rule: "not-in-json",
            place: crate::record::SourceFile::whole("site.toml"),
            what: format!("a document could not be written: {error}"),
            remedy: "try again; if it stays so, report it with this text".to_owned(),
        })),
    }
}

/// One finding.
pub(crate) fn one(finding: Finding) -> Findings {
    let mut findings = Findings::none();
    findings.push(finding);
    findings
}
