//! There and back: what is written, read and written again is the same; and the commands that do it.

use super::place::Place;
use counterpart::exchange::lido::{self, Publisher};
use counterpart::exchange::{Bounds, Item, Titles, read, write_table};
use counterpart::limits::Limits;
use counterpart::record::{Day, Lang, read as read_records};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// The demonstration, as it is exchanged.
fn demonstration() -> (Vec<Item>, Vec<Lang>) {
    let today = Day::new(2026, 11, 27).unwrap();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let catalogue = read_records(&folder, today, &Limits::default())
        .catalogue
        .unwrap();
    (
        Item::all(&catalogue, &BTreeMap::new()),
        catalogue.site.languages,
    )
}

#[test]
fn a_table_comes_back_the_same() {
    let (items, languages) = demonstration();
    assert!(
        items.len() >= 2
            && items
                .iter()
                .any(|i| i.materials.len() >= 2 && i.rights.len() >= 4)
    );
    for titles in [Titles::Own, Titles::Spectrum] {
        let first = write_table(&items, &languages, titles).unwrap();
        let received = read(first.as_bytes(), None, &Bounds::USUAL).unwrap();
        assert!(
            received.records.iter().all(|r| r.left.0.is_empty()),
            "{:?}",
            received.records[0].left
        );
        let back: Vec<Item> = received.records.into_iter().map(|r| r.item).collect();
        for (before, after) in items.iter().zip(&back) {
            // Of which parts a material is, and what was done in the workshop, is in no table.
            let mut before = Item {
                steps: Vec::new(),
                ..before.clone()
            };
            before.materials.iter_mut().for_each(|m| m.of.clear());
            assert_eq!(&before, after);
        }
        assert_eq!(write_table(&back, &languages, titles).unwrap(), first);
    }
}

#[test]
fn lido_comes_back_the_same_in_what_both_hold() {
    let (items, languages) = demonstration();
    let by = Publisher {
        name: "Brackwater Museum",
        address: "https://brackwater.example/",
        languages: &languages,
    };
    let first = lido::write(&items, &by).unwrap();
    let received = read(first.as_bytes(), None, &Bounds::USUAL).unwrap();
    let back: Vec<Item> = received.records.iter().map(|r| r.item.clone()).collect();
    for (before, after) in items.iter().zip(&back) {
        for (key, was, is) in [
            ("title", &before.title, &after.title),
            ("name", &before.name, &after.name),
            ("date", &before.date, &after.date),
            ("place", &before.place, &after.place),
            ("maker", &before.maker, &after.maker),
            ("keeper", &before.keeper, &after.keeper),
            ("location", &before.location, &after.location),
            ("finish", &before.finish, &after.finish),
            ("label", &before.label, &after.label),
        ] {
            assert_eq!(was, is, "{key}");
        }
        assert_eq!(
            (
                &before.object,
                &before.number,
                before.scanned,
                &before.words_rights
            ),
            (
                &after.object,
                &after.number,
                after.scanned,
                &after.words_rights
            )
        );
    }
    // Without what only one side holds (replicas, steps), the second document is the first one.
    let bare: Vec<Item> = items
        .iter()
        .map(|item| {
            let mut bare = Item {
                steps: Vec::new(),
                replica: None,
                ..item.clone()
            };
            bare.materials
                .retain(|m| m.of.contains(&counterpart::record::BodyKind::Original));
            bare
        })
        .collect();
    let first = lido::write(&bare, &by).unwrap();
    let again = read(first.as_bytes(), None, &Bounds::USUAL).unwrap();
    let again: Vec<Item> = again.records.into_iter().map(|r| r.item).collect();
    assert_eq!(lido::write(&again, &by).unwrap(), first);
}

/// A record that came in has no scans: these are put beside it, as a keeper would.
fn with_scan(place: &Place, object: &str) {
    let parts = "\n[[bodies.original.parts]]\nid = \"box\"\nname = { en = \"Box\" }\nmodel = \"models/box.glb\"\nunit = \"m\"\nmaterial = \"lead\"\nrights = \"museum\"\nsolid = true\n";
    let name = format!("content/{object}/record.toml");
    let mut record = fs::read_to_string(place.path(&name)).unwrap();
    record = record.replace(
        "[materials.lead]\n",
        "[materials.lead]\nevidence = { ground = \"conjectured\" }\n",
    );
    record.push_str(parts);
    place.write(&name, &record);
    fs::create_dir_all(place.path(&format!("content/{object}/models"))).unwrap();
    fs::copy(
        place.path("content/box/models/box.glb"),
        place.path(&format!("content/{object}/models/box.glb")),
    )
    .unwrap();
}

#[test]
fn the_commands_take_out_and_in_and_out_again() {
    let place = Place::new();
    let out = place.run(&[
        "exchange", "--as", "csv", "--to", "out.csv", "--object", "box",
    ]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let first = fs::read_to_string(place.path("out.csv")).unwrap();
    assert!(
        first.contains("height_mm") && first.contains("30.0"),
        "{first}"
    );
    // Over an existing file nothing is written.
    let again = place.run(&["exchange", "--as", "csv", "--to", "out.csv"]);
    assert_eq!(again.status.code(), Some(3));
    assert!(
        text(&again.stderr).contains("is there already"),
        "{}",
        text(&again.stderr)
    );
    // The object is there: refused, and told what to do; nothing is half done.
    let there = place.run(&["accession", "--from", "out.csv"]);
    assert_eq!(there.status.code(), Some(3));
    assert!(
        text(&there.stderr).contains("box") && text(&there.stderr).contains("--object"),
        "{}",
        text(&there.stderr)
    );
    // By another name it comes in.
    place.write("in.csv", &first.replace("\r\nbox,", "\r\nchest,"));
    let taken = place.run(&["accession", "--from", "in.csv"]);
    assert!(taken.status.success(), "{}", text(&taken.stderr));
    let said = text(&taken.stdout);
    assert!(
        said.contains("content/chest") || said.contains("chest/record.toml"),
        "{said}"
    );
    assert!(
        said.contains("height_mm") && said.contains("chest/received/"),
        "{said}"
    );
    let record = fs::read_to_string(place.path("content/chest/record.toml")).unwrap();
    assert!(
        record.contains("source = \"received-record\"")
            && record.contains("[sources.received-record]"),
        "{record}"
    );
    assert_eq!(
        fs::read_to_string(place.path("content/chest/received/record.csv")).unwrap(),
        fs::read_to_string(place.path("in.csv")).unwrap()
    );
    with_scan(&place, "chest");
    // Its words speak of a detail that did not come with it, and the survey says so.
    let survey = place.run(&["survey"]);
    assert!(
        text(&survey.stdout).contains("dent"),
        "{}",
        text(&survey.stdout)
    );
    place.edit("content/chest/en.md", "[dent](detail:dent)", "dent");
    let second = place.run(&["exchange", "--as", "csv", "--object", "chest"]);
    assert!(second.status.success(), "{}", text(&second.stderr));
    assert_eq!(
        text(&second.stdout),
        first
            .replace("\r\nbox,", "\r\nchest,")
            .replace("[dent](detail:dent)", "dent")
    );
}

#[test]
fn lido_by_the_commands_and_all_or_nothing() {
    let place = Place::new();
    let out = place.run(&["exchange", "--as", "lido"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let first = text(&out.stdout);
    // Two records, of which one is there already: neither is begun.
    let record = first
        .split("<lido:lido>")
        .nth(1)
        .unwrap()
        .split("</lido:lido>")
        .next()
        .unwrap();
    let new = record.replace("/box/", "/jug/").replace(">box<", ">jug<");
    place.write(
        "two.xml",
        &first.replace(
            "</lido:lidoWrap>",
            &format!("<lido:lido>{new}</lido:lido></lido:lidoWrap>"),
        ),
    );
    let refused = place.run(&["accession", "--from", "two.xml"]);
    assert_eq!(refused.status.code(), Some(3));
    assert!(!place.path("content/jug").exists());
    // The one that is asked for comes in.
    let taken = place.run(&[
        "accession",
        "--from",
        "two.xml",
        "--object",
        "jug",
        "--json",
    ]);
    assert!(taken.status.success(), "{}", text(&taken.stderr));
    let report: serde_json::Value = serde_json::from_slice(&taken.stdout).unwrap();
    assert_eq!(report["objects"][0]["object"], "jug");
    let left = report["objects"][0]["left_out"].as_object().unwrap();
    assert!(
        left.keys().any(|k| k.contains("measurementValue")),
        "{left:?}"
    );
    assert!(place.path("content/jug/received/record.xml").is_file());
    let note = fs::read_to_string(place.path("content/jug/en.md")).unwrap();
    assert!(
        note.starts_with("# A box\n\nA box that was copied"),
        "{note}"
    );
    // The same again is refused, and an unknown name is told with those that there are.
    assert_eq!(
        place
            .run(&["accession", "--from", "two.xml", "--object", "jug"])
            .status
            .code(),
        Some(3)
    );
    let absent = place.run(&["accession", "--from", "two.xml", "--object", "pot"]);
    assert!(
        text(&absent.stderr).contains("jug"),
        "{}",
        text(&absent.stderr)
    );
    let wrong = place.run(&["accession", "box", "--from", "two.xml"]);
    assert_eq!(wrong.status.code(), Some(2));
}
