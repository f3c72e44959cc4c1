//! Linked data of the demonstration. `./check linked` reads what a site publishes with other
//! libraries and published vocabularies; here is what needs records of its own: rights, absent
//! facts, and the same bytes twice.

use counterpart::annotation::Still;
use counterpart::formats::{Document, Format, LevelFile, PictureFile, Served, Telling, of_object};
use counterpart::limits::Limits;
use counterpart::linked::contexts::CONTEXTS;
use counterpart::paradata::Said;
use counterpart::progress::Silence;
use counterpart::record::{BodyKind, Catalogue, Day, Object, Use};
use counterpart::survey::{Survey, survey};
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

/// Files as a site would serve them, by invented names.
fn served(object: &Object) -> Served {
    let mut served = Served::default();
    for kind in DEMO.geometry[&object.id].bodies.keys() {
        let level = |level, triangles| LevelFile {
            level,
            path: format!("assets/{}-{level}.glb", kind.word()),
            bytes: triangles * 10,
            triangles,
            strays_mm: 0.123,
        };
        let levels = vec![
            level("phone", 20_000),
            level("desk", 80_000),
            level("kiosk", 200_000),
        ];
        served.models.insert(*kind, levels);
        let plate = PictureFile {
            path: format!("assets/{}.png", kind.word()),
            media_type: "image/png",
            size_px: [1600, 1280],
        };
        served.plates.insert(*kind, plate);
        let stills = object.details.iter().map(|detail| {
            let still = Still {
                path: format!("assets/{}-{}.jpg", detail.id, kind.word()),
                format: "image/jpeg",
                region_px: [1, 2, 3, 4],
            };
            (detail.id.clone(), still)
        });
        served.stills.insert(*kind, stills.collect());
    }
    served
}

fn told(catalogue: &Catalogue, object: &Object, served: &Served) -> Vec<Document> {
    let telling = Telling {
        catalogue,
        object,
        sources: &DEMO.sources,
        geometry: &DEMO.geometry[&object.id],
        served,
        claims: &[],
        said: &Said::default(),
    };
    of_object(&telling).unwrap()
}

fn mortar() -> &'static Object {
    let mut all = catalogue().objects.iter();
    all.find(|o| o.id.as_str() == "brackwater-mortar").unwrap()
}

fn named<'d>(documents: &'d [Document], name: &str) -> &'d Document {
    documents.iter().find(|d| d.name == name).unwrap()
}

fn read(documents: &[Document], name: &str) -> Value {
    serde_json::from_slice(&named(documents, name).bytes).unwrap()
}

/// All objects within.
fn within(value: &Value) -> Vec<&Value> {
    match value {
        Value::Object(map) => {
            let inner = map.values().flat_map(within);
            std::iter::once(value).chain(inner).collect()
        }
        Value::Array(items) => items.iter().flat_map(within).collect(),
        _ => Vec::new(),
    }
}

fn of_type<'v>(value: &'v Value, kind: &str) -> Vec<&'v Value> {
    let all = within(value).into_iter();
    all.filter(|v| v["type"] == kind || v["@type"] == kind)
        .collect()
}

#[test]
fn the_same_input_gives_the_same_documents_in_the_same_order() {
    for object in &catalogue().objects {
        let served = served(object);
        let documents = told(catalogue(), object, &served);
        assert_eq!(documents, told(catalogue(), object, &served));
        let names: BTreeSet<&str> = documents.iter().map(|d| d.name.as_str()).collect();
        assert_eq!(names.len(), documents.len(), "a name twice");
        for document in &documents {
            assert!(!document.bytes.is_empty(), "{}", document.name);
            assert!(
                Format::ALL.contains(&document.format),
                "{} is in no list",
                document.name
            );
        }
    }
}

/// Every context that a document names is shipped, and the list says in which file.
#[test]
fn contexts_are_shipped_with_the_documents() {
    for object in &catalogue().objects {
        let documents = told(catalogue(), object, &served(object));
        let index = read(&documents, "contexts/index.json");
        for document in documents.iter().filter(|d| d.format != Format::Context) {
            let Ok(value) = serde_json::from_slice::<Value>(&document.bytes) else {
                continue;
            };
            let contexts = match &value["@context"] {
                Value::Array(all) => all.clone(),
                one => vec![one.clone()],
            };
            for context in contexts.iter().filter_map(Value::as_str) {
                let file = index[context].as_str();
                let file = file.unwrap_or_else(|| panic!("{}: {context}", document.name));
                let context = read(&documents, &format!("contexts/{file}"));
                assert!(context["@context"].as_object().unwrap().len() > 20);
            }
        }
        assert_eq!(index.as_object().unwrap().len(), CONTEXTS.len());
    }
}

/// A model that may be shown but not kept has no address in any document for linked data; one
/// whose permission begins later gets it on that day.
#[test]
fn an_address_of_a_model_follows_the_agreement_and_the_day() {
    let (original, replica) = ("assets/original-desk.glb", "assets/replica-desk.glb");
    let says = |catalogue: &Catalogue, object: &Object, path: &str| -> BTreeSet<String> {
        let documents = told(catalogue, object, &served(object));
        let linked = documents.iter().filter(|d| {
            matches!(
                d.format,
                Format::LinkedArt | Format::SchemaOrg | Format::DublinCore
            )
        });
        linked
            .filter(|d| String::from_utf8_lossy(&d.bytes).contains(path))
            .map(|d| d.name.clone())
            .collect()
    };
    assert_eq!(says(catalogue(), mortar(), original), BTreeSet::new());
    let both = ["linked-art/replica-shown.jsonld", "schema-org.jsonld"];
    let both = BTreeSet::from(both.map(str::to_owned));
    assert_eq!(says(catalogue(), mortar(), replica), both);
    let mut object = mortar().clone();
    let rights = object.record.rights.iter_mut();
    for rights in rights.filter(|r| r.id.as_str() == "scan-of-original") {
        rights.permits.push(Use::Download);
        rights.from = Day::new(2026, 6, 1);
    }
    assert_eq!(says(catalogue(), &object, original), BTreeSet::new());
    let mut later = catalogue().clone();
    later.today = Day::new(2026, 6, 1).unwrap();
    assert_eq!(says(&later, &object, original).len(), 2);
}

/// What is not recorded is not said: no maker, no place, no replica.
#[test]
fn a_record_without_a_fact_gives_no_statement_of_it() {
    let mut objects = catalogue().objects.iter();
    let token = objects.find(|o| o.id.as_str() == "pilgrim-token").unwrap();
    let documents = told(catalogue(), token, &served(token));
    let original = read(&documents, "linked-art/original.jsonld");
    assert!(original["produced_by"].get("carried_out_by").is_none());
    assert!(
        documents
            .iter()
            .all(|d| !d.name.starts_with("linked-art/replica"))
    );
    // No certificate: a size has no limits, and says so. Never weighed: its mass is reckoned.
    let height = of_type(&original, "Dimension");
    let height = height.iter().find(|d| d["_label"] == "Height").unwrap();
    assert!(height.get("upper_value_limit").is_none());
    let note = height["referred_to_by"][0]["content"].as_str().unwrap();
    assert!(note.contains("uncertainty is not known"), "{note}");
    let size = DEMO.geometry[&token.id].bodies[&BodyKind::Original]
        .bounds
        .size();
    let value = height["value"].as_f64().unwrap();
    assert!((value - size.y).abs() <= 0.05 + 1e-9, "{value} and {size}");
    let mass = of_type(&original, "Dimension");
    let mass = mass.iter().find(|d| d["_label"] == "Weight").unwrap();
    assert!(mass.get("observed_in").is_none());
    let note = mass["referred_to_by"][0]["content"].as_str().unwrap();
    assert!(
        note.contains("estimated") && note.contains("density"),
        "{note}"
    );
}

/// Without models and stills nothing is pointed at, and nothing fails.
#[test]
fn withheld_models_leave_the_words() {
    let object = mortar();
    let documents = told(catalogue(), object, &Served::default());
    let formats: BTreeSet<Format> = documents.iter().map(|d| d.format).collect();
    assert!(!formats.contains(&Format::Manifest) && !formats.contains(&Format::Annotations));
    assert!(formats.contains(&Format::LinkedArt) && formats.contains(&Format::Edition));
    assert!(
        documents
            .iter()
            .all(|d| !String::from_utf8_lossy(&d.bytes).contains("assets/"))
    );
    // With stills alone, each detail is pointed at in those.
    let mut pictures = served(object);
    pictures.models = BTreeMap::new();
    let documents = told(catalogue(), object, &pictures);
    let all = read(&documents, "annotations.jsonld");
    for annotation in of_type(&all, "Annotation") {
        for target in annotation["target"].as_array().unwrap() {
            assert_eq!(target["source"]["type"], "Image", "{annotation}");
        }
    }
    assert_eq!(
        of_type(&all, "Annotation").len(),
        object.details.len(),
        "every detail"
    );
}

/// A step that lays layers is the production; what comes before prepares it, what comes after
/// changes it. Where none does, nothing is guessed.
#[test]
fn steps_are_what_their_records_say() {
    let kinds = |object: &Object| -> Vec<(String, String)> {
        let documents = told(catalogue(), object, &served(object));
        let replica = read(&documents, "linked-art/replica.jsonld");
        let parts = replica["produced_by"]["part"].as_array().unwrap().clone();
        let word = |v: &Value| v.as_str().unwrap().to_owned();
        let of = |p: &Value| {
            (
                word(&p["id"]).split('#').nth(1).unwrap().to_owned(),
                word(&p["type"]),
            )
        };
        parts.iter().map(of).collect()
    };
    let expected = [
        ("step-scan", "Activity"),
        ("step-join", "Activity"),
        ("step-prepare", "Activity"),
        ("step-print", "Production"),
        ("step-finish", "Modification"),
        ("step-lacquer", "Modification"),
    ];
    let expected = expected.map(|(id, kind)| (id.to_owned(), kind.to_owned()));
    assert_eq!(kinds(mortar()), expected);
    let mut plain = mortar().clone();
    for step in &mut plain.making {
        step.record.build_up = None;
        step.record.quantities.clear();
    }
    assert!(kinds(&plain).iter().all(|(_, kind)| kind == "Activity"));
}
