//! What is annotated: the object, where its models are served, and where its details lie.

use super::NotAnnotated;
use crate::collate::ObjectGeometry;
use crate::record::{BodyKind, Detail, DetailId, Lang, Localised, Object, PartId, Site, ViewFrom};
use glam::DVec3;
use std::collections::BTreeMap;

/// A model file of the site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ModelFile {
    /// The part; nothing when the file holds the whole body.
    pub part: Option<PartId>,
    /// Its path relative to the root of the site; glTF binary, metres.
    pub path: String,
}

/// A place of a detail on a still of the site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Still {
    /// The still's path relative to the root of the site.
    pub path: String,
    /// Its media type.
    pub format: &'static str,
    /// Left, top, width and height of the detail, pixels.
    pub region_px: [u32; 4],
}

/// Where something is seen, in the frame in which the models of the site lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// The point that is looked at, millimetres.
    pub point_mm: DVec3,
    /// From where.
    pub from: ViewFrom,
    /// Half the height of what is shown, millimetres.
    pub half_height_mm: f64,
}

/// A body with its files and places.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyFiles {
    /// A model for each part.
    pub models: Vec<ModelFile>,
    /// The whole.
    pub whole: Stand,
    /// The details that can be pointed at.
    pub details: BTreeMap<DetailId, Stand>,
    /// Stills of details; none is needed.
    pub stills: BTreeMap<DetailId, Still>,
}

/// An object that is to be annotated.
#[derive(Debug, Clone)]
pub struct Subject<'a> {
    /// Publisher, address, languages.
    pub site: &'a Site,
    /// The object.
    pub object: &'a Object,
    /// Its bodies.
    pub bodies: BTreeMap<BodyKind, BodyFiles>,
}

/// A detail is shown with so many of its radii around it, and never less than this, millimetres.
const AROUND: (f64, f64) = (3.0, 8.0);

/// Bodies and places as they were measured; `models` are where the site serves them. A detail is
/// placed where its record anchors it, and on the other body where it bears on that too.
pub fn stand(
    object: &Object,
    geometry: &ObjectGeometry,
    models: &BTreeMap<BodyKind, Vec<ModelFile>>,
) -> BTreeMap<BodyKind, BodyFiles> {
    let bodies = geometry.bodies.iter();
    bodies
        .map(|(kind, body)| {
            let size = body.bounds.size();
            let whole = Stand {
                point_mm: body.bounds.centre(),
                from: geometry.front,
                // Whole from any side, since nothing of a box is longer than its diagonal.
                half_height_mm: size.length() / 2.0,
            };
            let placed = |detail: &Detail| {
                let anchor = &detail.record.anchor;
                let point_mm = if anchor.body == *kind {
                    body.place(DVec3::from_array(anchor.point_mm))
                } else if detail.record.bearing.is_on(*kind) {
                    geometry.places.get(&detail.id)?.get(kind)?.point
                } else {
                    return None;
                };
                let sight = geometry.sights.get(&detail.id);
                let from = sight.map(|s| s.on_model).or(detail.record.view);
                let stand = Stand {
                    point_mm,
                    from: from.unwrap_or(geometry.front),
                    half_height_mm: (anchor.radius_mm * AROUND.0).max(AROUND.1),
                };
                Some((detail.id.clone(), stand))
            };
            let files = BodyFiles {
                models: models.get(kind).cloned().unwrap_or_default(),
                whole,
                details: object.details.iter().filter_map(placed).collect(),
                stills: BTreeMap::new(),
            };
            (*kind, files)
        })
        .collect()
}

impl Subject<'_> {
    /// An address below the site's own, of something of this object.
    pub(super) fn id(&self, rest: &str) -> String {
        format!("{}{}/{rest}", self.site.address, self.object.id)
    }

    /// The address of a file of the site.
    pub(super) fn file(&self, path: &str) -> String {
        format!("{}{path}", self.site.address)
    }

    /// Licence or statement for the words.
    pub(super) fn words_rights(&self) -> Option<String> {
        self.rights(&self.object.record.words_rights)
    }

    pub(super) fn rights(&self, id: &crate::record::RightsId) -> Option<String> {
        let mut all = self.object.record.rights.iter();
        let rights = all.find(|r| r.id == *id)?;
        Some(rights.statement.as_str().to_owned())
    }

    /// A text in the languages of the site.
    pub(super) fn label(&self, text: &Localised) -> super::Label {
        self.labelled(|lang| text.get(lang).map(str::to_owned))
    }

    pub(super) fn labelled(&self, say: impl Fn(&Lang) -> Option<String>) -> super::Label {
        let languages = self.site.languages.iter();
        languages
            .filter_map(|lang| Some((lang.to_string(), vec![say(lang)?])))
            .collect()
    }

    /// The model of the part that carries a detail.
    pub(super) fn model(
        &self,
        detail: &Detail,
        kind: BodyKind,
        body: &BodyFiles,
    ) -> Result<String, NotAnnotated> {
        let part = &detail.record.part;
        let mut models = body.models.iter();
        let holds = |m: &&ModelFile| m.part.as_ref().is_none_or(|p| p == part);
        let model = models.find(holds).ok_or_else(|| NotAnnotated {
            record: format!("details/{}/record.toml", detail.id),
            what: format!(
                "no model of the part ‘{part}’ of the {} is served, so nothing can be pointed at",
                kind.word()
            ),
            remedy:
                "publish the model of this part, or anchor the detail on a part that is published"
                    .to_owned(),
        })?;
        Ok(self.file(&model.path))
    }
}
