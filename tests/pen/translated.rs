//! Which translation is older than its source.

use super::{Place, at, file, leaf, version};
use counterpart::desk::pen::{Fresh, Pen, Refusal};
use counterpart::record::{Freshness, wording_digest};

fn translate(pen: &Pen, text: &str) {
    let source = leaf(pen, "a/en.md").text;
    let note = Fresh {
        file: file("a/cy.md"),
        expected: pen.read(&file("a/cy.md")).unwrap().map(|l| l.version),
        text: text.into(),
    };
    pen.write_translation(
        &note,
        &file("a/en.md"),
        &wording_digest(&source),
        "Welsh",
        at(0),
    )
    .unwrap();
}

#[test]
fn a_changed_source_makes_its_translation_older() {
    let place = Place::new();
    place.put("a/en.md", "# A\n\nOne.\n");
    let pen = place.pen();
    let state = || pen.freshness(&file("a/cy.md")).unwrap();
    assert_eq!(state(), Freshness::NotSaid);
    translate(&pen, "# A\n\nUn.\n");
    assert_eq!(state(), Freshness::Fresh);
    let list = place.text("translations.toml").unwrap();
    // The digest by the reference implementation of BLAKE3.
    let digest = blake3::hash(b"# A\n\nOne.\n").to_hex();
    assert_eq!(
        list,
        format!("format = 1\n\n[notes.\"a/cy.md\"]\nsource = \"en.md\"\ndigest = \"{digest}\"\n")
    );
    // Line ends of another system are no change of words.
    place.put("a/en.md", "\u{feff}# A\r\n\r\nOne.\r\n");
    assert_eq!(state(), Freshness::Fresh);
    place.put("a/en.md", "# A\n\nTwo.\n");
    assert_eq!(state(), Freshness::Older);
    // Up to date although its own words stay: only the entry is written, and one line of it.
    translate(&pen, "# A\n\nUn.\n");
    assert_eq!(state(), Freshness::Fresh);
    let now = place.text("translations.toml").unwrap();
    assert_eq!(
        now.lines()
            .zip(list.lines())
            .filter(|(a, b)| a != b)
            .count(),
        1
    );
    // Note and entry are one change.
    translate(&pen, "# A\n\nDau.\n");
    assert_eq!(place.text("a/cy.md").unwrap(), "# A\n\nDau.\n");
    pen.undo(at(1)).unwrap();
    assert_eq!(place.text("a/cy.md").unwrap(), "# A\n\nUn.\n");
    std::fs::remove_file(place.content().join("a/en.md")).unwrap();
    assert_eq!(state(), Freshness::SourceGone);
    pen.forget_translation(&file("a/cy.md"), "", at(2)).unwrap();
    assert_eq!(state(), Freshness::NotSaid);
    assert!(matches!(
        pen.forget_translation(&file("a/cy.md"), "", at(2)),
        Err(Refusal::NotSettable { .. })
    ));
}

#[test]
fn keepers_words_in_the_list_stay_and_what_cannot_be_read_is_told() {
    let place = Place::new();
    place.put("a/en.md", "# A\n");
    place.put("translations.toml", "# Ours.\nformat = 1 # yes\n");
    let pen = place.pen();
    translate(&pen, "# A\n");
    assert!(
        place
            .text("translations.toml")
            .unwrap()
            .starts_with("# Ours.\nformat = 1 # yes\n\n[notes.")
    );
    place.put(
        "translations.toml",
        "format = 1\n[notes.\"a/cy.md\"]\nsource = 3\n",
    );
    assert!(matches!(
        pen.freshness(&file("a/cy.md")),
        Err(Refusal::NotToml { line: 3, .. })
    ));
    let note = Fresh {
        file: file("a/cy.md"),
        expected: Some(version(&pen, "a/cy.md")),
        text: "x".into(),
    };
    for wrong in ["en.md", "b/en.md", "a/cy.md"] {
        let found = pen.write_translation(&note, &file(wrong), "", "", at(0));
        assert!(matches!(found, Err(Refusal::Outside { .. })), "{found:?}");
    }
}
