//! Details as Web Annotations and scenes. Section numbers are those of the Web Annotation Data
//! Model (W3C Recommendation, 23 February 2017); what is said of the IIIF Presentation API 4.0 is
//! its draft of May 2026, from notes. `./check outside` reads the annotations as linked data.

use counterpart::annotation::{
    BodyFiles, ModelFile, Still, Subject, annotations, manifest, metres, stand,
};
use counterpart::limits::Limits;
use counterpart::progress::Silence;
use counterpart::record::{BodyKind, Catalogue, Day, Object};
use counterpart::survey::{Survey, survey};
use glam::DVec3;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::LazyLock;

static DEMO: LazyLock<Survey> = LazyLock::new(|| {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let today = Day::new(2026, 1, 2).unwrap();
    survey(&folder, today, &Limits::default(), &Silence)
});

fn catalogue() -> &'static Catalogue {
    DEMO.catalogue.as_ref().unwrap()
}

fn bodies(object: &Object) -> BTreeMap<BodyKind, BodyFiles> {
    let geometry = &DEMO.geometry[&object.id];
    let models = geometry.bodies.iter().map(|(kind, body)| {
        let files = body.parts.iter().map(|part| ModelFile {
            part: Some(part.id.clone()),
            path: format!("assets/{}-{}-{}.glb", object.id, kind.word(), part.id),
        });
        (*kind, files.collect())
    });
    stand(object, geometry, &models.collect())
}

fn subject(object: &Object) -> Subject<'_> {
    Subject {
        site: &catalogue().site,
        object,
        bodies: bodies(object),
    }
}

fn object(id: &str) -> &'static Object {
    let mut all = catalogue().objects.iter();
    all.find(|o| o.id.as_str() == id).unwrap()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap()
}

/// All objects within, from the outside inward.
fn objects(value: &Value) -> Vec<&Value> {
    match value {
        Value::Object(map) => {
            let inner = map.values().flat_map(objects);
            std::iter::once(value).chain(inner).collect()
        }
        Value::Array(items) => items.iter().flat_map(objects).collect(),
        _ => Vec::new(),
    }
}

fn point(selector: &Value) -> DVec3 {
    assert_eq!(selector["type"], "PointSelector");
    let [x, y, z] = ["x", "y", "z"].map(|k| selector[k].as_f64().unwrap());
    DVec3::new(x, y, z)
}

/// Motivations of section 3.3.5.
const MOTIVATIONS: [&str; 13] = [
    "assessing",
    "bookmarking",
    "classifying",
    "commenting",
    "describing",
    "editing",
    "highlighting",
    "identifying",
    "linking",
    "moderating",
    "questioning",
    "replying",
    "tagging",
];

#[test]
fn every_detail_has_its_annotation_in_every_language() {
    for object in &catalogue().objects {
        let kept = serde_json::to_value(annotations(&subject(object)).unwrap()).unwrap();
        assert_eq!(list(&kept).len(), object.details.len());
        for (annotation, detail) in list(&kept).iter().zip(&object.details) {
            // 3.1: context, one id, type; 3.1: one target or more.
            assert!(
                list(&annotation["@context"]).contains(&"http://www.w3.org/ns/anno.jsonld".into())
            );
            assert!(text(&annotation["id"]).starts_with(&catalogue().site.address));
            assert_eq!(annotation["type"], "Annotation");
            for motivation in list(&annotation["motivation"]) {
                assert!(MOTIVATIONS.contains(&text(motivation)));
            }
            assert!(text(&annotation["rdfs:comment"]).contains("draft"));
            // 3.2.4: exactly one value.
            let told: Vec<&str> = list(&annotation["body"])
                .iter()
                .map(|b| text(&b["language"]))
                .collect();
            assert_eq!(told, ["en", "cy"]);
            for body in list(&annotation["body"]) {
                assert_eq!(body["type"], "TextualBody");
                assert_eq!(body["format"], "text/plain");
                let lang = text(&body["language"]).parse().unwrap();
                let note = detail.notes.get(&lang).unwrap();
                assert!(text(&body["value"]).starts_with(&note.title));
                assert!(text(&body["value"]).ends_with(note.plain_text().trim()));
            }
            let on = object.record.bodies.replica.is_some() && {
                let other = match detail.record.anchor.body {
                    BodyKind::Original => BodyKind::Replica,
                    BodyKind::Replica => BodyKind::Original,
                };
                detail.record.bearing.is_on(other)
            };
            assert_eq!(
                list(&annotation["target"]).len(),
                1 + usize::from(on),
                "{}",
                detail.id
            );
        }
        let manifest = serde_json::to_value(manifest(&subject(object)).unwrap()).unwrap();
        for scene in list(&manifest["items"]) {
            let pages = list(&scene["annotations"]);
            assert_eq!(pages.len(), 2, "a page for each language");
            for (page, lang) in pages.iter().zip(["en", "cy"]) {
                for annotation in list(&page["items"]) {
                    assert_eq!(annotation["body"][0]["language"], lang);
                }
            }
            assert_eq!(
                list(&pages[0]["items"]).len(),
                list(&pages[1]["items"]).len()
            );
        }
        for detail in &object.details {
            for lang in ["en", "cy"] {
                let end = format!("/words/{lang}/{}", detail.id);
                let all = objects(&manifest);
                let told = all.iter().filter(|o| {
                    o["type"] == "Annotation"
                        && o["id"].as_str().is_some_and(|id| id.ends_with(&end))
                });
                assert!(told.count() >= 1, "{end}");
            }
        }
    }
}

/// A point in millimetres, divided by 1000, is the point of the glTF model to 1e-7 m.
#[test]
fn points_are_those_of_the_record() {
    for object in &catalogue().objects {
        let geometry = &DEMO.geometry[&object.id];
        assert!(geometry.bodies[&BodyKind::Original].moved.is_none());
        let kept = serde_json::to_value(annotations(&subject(object)).unwrap()).unwrap();
        for (annotation, detail) in list(&kept).iter().zip(&object.details) {
            let anchor = &detail.record.anchor;
            let expected = DVec3::from_array(anchor.point_mm);
            let expected = geometry.bodies[&anchor.body].place(expected) / 1000.0;
            let end = format!("#{}", anchor.body.word());
            let mut targets = list(&annotation["target"]).iter();
            let target = targets.find(|t| text(&t["id"]).ends_with(&end)).unwrap();
            // 4: exactly one source.
            let model = format!(
                "assets/{}-{}-{}.glb",
                object.id,
                anchor.body.word(),
                detail.record.part
            );
            assert!(text(&target["source"]["id"]).ends_with(&model));
            let found = point(&target["selector"][0]);
            assert!(
                (found - expected).abs().max_element() <= 1e-7,
                "{}",
                detail.id
            );
            // The other body's point lies on its surface.
            for target in list(&annotation["target"]) {
                let kind = if text(&target["id"]).ends_with("#original") {
                    BodyKind::Original
                } else {
                    BodyKind::Replica
                };
                let on_surface = geometry.places[&detail.id][&kind].point / 1000.0;
                let found = point(&target["selector"][0]);
                assert!(
                    (found - on_surface).length() < 1.1e-3,
                    "{} {kind:?}",
                    detail.id
                );
            }
        }
    }
    assert_eq!(metres(-0.00001), 0.0);
    assert!(metres(-0.00001).is_sign_positive());
    assert_eq!(serde_json::to_string(&metres(10.46)).unwrap(), "0.01046");
}

#[test]
fn identifiers_are_unique_and_below_the_sites_address() {
    let mut seen = BTreeSet::new();
    for object in &catalogue().objects {
        let subject = subject(object);
        let own = [
            serde_json::to_value(annotations(&subject).unwrap()).unwrap(),
            serde_json::to_value(manifest(&subject).unwrap()).unwrap(),
        ];
        let mut named = BTreeSet::new();
        let mut cited = BTreeSet::new();
        for value in own.iter().flat_map(objects) {
            let Some(id) = value.get("id").map(text) else {
                continue;
            };
            assert!(id.starts_with(&catalogue().site.address), "{id}");
            let kind = text(&value["type"]);
            // A model, a publisher, and a scene named as target stand in several places.
            let names = match kind {
                "Model" | "Agent" => false,
                "Scene" => value.get("items").is_some(),
                _ => true,
            };
            if names {
                assert!(seen.insert(id.to_owned()), "{id} twice");
                named.insert(id.to_owned());
            }
            if let Some(scope) = value.get("scope") {
                cited.insert(text(scope).to_owned());
            }
            if kind == "Scene" {
                cited.insert(id.to_owned());
            }
        }
        assert!(
            cited.is_subset(&named),
            "every camera and scene that is cited is there"
        );
    }
}

/// The draft: a scene's unit by `spatialScale`, motivations as lists, cameras with `near` before
/// `far`, a first camera for the whole.
#[test]
fn a_scene_shows_its_body_from_where_the_detail_is_seen() {
    let object = object("brackwater-mortar");
    let subject = subject(object);
    let manifest = serde_json::to_value(manifest(&subject).unwrap()).unwrap();
    assert_eq!(
        manifest["@context"],
        "http://iiif.io/api/presentation/4/context.json"
    );
    assert_eq!(
        manifest["label"]["cy"][0],
        object
            .notes
            .get(&"cy".parse().unwrap())
            .unwrap()
            .title
            .as_str()
    );
    let statement = &manifest["requiredStatement"]["value"]["en"][0];
    assert!(text(statement).contains("invented"));
    let scenes = list(&manifest["items"]);
    assert_eq!(scenes.len(), 2);
    for (scene, (kind, body)) in scenes.iter().zip(&subject.bodies) {
        assert_eq!(scene["type"], "Scene");
        assert_eq!(scene["spatialScale"]["quantityValue"], 1.0);
        assert_eq!(scene["spatialScale"]["unit"], "m");
        let painted = list(&scene["items"][0]["items"]);
        let bounds = DEMO.geometry[&object.id].bodies[kind].bounds;
        let mut cameras = 0;
        for painting in painted {
            assert_eq!(painting["motivation"][0], "painting");
            let content = &painting["body"][0];
            if content["type"] == "Model" {
                assert_eq!(content["format"], "model/gltf-binary");
                assert_eq!(painting["target"][0]["id"], scene["id"]);
                continue;
            }
            assert_eq!(content["type"], "OrthographicCamera");
            let eye = point(&painting["target"][0]["selector"][0]);
            let look = point(&content["lookAt"]);
            if cameras == 0 {
                assert!((look - bounds.centre() / 1000.0).length() < 1e-6);
                assert!(
                    content["viewHeight"].as_f64().unwrap() * 1000.0 > bounds.size().max_element()
                );
            }
            cameras += 1;
            let [near, far] = ["near", "far"].map(|k| content[k].as_f64().unwrap());
            let corner = |i: u8| {
                let pick = |bit: u8| if i & bit == 0 { bounds.min } else { bounds.max };
                DVec3::new(pick(1).x, pick(2).y, pick(4).z) / 1000.0
            };
            let forward = (look - eye).normalize();
            for depth in (0..8).map(|i| (corner(i) - eye).dot(forward)) {
                assert!(near < depth && depth < far, "{near} {depth} {far}");
            }
        }
        assert_eq!(cameras, 1 + body.details.len());
        assert_eq!(painted.len(), cameras + body.models.len());
    }
    // The keeper's view of the lettering: azimuth 8°, elevation 5°.
    let band = objects(&manifest);
    let band = band.iter().find(|o| {
        o["id"]
            .as_str()
            .is_some_and(|id| id.ends_with("scenes/original/cameras/inscription-band"))
    });
    let band = band.unwrap();
    let eye = point(&band["target"][0]["selector"][0]);
    let way = (eye - point(&band["body"][0]["lookAt"])).normalize();
    assert!((way.y.asin().to_degrees() - 5.0).abs() < 0.01);
    assert!((way.x.atan2(way.z).to_degrees() - 8.0).abs() < 0.01);
}

/// 4.2.1, with the example of Media Fragments in our notes of the standard.
#[test]
fn a_still_is_a_second_target_that_is_no_draft() {
    let object = object("pilgrim-token");
    let mut subject = subject(object);
    let heron = object
        .details
        .iter()
        .find(|d| d.id.as_str() == "heron")
        .unwrap();
    let body = subject.bodies.get_mut(&BodyKind::Original).unwrap();
    let still = Still {
        path: "assets/heron.jpg".to_owned(),
        format: "image/jpeg",
        region_px: [160, 120, 320, 240],
    };
    body.stills.insert(heron.id.clone(), still);
    let kept = serde_json::to_value(annotations(&subject).unwrap()).unwrap();
    let mut all = list(&kept).iter();
    let heron = all
        .find(|a| text(&a["id"]).ends_with("/heron.jsonld"))
        .unwrap();
    let target = &heron["target"][1];
    assert_eq!(target["source"]["type"], "Image");
    assert_eq!(target["selector"][0]["type"], "FragmentSelector");
    assert_eq!(target["selector"][0]["value"], "xywh=160,120,320,240");
    assert_eq!(
        target["selector"][0]["conformsTo"],
        "http://www.w3.org/TR/media-frags/"
    );
}

#[test]
fn what_is_missing_is_named() {
    let object = object("pilgrim-token");
    let mut bare = subject(object);
    bare.bodies
        .get_mut(&BodyKind::Original)
        .unwrap()
        .models
        .clear();
    let fault = annotations(&bare).unwrap_err().to_string();
    assert!(
        fault.contains("details/") && fault.contains("record.toml") && fault.contains("‘token’"),
        "{fault}"
    );
    assert!(manifest(&bare).unwrap_err().what.contains("original"));
    let mut nowhere = subject(object);
    nowhere.bodies.clear();
    assert!(annotations(&nowhere).unwrap_err().what.contains("no place"));
    let mut silent = object.clone();
    silent.details[0]
        .notes
        .retain(|lang, _| lang.as_str() != "cy");
    let silent = Subject {
        object: &silent,
        ..subject(object)
    };
    let fault = annotations(&silent).unwrap_err();
    assert!(fault.record.ends_with("cy.md"), "{fault}");
}

#[test]
fn keys_stand_in_a_fixed_order() {
    let object = object("pilgrim-token");
    let write = || serde_json::to_string(&annotations(&subject(object)).unwrap()[0]).unwrap();
    let json = write();
    assert_eq!(json, write());
    assert!(json.starts_with("{\"@context\":[\"http://www.w3.org/ns/anno.jsonld\",\"http://iiif.io/api/presentation/4/context.json\"],\"id\":"));
    let at = |key: &str| json.find(key).unwrap();
    assert!(
        at("\"type\":\"Annotation\"") < at("\"motivation\"") && at("\"body\"") < at("\"target\"")
    );
}
