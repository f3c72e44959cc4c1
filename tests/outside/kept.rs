//! Editions and annotations, written for tests/outside/judge_kept.py.

use crate::signs::{CASES, demo, detail, note, told};
use counterpart::annotation::{BodyFiles, ModelFile, Stand, Subject, annotations};
use counterpart::epigraphy::{edition, editions};
use counterpart::record::words::leiden::{Node, Piece, parse};
use counterpart::record::{BodyKind, Object, ViewFrom};
use glam::DVec3;
use std::collections::BTreeMap;
use std::process::Command;

/// Letters as they are read, with what the editor added; found anew from the tree.
fn letters(nodes: &[Node]) -> String {
    nodes
        .iter()
        .map(|node| match node {
            Node::Text(t) | Node::Mark(t) | Node::Unclear(t) | Node::Letters(t) => t.clone(),
            Node::Joined(t) => t.clone(),
            Node::Blank => " ".to_owned(),
            Node::Restored { inside, .. }
            | Node::Omitted(inside)
            | Node::Unresolved(inside)
            | Node::Erased(inside)
            | Node::Overcut(inside)
            | Node::Above(inside)
            | Node::Surplus(inside) => letters(inside),
            Node::Expansion(pieces) => pieces
                .iter()
                .map(|piece| match piece {
                    Piece::Written(inside) => letters(inside),
                    Piece::Expanded(text) => text.clone(),
                })
                .collect(),
            Node::Gap(..) | Node::Vacant(_) | Node::Break { .. } | Node::Sic => String::new(),
        })
        .collect()
}

/// Details where their records anchor them; models are not read here.
fn bodies(object: &Object) -> BTreeMap<BodyKind, BodyFiles> {
    let kinds = [BodyKind::Original, BodyKind::Replica];
    kinds
        .into_iter()
        .filter(|kind| object.record.bodies.get(*kind).is_some())
        .map(|kind| {
            let parts = object.record.bodies.parts(kind).iter();
            let stand = |point_mm| Stand {
                point_mm,
                from: ViewFrom::default(),
                half_height_mm: 100.0,
            };
            let here = object
                .details
                .iter()
                .filter(|d| d.record.anchor.body == kind);
            let files = BodyFiles {
                models: parts
                    .map(|part| ModelFile {
                        part: Some(part.id.clone()),
                        path: format!("assets/{}-{}.glb", kind.word(), part.id),
                    })
                    .collect(),
                whole: stand(DVec3::ZERO),
                details: here
                    .map(|d| {
                        (
                            d.id.clone(),
                            stand(DVec3::from_array(d.record.anchor.point_mm)),
                        )
                    })
                    .collect(),
                stills: BTreeMap::new(),
            };
            (kind, files)
        })
        .collect()
}

#[test]
fn editions_are_valid_and_annotations_are_linked_data() {
    let home = crate::folder();
    let kept = home.join("kept");
    if kept.exists() {
        std::fs::remove_dir_all(&kept).unwrap();
    }
    std::fs::create_dir_all(&kept).unwrap();
    let (catalogue, sources) = demo();
    let mut all = serde_json::Map::new();
    for object in &catalogue.objects {
        for edition in editions(&catalogue, object, &sources).unwrap() {
            let name = format!("{}.xml", edition.detail);
            std::fs::write(kept.join(&name), edition.xml).unwrap();
            let (_, detail) = detail(&catalogue, edition.detail.as_str());
            let note = detail.notes.values().next().unwrap();
            let tree = parse(&note.inscriptions()[0].signs.text).unwrap();
            all.insert(name, serde_json::json!({ "letters": letters(&tree.nodes) }));
        }
        let subject = Subject {
            site: &catalogue.site,
            object,
            bodies: bodies(object),
        };
        let written = serde_json::to_string(&annotations(&subject).unwrap()).unwrap();
        std::fs::write(kept.join(format!("{}.jsonld", object.id)), written).unwrap();
    }
    let together = CASES.iter().filter(|c| c.len() < 9).copied();
    let together: Vec<&str> = together.collect();
    for (index, cut) in CASES.iter().enumerate() {
        let mut catalogue = catalogue.clone();
        let mut text = note("T", cut, "one\ntwo");
        // The last has several inscriptions in one note.
        if index + 1 == CASES.len() {
            for more in &together {
                text += note("T", more, "t").split_once("Words.").unwrap().1;
            }
        }
        told(&mut catalogue, &[("en", &text), ("cy", &text)]);
        let (object, detail) = detail(&catalogue, "token-inscription");
        let edition = edition(&catalogue, object, detail, &sources)
            .unwrap()
            .unwrap();
        let name = format!("case-{index}.xml");
        std::fs::write(kept.join(&name), edition.xml).unwrap();
        let tree = parse(cut).unwrap();
        all.insert(name, serde_json::json!({ "letters": letters(&tree.nodes) }));
    }
    let told = serde_json::to_string(&all).unwrap();
    std::fs::write(kept.join("told.json"), told).unwrap();
    let done = Command::new(home.join("python/bin/python"))
        .arg(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/tests/outside/judge_kept.py"
        ))
        .args([&kept, &home.join("schemas")])
        .status()
        .unwrap();
    assert!(done.success(), "see what the judge said above");
}
