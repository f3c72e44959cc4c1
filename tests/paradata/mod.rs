//! From every claim on a page to its ground, and back; the same for machines.

use crate::tree;

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use tree::{Place, files};

const RECORD: &str = "content/box/record.toml";

/// A box of which some things are known, and some are not.
fn place() -> Place {
    let place = Place::new();
    place.edit(
        RECORD,
        "evidence = { ground = \"observed\" }\n\n[bodies.original]",
        "evidence = { ground = \"documented\", by = \"elin-fychan\", date = 2024-02-12, source = \"register\" }\n\n[bodies.original]",
    );
    place.edit(
        RECORD,
        "[materials.lead]",
        "[sources.register]\nauthor = \"A clerk\"\ntitle = \"Register\"\nlang = \"cy\"\n\n[materials.lead]",
    );
    place.edit(
        "content/site.toml",
        "introduction =",
        "people.elin-fychan = { name = \"Elin Fychan\", role = { en = \"Keeper\" } }\nintroduction =",
    );
    place.edit(
        "content/box/en.md",
        "can be felt.",
        "can be felt. It came in 1700, says the [register](source:register).",
    );
    place
}

fn attribute<'a>(html: &'a str, name: &str) -> Vec<&'a str> {
    html.split(&format!(" {name}="))
        .skip(1)
        .map(|rest| match rest.strip_prefix('"') {
            Some(quoted) => quoted.split('"').next().unwrap(),
            None => rest.split([' ', '>']).next().unwrap(),
        })
        .collect()
}

/// The page that an address leads to, from another, and the place on it.
fn followed(page: &str, address: &str) -> (String, String) {
    let (path, place) = address.split_once('#').unwrap_or((address, ""));
    let mut steps: Vec<&str> = page.split('/').collect();
    steps.pop();
    for step in path.split('/') {
        match step {
            "" | "." => {}
            ".." => {
                steps.pop();
            }
            step => steps.push(step),
        }
    }
    let folder: String = steps.iter().map(|s| format!("{s}/")).collect();
    let there = match path {
        "" => page.to_owned(),
        _ => format!("{folder}index.html"),
    };
    (there, place.to_owned())
}

#[test]
fn every_way_to_evidence_and_back_arrives() {
    let place = place();
    let out = place.run(&[]);
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    let pages: BTreeMap<String, String> = files(&place.path("display"))
        .into_iter()
        .filter(|(name, _)| name.ends_with(".html"))
        .map(|(name, bytes)| (name, String::from_utf8(bytes).unwrap()))
        .collect();
    let evidence = &pages["box/evidence/index.html"];
    let claims: BTreeSet<&str> = attribute(evidence, "id").into_iter().collect();
    let mut reached = BTreeSet::new();
    for (page, html) in &pages {
        let ids = attribute(html, "id");
        assert_eq!(
            ids.len(),
            ids.iter().collect::<BTreeSet<_>>().len(),
            "{page}: an id twice"
        );
        for address in attribute(html, "href") {
            if address.contains(':') || !address.contains('#') {
                continue;
            }
            let (there, anchor) = followed(page, address);
            // Ids that the viewer knows are no places of the page.
            let ours = there == "box/evidence/index.html" || anchor.starts_with("said-");
            if !ours {
                continue;
            }
            assert!(
                attribute(&pages[&there], "id").contains(&anchor.as_str()),
                "{page}: {address} arrives nowhere"
            );
            if there == "box/evidence/index.html" && page != &there {
                reached.insert(anchor);
            }
        }
    }
    for claim in [
        "identification",
        "original",
        "size-original",
        "models-original",
        "material-lead",
        "detail-dent",
        "place-dent",
        "source-register",
    ] {
        assert!(claims.contains(claim), "{claim} is not told");
        assert!(reached.contains(claim), "no page leads to {claim}");
    }
    // What is known, in words; what is not, said as well.
    assert!(evidence.contains("Documented by Elin Fychan, 12 February 2024"));
    assert!(evidence.contains("The record does not say how this is known."));
    assert!(evidence.contains("lang=cy") || evidence.contains("lang=\"cy\""));
    // A screen in the gallery says how things are known nowhere else.
    for kiosk in ["box/kiosk/index.html", "kiosk/box/index.html"] {
        assert!(!pages[kiosk].contains("evidence/"), "{kiosk}");
    }
}

#[test]
fn a_source_that_is_not_there_is_named_with_its_line() {
    let place = place();
    place.edit("content/box/en.md", "source:register", "source:registre");
    let out = place.run(&["survey"]);
    let told = String::from_utf8_lossy(&out.stdout).into_owned();
    assert_eq!(out.status.code(), Some(1), "{told}");
    assert!(
        told.contains("Did you mean source:register?") && told.contains("en.md:3"),
        "{told}"
    );
}

#[test]
fn claims_without_evidence_are_advised_on() {
    let place = place();
    let out = place.run(&["survey"]);
    let told = String::from_utf8_lossy(&out.stdout).into_owned();
    assert_eq!(out.status.code(), Some(0), "{told}");
    assert!(
        told.contains("location, finish without saying how that is known"),
        "{told}"
    );
    assert!(told.contains("to [bodies.original]"), "{told}");
    place.edit(
        RECORD,
        "finish = { en = \"bare\" }",
        "finish = { en = \"bare\" }\nevidence = { ground = \"observed\", by = \"elin-fychan\" }",
    );
    let out = place.run(&["survey"]);
    let told = String::from_utf8_lossy(&out.stdout).into_owned();
    assert!(!told.contains("without saying how"), "{told}");
}

#[test]
fn the_document_for_machines_holds_together() {
    let place = place();
    assert!(place.run(&[]).status.success());
    let path = place.path("display/box/data/paradata.jsonld");
    let bytes = std::fs::read(&path).unwrap();
    let document: Value = serde_json::from_slice(&bytes).unwrap();
    let graph = document["@graph"].as_array().unwrap();
    let ids: BTreeSet<&str> = graph.iter().map(|n| n["@id"].as_str().unwrap()).collect();
    assert_eq!(ids.len(), graph.len());
    // Whatever is used, derived from or associated with is described, too.
    let mut used = 0;
    for node in graph {
        let mut pointed: Vec<&Value> = Vec::new();
        let activity = &node["prov:wasGeneratedBy"];
        for of in [&node["prov:wasDerivedFrom"], &activity["prov:used"]] {
            pointed.extend(of.as_array().into_iter().flatten());
        }
        for of in [
            &node["prov:hadPrimarySource"],
            &activity["prov:wasAssociatedWith"],
        ] {
            pointed.extend(Some(of).filter(|v| v.is_object()));
        }
        for point in pointed {
            used += 1;
            let id = point["@id"].as_str().unwrap();
            assert!(ids.contains(id), "{id} is not described");
        }
    }
    assert!(used >= 8);
    // Numbers are those of the survey.
    let measured: Value = serde_json::from_slice(&place.run(&["survey", "--json"]).stdout).unwrap();
    let found = measured.to_string();
    let size = graph
        .iter()
        .find(|n| n["@id"].as_str().unwrap().ends_with("#size-original"))
        .unwrap();
    let height = &size["dcterms:hasPart"][1];
    assert_eq!(height["dcterms:title"], "height");
    let value = height["prov:value"].as_f64().unwrap();
    assert!((value - 30.0).abs() < 1e-4, "{value}");
    assert!(found.contains("\"extents\""));
    // The digest is that of the model as it was received (SHA-256, by another program).
    let model = graph.iter().find(|n| n["dcterms:type"] == "model").unwrap();
    let other = std::process::Command::new("sha256sum")
        .arg(place.path("content/box/models/box.glb"))
        .output()
        .unwrap();
    let digest = String::from_utf8(other.stdout).unwrap();
    let digest = digest.split(' ').next().unwrap();
    assert_eq!(model["dcterms:identifier"], format!("sha256:{digest}"));
    // The words of the page, in its language.
    let identified = graph
        .iter()
        .find(|n| n["@id"].as_str().unwrap().ends_with("#identification"))
        .unwrap();
    let words = identified["dcterms:description"][0]["@value"]
        .as_str()
        .unwrap();
    assert!(words.contains("BRKMU:1"), "{words}");
    assert_eq!(
        identified["prov:wasGeneratedBy"]["dcterms:type"],
        "documented"
    );
}
