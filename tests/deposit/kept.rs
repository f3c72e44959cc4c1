//! What is in a deposit, and what is not.

use super::content::{MARK, deposit, place, text};
use super::tree::{Place, files};
use counterpart::deposit::verify;
use counterpart::progress::Silence;
use std::collections::BTreeMap;
use std::fs;
use std::process::Command;

fn bag(place: &Place, to: &str) -> BTreeMap<String, Vec<u8>> {
    files(&place.path(to)).into_iter().collect()
}

fn has(haystack: &[u8], needle: &[u8]) -> bool {
    haystack.windows(needle.len()).any(|w| w == needle)
}

#[test]
fn all_of_it_is_there_and_valid() {
    let place = place();
    let out = deposit(&place, "archive", &[]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let said = text(&out.stdout);
    assert!(
        said.contains("read back") && said.contains("lent.png"),
        "{said}"
    );
    assert_eq!(place.names(), [".counterpart", "archive", "content"]);
    assert_eq!(fs::read_dir(place.path("archive")).unwrap().count(), 1);
    let bag = bag(&place, "archive/box");
    for name in [
        "data/READ-ME.txt",
        "data/READ-ME.cy.txt",
        "data/rights.txt",
        "data/withheld.cy.txt",
        "data/records/site.toml",
        "data/records/box/record.toml",
        "data/records/box/en.md",
        "data/records/box/details/dent/cy.md",
        "data/records/box/models/box.glb",
        "data/records/box/models/copy.glb",
        "data/records/box/store.png",
        "data/records/terms/lead/en.md",
        "data/records/terms/old/cy.md",
        "data/levels/box-original-phone.glb",
        "data/levels/box-replica-phone.glb",
        "data/pictures/original-side-1.png",
        "data/pictures/details/dent-replica.png",
        "data/pictures/differences/replica.png",
        "data/collation/collation.json",
        "data/collation/measured.json",
        "data/collation/differences.csv",
        "data/collation/method.txt",
        "data/collation/distances/original-box.ply",
        "data/site/index.html",
        "data/site/box/index.html",
        "data/site/cy/box/index.html",
    ] {
        assert!(
            bag.contains_key(name),
            "{name} is missing; there are {:#?}",
            bag.keys()
        );
    }
    assert!(bag.keys().any(|name| name.starts_with("data/formats/")));
    // As received means to the byte.
    for name in [
        "record.toml",
        "models/box.glb",
        "store.png",
        "details/dent/en.md",
    ] {
        let received = fs::read(place.path(&format!("content/box/{name}"))).unwrap();
        assert_eq!(bag[&format!("data/records/box/{name}")], received, "{name}");
    }
    // RFC 8493, 2.1.1; the length is in our notes of it.
    assert_eq!(
        bag["bagit.txt"],
        b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    );
    assert_eq!(bag["bagit.txt"].len(), 54);
    let payload = bag.iter().filter(|(name, _)| name.starts_with("data/"));
    let (count, bytes) = payload.fold((0, 0), |(n, b), (_, f)| (n + 1, b + f.len()));
    let info = text(&bag["bag-info.txt"]);
    for line in [
        "Source-Organization: Brackwater Museum",
        "External-Identifier: BRKMU:1",
        "Bagging-Date: 2026-03-01",
        &format!("Payload-Oxum: {bytes}.{count}"),
        &format!(
            "Bag-Software-Agent: counterpart {}",
            env!("CARGO_PKG_VERSION")
        ),
    ] {
        assert!(info.lines().any(|l| l == line), "{line} is not in\n{info}");
    }
    let verdict = verify(&place.path("archive/box"), &Silence).unwrap();
    assert!(verdict.complete && verdict.valid, "{verdict:#?}");
    assert_eq!((verdict.files, verdict.bytes), (count, bytes as u64));
    let out = place.run(&["deposit", "--verify", "archive/box", "--json"]);
    assert_eq!(out.status.code(), Some(0));
    let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(report["verdict"]["valid"], true);
}

/// GNU coreutils read the manifests as they stand: names here need no encoding.
#[test]
fn another_program_finds_every_digest_right() {
    let place = place();
    assert!(deposit(&place, "archive", &[]).status.success());
    for list in ["manifest-sha512.txt", "tagmanifest-sha512.txt"] {
        let out = Command::new("sha512sum")
            .args(["--check", "--quiet", "--strict", list])
            .current_dir(place.path("archive/box"))
            .output()
            .expect("sha512sum of coreutils");
        assert!(out.status.success(), "{}", text(&out.stderr));
    }
    let out = Command::new("sha256sum")
        .args(["--check", "--quiet", "--strict", "manifest-sha256.txt"])
        .current_dir(place.path("archive/box"))
        .output()
        .expect("sha256sum of coreutils");
    assert!(out.status.success(), "{}", text(&out.stderr));
}

#[test]
fn two_runs_give_the_same_bytes() {
    let place = place();
    for (to, more) in [
        ("one", &[][..]),
        ("two", &[]),
        ("one", &["--pack"]),
        ("two", &["--pack"]),
    ] {
        let out = deposit(&place, to, more);
        assert!(out.status.success(), "{}", text(&out.stderr));
    }
    assert!(
        bag(&place, "one/box") == bag(&place, "two/box"),
        "the folders differ"
    );
    let packed = fs::read(place.path("one/box.zip")).unwrap();
    assert!(
        packed == fs::read(place.path("two/box.zip")).unwrap(),
        "the packed files differ"
    );
    // Over an earlier one, the same once more.
    assert!(deposit(&place, "one", &[]).status.success());
    assert!(deposit(&place, "one", &["--pack"]).status.success());
    assert!(bag(&place, "one/box") == bag(&place, "two/box"));
    assert_eq!(fs::read_dir(place.path("one")).unwrap().count(), 2);
    let verdict = verify(&place.path("one/box.zip"), &Silence).unwrap();
    assert!(verdict.packed && verdict.valid, "{verdict:#?}");
    // Packed or not, the same files.
    let mut archive =
        zip::ZipArchive::new(fs::File::open(place.path("one/box.zip")).unwrap()).unwrap();
    let whole = bag(&place, "one/box");
    assert_eq!(archive.len(), whole.len());
    for index in 0..archive.len() {
        let mut entry = archive.by_index(index).unwrap();
        let name = entry.name().unwrap().into_owned();
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut entry, &mut bytes).unwrap();
        assert_eq!(entry.compressed_size(), entry.size());
        assert_eq!(whole[name.strip_prefix("box/").unwrap()], bytes, "{name}");
    }
}

#[test]
fn the_read_me_needs_no_program() {
    let place = place();
    assert!(deposit(&place, "archive", &[]).status.success());
    let bag = bag(&place, "archive/box");
    for (name, bytes) in bag.iter().filter(|(n, _)| n.ends_with(".txt")) {
        let text = std::str::from_utf8(bytes).unwrap_or_else(|e| panic!("{name}: {e}"));
        if name.starts_with("data/") && !name.starts_with("data/site") {
            for line in text.lines() {
                assert!(line.chars().count() <= 72, "{name}: {line}");
            }
            assert!(
                !text.contains('{') && !text.contains('}'),
                "{name} has a blank that was not filled"
            );
        }
    }
    let english = text(&bag["data/READ-ME.txt"]);
    let flowing = english.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "A box (BRKMU:1)",
        // The middle of the front of a box of 10 × 30 × 10 mm.
        "The original, part “Box”: in the middle third, at the front; the surface there looks outward.",
        "Middle: x = 0.0, y = 15.0, z = 5.0 mm. Radius: 3.0 mm. Straight out of the surface: (0.00; 0.00; 1.00).",
        "in the highest third, at the back, toward the right; the surface there looks upward.",
        "from x = -5.0 to 5.0 mm",
        "Someone let it fall.",
        "Elin Fychan",
        "records/box/lent.png",
        "Its lid is lost.",
        "sha512sum --check manifest-sha512.txt",
    ] {
        let said = said.replace("x = -5.0", "x = −5.0");
        assert!(flowing.contains(&said), "‘{said}’ is not in\n{english}");
    }
    // Between the two details, by hand: (0, 15, 5) and (4, 30, −4) are √(16 + 225 + 81) = 17.94 mm apart.
    assert!(flowing.contains("17.9 mm"), "{english}");
    let welsh = text(&bag["data/READ-ME.cy.txt"]);
    assert!(
        welsh.contains("Gollyngodd rhywun ef.") && welsh.contains("y (i fyny)"),
        "{welsh}"
    );
}

/// A photograph that may be shown but not handed on is nowhere: not as a file, not made smaller, not in the
/// pages; nor is a file that no record names.
#[test]
fn what_is_withheld_is_nowhere_and_said_to_be() {
    let place = place();
    assert!(deposit(&place, "archive", &[]).status.success());
    let bag = bag(&place, "archive/box");
    for (name, bytes) in &bag {
        assert!(!has(bytes, MARK), "{name} holds the withheld photograph");
        assert!(!has(bytes, b"A private letter"), "{name} holds the letter");
        assert!(!name.contains("lent") && !name.contains("letter"), "{name}");
    }
    let pages = bag
        .iter()
        .filter(|(n, _)| n.starts_with("data/site/") && n.ends_with(".html"));
    for (name, bytes) in pages {
        assert!(!has(bytes, b"src=\"../assets/lent"), "{name}");
    }
    let said = text(&bag["data/withheld.txt"]);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains("(records/box/lent.png): the rights “lent” of A lender permit only showing."),
        "{said}"
    );
    assert!(
        said.contains("records/box/letter.txt: no record names this file"),
        "{said}"
    );
    // The terms that nothing leads to are another's.
    assert!(!bag.keys().any(|n| n.starts_with("data/records/terms/tin")));
}

#[test]
fn without_leave_for_a_scan_nothing_shows_it() {
    let place = place();
    place.edit(
        "content/box/record.toml",
        "permits = [\"display\", \"print\", \"deposit\"]",
        "permits = [\"display\", \"print\"]",
    );
    let out = deposit(&place, "archive", &[]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let bag = bag(&place, "archive/box");
    let shows = |name: &&String| {
        name.contains("original") && !name.ends_with(".txt") && !name.starts_with("data/formats/")
            || name.starts_with("data/site")
            || name.ends_with("/box.glb")
            || name.contains("distances")
            || name.contains("pictures/differences")
    };
    let found: Vec<&String> = bag.keys().filter(shows).collect();
    assert!(found.is_empty(), "{found:#?}");
    let scan = fs::read(place.path("content/box/models/box.glb")).unwrap();
    // Both models are the same bytes here; only the replica's own file may hold them.
    for (name, bytes) in &bag {
        assert!(
            *name == "data/records/box/models/copy.glb" || !has(bytes, &scan),
            "{name}"
        );
    }
    assert!(bag.contains_key("data/levels/box-replica-phone.glb"));
    let said = text(&bag["data/withheld.txt"]);
    assert!(
        said.contains("Model of the original") && said.contains("The copy of the pages"),
        "{said}"
    );
}

#[test]
fn without_leave_for_the_words_there_is_none() {
    let place = place();
    place.edit(
        "content/box/record.toml",
        "permits = [\"display\", \"download\", \"print\", \"deposit\"]",
        "permits = [\"display\", \"download\", \"print\"]",
    );
    let out = deposit(&place, "archive", &[]);
    assert_eq!(out.status.code(), Some(1));
    let said = text(&out.stderr);
    assert!(
        said.contains("box/record.toml")
            && said.contains("\"deposit\"")
            && said.contains("‘words’"),
        "{said}"
    );
    assert!(!place.path("archive").exists());
    // A permission that is over on the day that is given.
    place.edit(
        "content/box/record.toml",
        "permits = [\"display\", \"download\", \"print\"]",
        "until = 2026-02-28\npermits = [\"display\", \"download\", \"print\", \"deposit\"]",
    );
    let out = deposit(&place, "archive", &[]);
    assert_eq!(out.status.code(), Some(1), "{}", text(&out.stderr));
}

#[test]
fn what_others_wrote_is_left_alone() {
    let place = place();
    place.write("archive/box/chapter-one.txt", "mine");
    let out = deposit(&place, "archive", &[]);
    assert_eq!(out.status.code(), Some(3));
    assert!(
        text(&out.stderr).contains("left alone"),
        "{}",
        text(&out.stderr)
    );
    assert_eq!(files(&place.path("archive/box")).len(), 1);
    fs::remove_dir_all(place.path("archive")).unwrap();
    assert!(deposit(&place, "archive", &[]).status.success());
    place.write(
        "archive/box/data/note-of-the-archivist.txt",
        "kept in room 4",
    );
    let before = files(&place.path("archive/box"));
    let out = deposit(&place, "archive", &[]);
    assert_eq!(out.status.code(), Some(3));
    assert!(
        text(&out.stderr).contains("note-of-the-archivist.txt"),
        "{}",
        text(&out.stderr)
    );
    assert!(before == files(&place.path("archive/box")));
    place.write("packed/box.zip", "not ours");
    assert_eq!(
        deposit(&place, "packed", &["--pack"]).status.code(),
        Some(3)
    );
    assert_eq!(fs::read(place.path("packed/box.zip")).unwrap(), b"not ours");
}

#[test]
fn usage_and_unknown_things() {
    let place = place();
    assert_eq!(place.run(&["deposit"]).status.code(), Some(2));
    assert_eq!(place.run(&["deposit", "box"]).status.code(), Some(2));
    assert_eq!(
        place.run(&["deposit", "bax", "--to", "x"]).status.code(),
        Some(1)
    );
    assert_eq!(
        place.run(&["deposit", "--verify", "nowhere"]).status.code(),
        Some(3)
    );
    assert_eq!(
        place
            .run(&["deposit", "box", "--verify", "x"])
            .status
            .code(),
        Some(2)
    );
    let out = place.run(&["deposit", "--verify", "content"]);
    assert_eq!(out.status.code(), Some(1));
    assert!(
        text(&out.stdout).contains("bagit.txt"),
        "{}",
        text(&out.stdout)
    );
}

/// What is in the records is a content folder again: the pages can be made from it.
#[test]
fn the_records_can_be_published_again() {
    let place = place();
    place.edit(
        "content/box/record.toml",
        "permits = [\"display\"]",
        "permits = [\"display\", \"deposit\"]",
    );
    assert!(deposit(&place, "archive", &[]).status.success());
    let out = place.run(&[
        "publish",
        "archive/box/data/records",
        "--carry",
        "--to",
        "again",
    ]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let whole = bag(&place, "archive/box");
    let again = bag(&place, "again");
    let page = &again["box/index.html"];
    assert_eq!(page, &whole["data/site/box/index.html"]);
}
