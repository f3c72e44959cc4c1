//! What is in the store stays there only while it may be shown, and as finely as it may.

use super::coarse;
use super::hunt::Hunt;
use super::plant::planted;
use super::tree::{self, Place};
use std::fs;
use std::path::Path;

const RECORD: &str = "content/box/record.toml";

/// A box with a copy that is a little taller.
fn copied() -> Place {
    let place = Place::new();
    fs::write(
        place.path("content/box/models/copy.glb"),
        super::tree::block_glb(10.0, 30.4),
    )
    .unwrap();
    place.edit(
        RECORD,
        "[materials.lead]",
        "[bodies.replica]\nlocation = { en = \"on the table\" }\nfinish = { en = \"bare\" }\n\
         parts = [{ id = \"box\", name = { en = \"Box\" }, model = \"models/copy.glb\", unit = \"m\", material = \"lead\", rights = \"museum\", solid = true }]\n\n\
         [materials.lead]",
    );
    place.edit(
        "content/box/details/dent/record.toml",
        "bearing = { original = \"present\" }",
        "bearing = { original = \"present\", replica = \"present\" }",
    );
    place
}

/// Whether comparisons are in the store after a run on that day.
fn kept(place: &Place, day: &str) -> bool {
    run(place, "publish", day);
    let stored = tree::files(&place.path(".counterpart"));
    let compared = |name: &str| name.starts_with("object-box/") && name.contains("/compared/");
    stored.iter().any(|(name, _)| compared(name))
}

/// From the ground, so that the store is asked. Whatever is found: what may not be kept goes before that is
/// judged.
fn run(place: &Place, command: &str, day: &str) {
    let _ = fs::remove_file(place.path(".display.counterpart/ledger"));
    let out = place.run(&[command, "--on", day]);
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(matches!(out.status.code(), Some(0 | 1)), "{said}");
}

/// Every model that begins somewhere in the files of the store.
fn models(place: &Place) -> Vec<Vec<u8>> {
    let mut found = Vec::new();
    for (_, bytes) in tree::files(&place.path(".counterpart")) {
        let starts = |at: &usize| bytes[*at..].starts_with(b"glTF\x02\0\0\0");
        for at in (0..bytes.len()).filter(starts) {
            let length = u32::from_le_bytes(bytes[at + 8..at + 12].try_into().unwrap());
            found.push(bytes[at..at + length as usize].to_vec());
        }
    }
    found
}

#[test]
fn comparisons_go_with_the_permission_to_show_the_scans() {
    let place = copied();
    assert!(kept(&place, "2026-03-01"));
    place.edit(
        RECORD,
        "permits = [",
        "from = 2026-02-01\nuntil = 2026-03-31\npermits = [",
    );
    assert!(kept(&place, "2026-03-31"));
    assert!(!kept(&place, "2026-04-01"), "ended");
    assert!(!kept(&place, "2026-01-31"), "not yet begun");
    assert!(kept(&place, "2026-02-01"));
    // Whatever was compared before in another way goes too.
    place.edit(RECORD, "until = 2026-03-31", "finest_mm = 0.5");
    assert!(!kept(&place, "2026-03-01"), "less than the scan");
}

#[test]
fn models_and_pictures_go_with_the_permission_to_show_them() {
    let (place, _, scan) = coarse::published(None);
    let fine = models(&place);
    assert!(fine.len() >= 2);
    assert!(fine.iter().all(|model| coarse::strays(model, &scan) < 0.15));
    place.edit(
        RECORD,
        "permits = [",
        "from = 2026-02-01\nuntil = 2026-03-31\npermits = [",
    );
    // A survey is enough.
    for command in ["publish", "survey"] {
        for (day, shown) in [
            ("2026-01-31", false),
            ("2026-02-01", true),
            ("2026-03-31", true),
            ("2026-04-01", false),
        ] {
            if shown {
                run(&place, "publish", day);
            }
            run(&place, command, day);
            let stored = tree::files(&place.path(".counterpart"));
            assert_eq!(!stored.is_empty(), shown, "{command}, {day}");
            assert_eq!(!models(&place).is_empty(), shown, "{command}, {day}");
        }
    }
    // An agreement that asks for less lets nothing finer lie about.
    run(&place, "publish", "2026-03-01");
    place.edit(
        RECORD,
        "from = 2026-02-01\nuntil = 2026-03-31",
        "finest_mm = 0.15",
    );
    run(&place, "publish", "2026-03-01");
    let coarse = models(&place);
    assert!(!coarse.is_empty());
    for model in &coarse {
        let rms = coarse::strays(model, &scan);
        assert!(rms >= 0.15, "{rms} mm");
    }
}

#[test]
fn what_is_of_no_object_goes() {
    let place = Place::new();
    run(&place, "publish", "2026-03-01");
    assert!(!models(&place).is_empty());
    fs::rename(place.path("content/box"), place.path("content/chest")).unwrap();
    run(&place, "survey", "2026-03-01");
    let stored = tree::files(&place.path(".counterpart"));
    let names: Vec<&str> = stored.iter().map(|(name, _)| name.as_str()).collect();
    assert!(names.is_empty(), "{names:?}");
}

#[test]
fn earlier_states_of_a_photograph_go_with_it() {
    let terms = "otherwise = \"leave-out\"\npermits = [\"display\"]\nuntil = 2026-03-31";
    let photograph = "content/box/mark.jpg";
    let colour = |place: &Place| Hunt::of(&place.path(".counterpart")).colour > 0;
    // Another picture under its name, and then the end of the permission; or its name taken out.
    for (day, forgotten) in [("2026-04-01", false), ("2026-03-01", true)] {
        let place = planted(terms);
        run(&place, "publish", "2026-03-01");
        assert!(colour(&place));
        if forgotten {
            let record = fs::read_to_string(place.path(RECORD)).unwrap();
            let (before, after) = record.split_once("[[photographs]]").unwrap();
            let after = after.split_once("\n[").map_or("", |(_, after)| after);
            place.write(RECORD, &format!("{before}[{after}"));
            place.edit("content/box/en.md", "![A field from above](mark.jpg)", "");
        } else {
            repainted(&place.path(photograph));
        }
        run(&place, "survey", day);
        assert!(!colour(&place), "{day}");
    }
}

/// Another picture, in grey.
fn repainted(photograph: &Path) {
    image::RgbImage::from_pixel(64, 48, image::Rgb([90, 90, 90]))
        .save(photograph)
        .unwrap();
}

#[test]
fn what_may_not_lie_in_the_store_goes_though_the_site_stands() {
    let place = planted("otherwise = \"leave-out\"\npermits = [\"display\"]\nuntil = 2026-03-31");
    run(&place, "publish", "2026-03-01");
    let colour = || Hunt::of(&place.path(".counterpart")).colour > 0;
    assert!(colour());
    // Nothing is made again, and what is shown is kept.
    let out = place.run(&["publish", "--on", "2026-03-02", "--explain"]);
    let said = String::from_utf8_lossy(&out.stdout);
    assert!(
        said.contains("Objects that stand as they were: 1."),
        "{said}"
    );
    assert!(colour());
    let out = place.run(&["publish", "--on", "2026-04-01", "--explain"]);
    let said = String::from_utf8_lossy(&out.stdout);
    assert!(
        said.contains("box was made: its rights permit something else today"),
        "{said}"
    );
    assert!(!colour() && Hunt::of(&place.path("display")).colour == 0);
    assert_eq!(Hunt::of(&place.path(".display.counterpart")).colour, 0);
}

#[test]
fn pictures_with_words_go_with_the_permission_to_show_those() {
    let place = planted("permits = [\"display\"]");
    run(&place, "publish", "2026-03-01");
    let of_models = || {
        let stored = tree::files(&place.path(".counterpart"));
        let own = |name: &str| name.starts_with("object-box/") || name.starts_with("several/");
        stored.iter().filter(|(name, _)| own(name)).count()
    };
    assert!(of_models() > 0);
    place.edit(
        RECORD,
        "id = \"words\"\n",
        "id = \"words\"\nuntil = 2026-03-31\n",
    );
    run(&place, "survey", "2026-03-31");
    assert!(of_models() > 0);
    run(&place, "survey", "2026-04-01");
    assert_eq!(of_models(), 0);
}
