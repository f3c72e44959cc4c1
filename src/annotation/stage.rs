//! The manifest: a scene for each body.

use super::annotate::{GLB, PRESENTATION, at, camera_id, words};
use super::model::{Annotation, AnnotationPage, Target};
use super::place::{Metres, metres};
use super::scene::{
    Agent, Camera, Content, Label, LookAt, Manifest, Painting, Pair, Quantity, Scene, Where,
};
use super::subject::{BodyFiles, Stand, Subject};
use super::{DRAFT, NotAnnotated};
use crate::record::{BodyKind, Detail, Lang, Part, PartId};
use glam::DVec3;

/// Nothing nearer to a camera is shown, millimetres; all bodies lie farther.
const NEAREST_MM: f64 = 1.0;

/// Where the manifest stands, below the object's folder of data.
pub const MANIFEST_NAME: &str = "manifest.json";

/// The manifest of an object.
///
/// # Errors
/// A detail without words in a language, or a body without models.
pub fn manifest(subject: &Subject<'_>) -> Result<Manifest, NotAnnotated> {
    let (site, object) = (subject.site, subject.object);
    let english = |text: &str| Label::from([("en".to_owned(), vec![text.to_owned()])]);
    let scenes = subject.bodies.iter();
    let statement = site.statement.as_ref();
    Ok(Manifest {
        context: PRESENTATION,
        id: subject.id(&format!("data/{MANIFEST_NAME}")),
        kind: "Manifest",
        label: title(subject),
        summary: subject.label(&object.record.label),
        metadata: vec![Pair {
            label: english("Format"),
            value: english(DRAFT),
        }],
        rights: subject.words_rights(),
        required_statement: statement.map(|statement| Pair {
            label: subject.label(&site.name),
            value: subject.label(statement),
        }),
        provider: [Agent {
            id: site.address.clone(),
            kind: "Agent",
            label: Label::from([("none".to_owned(), vec![site.publisher.clone()])]),
        }],
        items: scenes
            .map(|(kind, body)| scene(subject, *kind, body))
            .collect::<Result<_, _>>()?,
    })
}

fn title(subject: &Subject<'_>) -> Label {
    subject.labelled(|lang| Some(subject.object.notes.get(lang)?.title.clone()))
}

fn scene(subject: &Subject<'_>, kind: BodyKind, body: &BodyFiles) -> Result<Scene, NotAnnotated> {
    let word = kind.word();
    let base = format!("scenes/{word}");
    let id = subject.id(&base);
    if body.models.is_empty() {
        return Err(NotAnnotated {
            record: "record.toml".to_owned(),
            what: format!("no model of the {word} is served, and a scene of nothing says nothing"),
            remedy: "publish its models, or leave this body out".to_owned(),
        });
    }
    let location = subject.object.record.bodies.get(kind).map(|b| &b.location);
    let label = subject.labelled(|lang| {
        let title = &subject.object.notes.get(lang)?.title;
        let location = location.and_then(|l| l.get(lang));
        Some(location.map_or_else(|| title.clone(), |l| format!("{title}: {l}")))
    });
    let seen = || {
        let details = subject.object.details.iter();
        details.filter_map(|d| Some((d, body.details.get(&d.id)?)))
    };
    let mut items = models(subject, kind, body, &id);
    items.push(camera(
        &id,
        &subject.id(&format!("{base}/camera")),
        title(subject),
        &body.whole,
        body,
    ));
    for (detail, stand) in seen() {
        let name = subject.labelled(|lang| Some(detail.notes.get(lang)?.title.clone()));
        let at = camera_id(subject, detail, kind);
        items.push(camera(&id, &at, name, stand, body));
    }
    let languages = subject.site.languages.iter();
    let annotations = languages.map(|lang| {
        let told: Result<Vec<_>, _> = seen()
            .map(|(detail, stand)| told(subject, kind, detail, stand, lang))
            .collect();
        Ok(AnnotationPage {
            id: subject.id(&format!("{base}/words/{lang}")),
            kind: "AnnotationPage",
            label: Some(Label::from([(
                lang.to_string(),
                title(subject).remove(lang.as_str()).unwrap_or_default(),
            )])),
            items: told?,
        })
    });
    Ok(Scene {
        annotations: annotations.collect::<Result<_, NotAnnotated>>()?,
        items: [AnnotationPage {
            id: format!("{id}/content"),
            kind: "AnnotationPage",
            label: None,
            items,
        }],
        id,
        kind: "Scene",
        label,
        spatial_scale: Quantity {
            kind: "Quantity",
            value: 1.0,
            unit: "m",
        },
    })
}

fn models(subject: &Subject<'_>, kind: BodyKind, body: &BodyFiles, scene: &str) -> Vec<Painting> {
    let parts = subject.object.record.bodies.parts(kind);
    let models = body.models.iter();
    models
        .map(|model| {
            let part = parts.iter().find(|p| Some(&p.id) == model.part.as_ref());
            let name = model.part.as_ref().map_or("whole", PartId::as_str);
            let held = match part {
                Some(part) => subject.rights(&part.rights),
                None => one_for_all(subject, parts),
            };
            Painting {
                id: format!("{scene}/models/{name}"),
                kind: "Annotation",
                motivation: ["painting"],
                body: [Content::Model {
                    id: subject.file(&model.path),
                    kind: "Model",
                    format: GLB,
                    label: part.map_or_else(|| title(subject), |p| subject.label(&p.name)),
                    rights: held,
                }],
                target: [Where::Whole(target(scene))],
            }
        })
        .collect()
}

/// The statement under which all parts stand; none when they differ.
fn one_for_all(subject: &Subject<'_>, parts: &[Part]) -> Option<String> {
    let mut all = parts.iter().map(|p| subject.rights(&p.rights));
    let first = all.next()??;
    all.all(|other| other.as_ref() == Some(&first))
        .then_some(first)
}

fn target(scene: &str) -> Target {
    Target {
        id: scene.to_owned(),
        kind: "Scene",
        format: None,
    }
}

/// A camera stands beyond the body, so that nothing of it is cut off.
fn camera(scene: &str, id: &str, label: Label, stand: &Stand, body: &BodyFiles) -> Painting {
    let around = body.whole.half_height_mm;
    let from_centre = (stand.point_mm - body.whole.point_mm).length();
    let away = 2.0 * around + from_centre;
    let eye = Stand {
        point_mm: stand.point_mm + toward_eye(stand) * away,
        ..*stand
    };
    Painting {
        id: id.to_owned(),
        kind: "Annotation",
        motivation: ["painting"],
        body: [Content::Camera(Camera {
            id: format!("{id}#eye"),
            kind: "OrthographicCamera",
            label,
            view_height: metres(2.0 * stand.half_height_mm),
            near: metres(NEAREST_MM),
            far: metres(2.0 * away + 2.0 * around),
            look_at: LookAt::PointSelector(Metres::of_mm(stand.point_mm)),
        })],
        target: [Where::At(Box::new(at(
            format!("{id}#place"),
            target(scene),
            &eye,
            None,
        )))],
    }
}

fn toward_eye(stand: &Stand) -> DVec3 {
    crate::view::toward_eye(stand.from)
}

/// A detail's words in one language.
fn told(
    subject: &Subject<'_>,
    kind: BodyKind,
    detail: &Detail,
    stand: &Stand,
    lang: &Lang,
) -> Result<Annotation, NotAnnotated> {
    let scene = subject.id(&format!("scenes/{}", kind.word()));
    let id = format!("{scene}/words/{lang}/{}", detail.id);
    let scope = camera_id(subject, detail, kind);
    Ok(Annotation {
        kind: "Annotation",
        motivation: ["describing"],
        rights: subject.words_rights(),
        body: vec![words(detail, lang)?],
        target: vec![at(
            format!("{id}#place"),
            target(&scene),
            stand,
            Some(scope),
        )],
        id,
    })
}
