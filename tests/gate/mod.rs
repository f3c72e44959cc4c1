//! What agreements forbid is in no output, and nothing about owners goes out with what they permit.
//!
//! Marks are planted: a colour that nothing else has in the pixels of a photograph, words in the
//! metadata of every kind of file, in captions, notes and models. Then every byte of what was
//! published is searched, pictures and models taken apart. Each search is first shown to find the
//! mark where it is permitted.

mod bare;
use crate::shapes;
use crate::tree;

mod coarse;
mod hunt;
mod pictures;
mod plant;
mod stored;
mod unpack;

use hunt::Hunt;
use plant::{DAY, RECORD, planted};
use std::fs;
use tree::Place;

/// Terms under which nothing of the lender's may be shown on the day.
const FORBIDDEN: [(&str, &str); 3] = [
    (
        "lacks the permission",
        "permits = [\"print\", \"download\"]",
    ),
    (
        "begins tomorrow",
        "permits = [\"display\"]\nfrom = 2026-03-02",
    ),
    (
        "ended yesterday",
        "permits = [\"display\"]\nuntil = 2026-02-28",
    ),
];

fn published(place: &Place, form: &[&str]) -> std::process::Output {
    place.run(&[&["publish", "--on", DAY], form].concat())
}

#[test]
fn what_may_be_shown_is_found_by_the_same_search() {
    let place = planted("permits = [\"display\", \"print\"]");
    for form in [&["--to", "out"][..], &["--carry", "--to", "out"]] {
        let out = published(&place, form);
        assert!(
            out.status.success(),
            "{}",
            String::from_utf8_lossy(&out.stderr)
        );
        let hunt = Hunt::of(&place.path("out"));
        assert!(hunt.colour > 0, "{form:?}: the planted colour");
        for word in ["CAPTIONMARK", "SPOKENMARK", "TITLEMARK", "ALTMARK"] {
            assert!(hunt.has(word), "{form:?}: {word}");
        }
        // The owner is told as the record has it, and not as the files do.
        assert!(hunt.has("The lender asks for these words"), "{form:?}");
        for word in plant::NEVER {
            assert!(
                !hunt.has(word),
                "{form:?}: {word} in {:?}",
                hunt.places(word)
            );
        }
    }
}

#[test]
fn what_is_forbidden_is_nowhere() {
    for (why, terms) in FORBIDDEN {
        let place = planted(&format!("otherwise = \"leave-out\"\n{terms}"));
        for form in [&["--to", "out"][..], &["--carry", "--to", "out"]] {
            let out = published(&place, form);
            assert!(
                out.status.success(),
                "{why}: {}",
                String::from_utf8_lossy(&out.stderr)
            );
            let told = String::from_utf8_lossy(&out.stderr).into_owned();
            assert!(told.contains("is left out on 2026-03-01"), "{why}: {told}");
            for folder in ["out", ".counterpart"] {
                let hunt = Hunt::of(&place.path(folder));
                assert_eq!(
                    hunt.colour, 0,
                    "{why}, {form:?}, {folder}: the planted colour"
                );
                for word in plant::ALL {
                    assert!(
                        !hunt.has(word),
                        "{why}, {form:?}, {folder}: {word} in {:?}",
                        hunt.places(word)
                    );
                }
            }
            let rights = fs::read_to_string(place.path("out/box/rights/index.html")).unwrap();
            assert!(rights.contains("is not shown here"), "{why}");
        }
    }
}

/// What an archive is given: what may not go in is nowhere, and what may goes without its owners.
#[test]
fn in_a_deposit_too() {
    for (terms, goes_in) in [
        ("permits = [\"display\", \"deposit\"]", true),
        ("permits = [\"display\"]", false),
        (
            "permits = [\"display\", \"deposit\"]\nfrom = 2026-03-02\notherwise = \"leave-out\"",
            false,
        ),
        (
            "permits = [\"display\", \"deposit\"]\nuntil = 2026-02-28\notherwise = \"leave-out\"",
            false,
        ),
    ] {
        let place = planted(terms);
        let record = fs::read_to_string(place.path(plant::RECORD)).unwrap();
        let all = "permits = [\"display\", \"print\"]";
        place.write(
            plant::RECORD,
            &record.replace(all, "permits = [\"display\", \"print\", \"deposit\"]"),
        );
        let out = place.run(&["deposit", "box", "--to", "archive", "--on", DAY]);
        assert!(
            out.status.success(),
            "{terms}: {}",
            String::from_utf8_lossy(&out.stderr)
        );
        let hunt = Hunt::of(&place.path("archive"));
        assert_eq!(hunt.colour > 0, goes_in, "{terms}: the planted colour");
        assert_eq!(hunt.has("SPOKENMARK"), goes_in, "{terms}: captions");
        // A model goes in as it was received, with what its file says of itself; all else is bare.
        let models = ["MESHMARK", "EXTRAMARK"];
        for word in plant::NEVER.iter().filter(|word| !models.contains(word)) {
            let places = hunt.places(word);
            let besides: Vec<_> = places
                .iter()
                .filter(|p| !p.ends_with("records/box/models/box.glb"))
                .collect();
            assert!(besides.is_empty(), "{terms}: {word} in {besides:?}");
        }
        let withheld = fs::read_to_string(place.path("archive/box/data/withheld.txt")).unwrap();
        assert!(withheld.contains("mark.jpg"), "{terms}: {withheld}");
        assert_eq!(withheld.contains("SHA-512"), goes_in, "{terms}: {withheld}");
    }
}

#[test]
fn the_day_decides() {
    let place = planted(
        "otherwise = \"leave-out\"\npermits = [\"display\"]\nfrom = 2026-03-02\nuntil = 2026-03-03",
    );
    for (day, shown) in [
        ("2026-03-01", false),
        ("2026-03-02", true),
        ("2026-03-03", true),
        ("2026-03-04", false),
    ] {
        let out = place.run(&["publish", "--on", day, "--to", "out"]);
        assert!(
            out.status.success(),
            "{}",
            String::from_utf8_lossy(&out.stderr)
        );
        let hunt = Hunt::of(&place.path("out"));
        assert_eq!(hunt.colour > 0, shown, "{day}");
        assert_eq!(hunt.has("CAPTIONMARK"), shown, "{day}");
        // What was kept while it was permitted goes with the permission.
        let store = Hunt::of(&place.path(".counterpart"));
        assert_eq!(store.colour > 0, shown, "{day}: the store");
    }
}

#[test]
fn without_leave_to_leave_out_nothing_is_published() {
    for (why, terms) in FORBIDDEN {
        let place = planted(terms);
        let out = published(&place, &["--to", "out"]);
        assert_eq!(out.status.code(), Some(1), "{why}");
        assert!(!place.path("out").exists(), "{why}");
    }
}

#[test]
fn words_and_models_stop_a_site_even_behind_the_survey() {
    use counterpart::{limits::Limits, progress, record::Day, site, store::Store, survey::survey};
    for (id, asset) in [
        ("words", "the words"),
        ("scan", "the model of the original’s box"),
    ] {
        let place = planted("permits = [\"display\"]");
        place.edit(
            RECORD,
            &format!("id = \"{id}\"\n"),
            &format!("id = \"{id}\"\nuntil = 2026-02-28\notherwise = \"leave-out\"\n"),
        );
        let out = published(&place, &["--to", "out"]);
        assert_eq!(out.status.code(), Some(1), "{id}");
        assert!(!place.path("out").exists());
        // The site itself refuses, whoever asks.
        let found = survey(
            &place.path("content"),
            Day::new(2026, 3, 1).unwrap(),
            &Limits::default(),
            &progress::Silence,
        );
        let catalogue = found.catalogue.as_ref().unwrap();
        let refused = site::publish(&site::Request {
            catalogue,
            geometry: &found.geometry,
            sources: &found.sources,
            only: None,
            target: &place.path("out"),
            form: site::Form::Served,
            store: &Store::none(),
            limits: &Limits::default(),
            listener: &progress::Silence,
        });
        let refused = refused.unwrap_err().to_string();
        assert!(refused.contains(asset), "{refused}");
        assert!(!place.path("out").exists());
    }
}

#[test]
fn what_may_not_be_printed_is_on_no_sheet() {
    let place = planted("permits = [\"display\"]");
    place.edit(
        RECORD,
        "id = \"scan\"\nholder = \"Brackwater Museum\"\nstatement = \"https://creativecommons.org/licenses/by/4.0/\"\npermits = [\"display\", \"print\"]",
        "id = \"scan\"\nholder = \"Brackwater Museum\"\nstatement = \"https://creativecommons.org/licenses/by/4.0/\"\npermits = [\"display\"]",
    );
    assert!(published(&place, &["--to", "out"]).status.success());
    let page = |name: &str| fs::read_to_string(place.path(&format!("out/box/{name}index.html")));
    for sheet in ["handout/", "raised-lines/"] {
        assert!(page(sheet).is_err(), "{sheet}");
    }
    let object = page("").unwrap();
    for gone in ["handout/", "raised-lines/"] {
        assert!(!object.contains(gone), "a link to {gone}");
    }
    assert!(object.contains("unprinted"));
    // The photograph is seen on the page, and neither printed there nor in the large print.
    assert!(object.contains("photograph on-screen"));
    let large = page("large-print/").unwrap();
    assert!(!large.contains("<img"), "no picture may be printed");
    let assets: Vec<String> = tree::files(&place.path("out/assets"))
        .into_iter()
        .map(|(n, _)| n)
        .collect();
    assert!(!assets.iter().any(|n| n.contains("raised")), "{assets:?}");
    // Words that may not be printed are on no sheet at all.
    place.edit(
        RECORD,
        "id = \"words\"\nholder = \"Brackwater Museum\"\nstatement = \"https://creativecommons.org/licenses/by/4.0/\"\npermits = [\"display\", \"print\"]",
        "id = \"words\"\nholder = \"Brackwater Museum\"\nstatement = \"https://creativecommons.org/licenses/by/4.0/\"\npermits = [\"display\"]",
    );
    assert!(published(&place, &["--to", "out"]).status.success());
    for sheet in ["label/", "large-print/"] {
        assert!(page(sheet).is_err(), "{sheet}");
    }
}

#[test]
fn a_permission_that_ends_is_told_to_visitors_and_to_the_keeper() {
    let place = planted("permits = [\"display\"]\nuntil = 2026-05-15");
    let out = published(&place, &["--to", "out"]);
    assert!(out.status.success());
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(
        told.contains("in 75 days") && told.contains("record.toml"),
        "{told}"
    );
    let rights = fs::read_to_string(place.path("out/box/rights/index.html")).unwrap();
    assert!(rights.contains("15 May 2026"), "until when");
    place.edit(RECORD, "until = 2026-05-15", "until = 2026-07-15");
    let out = published(&place, &["--to", "out"]);
    assert!(!String::from_utf8_lossy(&out.stderr).contains("rights-end-soon"));
}

#[test]
fn for_an_archive_each_asset_is_judged_by_itself() {
    use counterpart::record::{Asset, Day, Use, Why, read, withheld};
    let place = planted("permits = [\"display\"]");
    place.edit(
        RECORD,
        "id = \"scan\"\n",
        "id = \"scan\"\nfinest_mm = 0.5\n",
    );
    place.edit(
        RECORD,
        "statement = \"https://creativecommons.org/licenses/by/4.0/\"\npermits = [\"display\", \"print\"]",
        "statement = \"https://creativecommons.org/licenses/by/4.0/\"\npermits = [\"display\", \"print\", \"deposit\"]",
    );
    let day = Day::new(2026, 3, 1).unwrap();
    let reading = read(
        &place.path("content"),
        day,
        &counterpart::limits::Limits::default(),
    );
    let catalogue = reading.catalogue.unwrap();
    let object = &catalogue.objects[0];
    let out = withheld(object, Use::Deposit, day);
    let told: Vec<(&Asset, &Why)> = out.iter().map(|w| (&w.asset, &w.why)).collect();
    assert_eq!(out.len(), 3, "{told:?}");
    assert!(matches!(&out[0].asset, Asset::Model { .. }) && out[0].why == Why::TooFine(0.5));
    let (photograph, recording) = (&out[1], &out[2]);
    assert!(matches!(&photograph.asset, Asset::Photograph { path } if path.ends_with("mark.jpg")));
    assert_eq!(photograph.why, Why::NotAmong(vec![Use::Display]));
    let names = |w: &counterpart::record::Withheld| -> Vec<String> {
        let files = w.files.iter().map(|f| f.file_name().unwrap());
        files.map(|n| n.to_string_lossy().into_owned()).collect()
    };
    assert_eq!(names(recording), ["mark.mp3", "mark.en.vtt"]);
    assert!(withheld(object, Use::Display, day).is_empty());
    let (kept, _) = object.as_permitted(Use::Deposit, day);
    assert!(kept.record.photographs.is_empty() && kept.record.recordings.is_empty());
    assert!(kept.talk.captions.is_empty());
}
