//! One annotation a detail, and the pieces that scenes share with it.

use super::model::{
    Annotation, AnnotationPage, Kept, KeptPage, Region, Selector, Specific, Target, TextualBody,
};
use super::place::Metres;
use super::subject::{BodyFiles, Stand, Subject};
use super::{DRAFT, NotAnnotated};
use crate::record::{BodyKind, Detail, DetailId, Dir, Lang};

/// Context of the W3C model.
const ANNO: &str = "http://www.w3.org/ns/anno.jsonld";
/// Context of the draft.
pub(super) const PRESENTATION: &str = "http://iiif.io/api/presentation/4/context.json";
const MEDIA_FRAGMENTS: &str = "http://www.w3.org/TR/media-frags/";
pub(super) const GLB: &str = "model/gltf-binary";

/// Where the page of all annotations stands, below the object's folder of data.
pub const PAGE_NAME: &str = "annotations.jsonld";

/// Where the annotation of a detail stands, below the object's folder of data.
pub fn name_of(detail: &DetailId) -> String {
    format!("annotations/{detail}.jsonld")
}

/// All annotations together (5.2).
pub fn page<'a>(subject: &Subject<'_>, all: &[&'a Annotation]) -> KeptPage<'a> {
    KeptPage {
        context: [ANNO, PRESENTATION],
        page: AnnotationPage {
            id: subject.id(&format!("data/{PAGE_NAME}")),
            kind: "AnnotationPage",
            label: None,
            items: all.to_vec(),
        },
        comment: DRAFT,
    }
}

/// An annotation for each detail, in the keeper's order: words in every language, and a target on
/// each body on which it can be pointed at.
///
/// # Errors
/// A detail that has no place or no words, or whose part has no model.
pub fn annotations(subject: &Subject<'_>) -> Result<Vec<Kept>, NotAnnotated> {
    let details = subject.object.details.iter();
    details.map(|detail| annotation(subject, detail)).collect()
}

/// The annotation of one detail.
///
/// # Errors
/// As of [`annotations`].
pub fn annotation(subject: &Subject<'_>, detail: &Detail) -> Result<Kept, NotAnnotated> {
    let languages = subject.site.languages.iter();
    let body: Result<Vec<_>, _> = languages.map(|lang| words(detail, lang)).collect();
    let id = subject.id(&format!("data/{}", name_of(&detail.id)));
    let target = targets(subject, detail, &id)?;
    Ok(Kept {
        context: [ANNO, PRESENTATION],
        annotation: Annotation {
            id,
            kind: "Annotation",
            motivation: ["describing"],
            rights: subject.words_rights(),
            body: body?,
            target,
        },
        comment: DRAFT,
    })
}

fn fault(detail: &Detail, file: &str, what: &str, remedy: &str) -> NotAnnotated {
    NotAnnotated {
        record: format!("details/{}/{file}", detail.id),
        what: what.to_owned(),
        remedy: remedy.to_owned(),
    }
}

/// Title and note in one language.
pub(super) fn words(detail: &Detail, lang: &Lang) -> Result<TextualBody, NotAnnotated> {
    let Some(note) = detail.notes.get(lang) else {
        let remedy = "write a note in this language";
        return Err(fault(
            detail,
            &format!("{lang}.md"),
            "there is no note",
            remedy,
        ));
    };
    let direction = match lang.dir() {
        Dir::Ltr => "ltr",
        Dir::Rtl => "rtl",
    };
    Ok(TextualBody {
        kind: "TextualBody",
        value: format!("{}\n\n{}", note.title, note.plain_text())
            .trim()
            .to_owned(),
        language: lang.to_string(),
        format: "text/plain",
        text_direction: direction,
        purpose: "describing",
    })
}

/// Where the detail is, on the models and, where stills are known, on those.
fn targets(
    subject: &Subject<'_>,
    detail: &Detail,
    id: &str,
) -> Result<Vec<Specific>, NotAnnotated> {
    let mut targets = Vec::new();
    for (kind, body) in &subject.bodies {
        let word = kind.word();
        if let Some(stand) = body.details.get(&detail.id) {
            let source = Target {
                id: subject.model(detail, *kind, body)?,
                kind: "Model",
                format: Some(GLB),
            };
            let id = format!("{id}#{word}");
            let scope = camera_id(subject, detail, *kind);
            targets.push(at(id, source, stand, Some(scope)));
        }
        targets.extend(on_still(
            subject,
            detail,
            body,
            &format!("{id}#{word}-still"),
        ));
    }
    if targets.is_empty() {
        return Err(fault(
            detail,
            "record.toml",
            "the detail has no place on any body",
            "write an [anchor] that lies on the surface of its part",
        ));
    }
    Ok(targets)
}

/// A point of a model or scene.
pub(super) fn at(id: String, source: Target, stand: &Stand, scope: Option<String>) -> Specific {
    Specific {
        id,
        kind: "SpecificResource",
        source,
        selector: [Selector::PointSelector(Metres::of_mm(stand.point_mm))],
        scope,
    }
}

fn on_still(
    subject: &Subject<'_>,
    detail: &Detail,
    body: &BodyFiles,
    id: &str,
) -> Option<Specific> {
    let still = body.stills.get(&detail.id)?;
    let [x, y, width, height] = still.region_px;
    Some(Specific {
        id: id.to_owned(),
        kind: "SpecificResource",
        source: Target {
            id: subject.file(&still.path),
            kind: "Image",
            format: Some(still.format),
        },
        selector: [Selector::FragmentSelector(Region {
            conforms_to: MEDIA_FRAGMENTS,
            value: format!("xywh={x},{y},{width},{height}"),
        })],
        scope: None,
    })
}

/// The annotation that puts a detail's camera into the scene of a body.
pub(super) fn camera_id(subject: &Subject<'_>, detail: &Detail, kind: BodyKind) -> String {
    subject.id(&format!("scenes/{}/cameras/{}", kind.word(), detail.id))
}
