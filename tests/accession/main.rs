//! A new object: the program run in an empty folder, and what the library makes of answers.
#![cfg(unix)]

use counterpart::accession::{self, Answers};
use counterpart::desk::pen::{Moment, Pen, Refusal};
use counterpart::limits::Limits;
use counterpart::progress::Silence;
use counterpart::record::{Day, Findings, LengthUnit, UpAxis, read};
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

fn run(place: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_counterpart"))
        .args(args)
        .current_dir(place)
        .stdin(Stdio::null())
        .output()
        .expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A closed box of 20 × 30 × 40 millimetres as ASCII STL, scaled.
fn cube(scale: f64) -> String {
    let corner = |i: usize| {
        let side = |bit: usize, mm: f64| if i & bit > 0 { mm * scale } else { 0.0 };
        [side(1, 20.0), side(2, 30.0), side(4, 40.0)]
    };
    let faces = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let mut out = "solid box\n".to_owned();
    for [a, b, c, d] in faces {
        for corners in [[a, b, c], [a, c, d]] {
            out.push_str("facet normal 0 0 0\nouter loop\n");
            for i in corners {
                let [x, y, z] = corner(i);
                out.push_str(&format!("vertex {x} {y} {z}\n"));
            }
            out.push_str("endloop\nendfacet\n");
        }
    }
    out + "endsolid box\n"
}

fn found(content: &Path) -> Findings {
    read(content, Day::new(2026, 1, 1).unwrap(), &Limits::default()).findings
}

#[test]
fn from_an_empty_folder_to_a_measured_object() {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("scan.stl"), cube(1.0)).unwrap();
    let out = run(
        place.path(),
        &[
            "accession",
            "mortar",
            "--title",
            "en=The mortar",
            "--title",
            "cy=Y morter",
            "--number",
            "BRKMU:1923.14",
            "--name",
            "en=Mortar",
            "--original",
            "bowl=scan.stl",
            "--unit",
            "mm",
            "--material",
            "en=Bell metal",
            "--publisher",
            "Brackwater \"Museum\"",
        ],
    );
    let (report, notes) = (text(&out.stdout), text(&out.stderr));
    assert_eq!(out.status.code(), Some(0), "{report}{notes}");
    // Closed formulas: a box of 20 × 30 × 40 mm encloses 24 cm³ in 52 cm².
    for words in [
        "20.0 mm wide, 30.0 mm high, 40.0 mm deep",
        "52.0 cm² of surface",
        "a volume of 24.00 cm³",
        "no flaw was found",
        "mortar/models/original-bowl.stl",
        "site.toml",
    ] {
        assert!(report.contains(words), "{words} is not in\n{report}");
    }
    let content = place.path().join("content");
    let read_text = |name: &str| fs::read_to_string(content.join(name)).unwrap();
    assert_eq!(read_text("mortar/cy.md"), "# Y morter\n");
    assert_eq!(
        read_text("site.toml"),
        "format = 1\npublisher = \"Brackwater \\\"Museum\\\"\"\nlanguages = [\"cy\", \"en\"]\n"
    );
    let record = read_text("mortar/record.toml");
    let wanted = "format = 1\n\n[identification]\nnumber = \"BRKMU:1923.14\"\nname = { en = \"Mortar\" }\n\n[bodies.original]\n\n[[bodies.original.parts]]\nid = \"bowl\"\nmodel = \"models/original-bowl.stl\"\nunit = \"mm\"\nmaterial = \"bell-metal\"\n\n[materials.bell-metal]\nname = { en = \"Bell metal\" }\n";
    assert_eq!(record, wanted);
    assert_eq!(
        fs::read(content.join("mortar/models/original-bowl.stl")).unwrap(),
        cube(1.0).as_bytes()
    );
    // What nobody answered is missing, each by its name; nothing is made up.
    let found = found(&content);
    let said = |rule: &str, words: &str| {
        found
            .iter()
            .any(|f| f.rule == rule && f.what.contains(words))
    };
    for key in [
        "words_rights",
        "rights",
        "label",
        "date",
        "keeper",
        "evidence",
        "location",
        "finish",
        "density_g_per_cm3",
        "address",
        "introduction",
    ] {
        assert!(said("missing-key", &format!("‘{key}’")), "{key}");
    }
    assert!(
        found
            .iter()
            .all(|f| ["missing-key", "missing-language"].contains(&f.rule)),
        "{found:?}"
    );
    assert!(notes.contains("missing-key"), "{notes}");
    // Once more it is left as it is.
    let again = run(
        place.path(),
        &["accession", "mortar", "--title", "en=Another"],
    );
    assert_eq!(again.status.code(), Some(3));
    assert!(
        text(&again.stderr).contains("is there already"),
        "{}",
        text(&again.stderr)
    );
    assert_eq!(read_text("mortar/record.toml"), wanted);
}

#[test]
fn as_json_and_without_a_unit() {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("original-bowl.stl"), cube(0.001)).unwrap();
    let out = run(
        place.path(),
        &[
            "accession",
            "mortar",
            "--original",
            "original-bowl.stl",
            "--json",
        ],
    );
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let scan = &report["scans"][0];
    assert_eq!(scan["file"], "mortar/models/original-bowl.stl");
    let why = scan["not_measured"].as_str().unwrap();
    assert!(
        why.contains("in m: its longest side is 40.0 mm  (a usual size)"),
        "{why}"
    );
    assert!(
        report["missing"]
            .as_array()
            .unwrap()
            .iter()
            .any(|f| f["what"].as_str().unwrap().contains("‘unit’"))
    );
}

#[test]
fn wrong_usage_and_scans_that_cannot_be_read_make_nothing() {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("scan.stl"), "nothing").unwrap();
    for (args, code) in [
        (&["accession", "Mortar"][..], 2),
        (&["accession", "mortar", "--title", "Mortar"], 2),
        (&["accession", "mortar", "--unit", "ell"], 2),
        (&["accession", "mortar", "--original", "scan.stl"], 3),
        (&["accession", "mortar", "--original", "missing.ply"], 3),
        (
            &[
                "accession",
                "mortar",
                "--original",
                "a=scan.stl",
                "--original",
                "a=scan.stl",
            ],
            3,
        ),
    ] {
        let out = run(place.path(), args);
        assert_eq!(
            out.status.code(),
            Some(code),
            "{args:?}: {}",
            text(&out.stderr)
        );
        assert!(!place.path().join("content/mortar").exists(), "{args:?}");
    }
}

#[test]
fn sizes_and_units_of_a_scan() {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("box.stl");
    fs::write(&path, cube(1.0 / 25.4)).unwrap();
    let scan = accession::look(
        &path,
        LengthUnit::Inch,
        UpAxis::Z,
        &Limits::default(),
        &Silence,
    )
    .unwrap();
    // +Z of the file is up: 20 wide, 40 high, 30 deep.
    for (found, wanted) in scan.size_mm.iter().zip([20.0, 40.0, 30.0]) {
        assert!((found - wanted).abs() < 1e-4, "{:?}", scan.size_mm);
    }
    let choices = accession::unit_choices(&path, &Limits::default()).unwrap();
    let likely: Vec<_> = choices
        .iter()
        .filter(|c| c.likely)
        .map(|c| c.unit)
        .collect();
    assert_eq!(likely, [LengthUnit::Centimetre, LengthUnit::Inch]);
    assert_eq!(choices.len(), 4);
}

#[test]
fn what_is_begun_can_be_taken_back_and_words_that_are_there_stay() {
    let place = tempfile::tempdir().unwrap();
    let content = place.path().join("content");
    fs::create_dir_all(content.join("mortar")).unwrap();
    fs::write(content.join("mortar/en.md"), "# Mine\n").unwrap();
    let pen = Pen::open(&content, &place.path().join("keep")).unwrap();
    let at = Moment::from_unix_ms(0).unwrap();
    let answers: Answers = serde_json::from_str(
        r#"{ "titles": { "en": "Mortar", "cy": "Morter" }, "bodies": { "original": {} } }"#,
    )
    .unwrap();
    let id = "mortar".parse().unwrap();
    let begun = accession::begin(&pen, &id, &answers, at).unwrap();
    assert!(begun.site);
    assert_eq!(begun.files.len(), 3);
    assert_eq!(
        fs::read_to_string(content.join("mortar/en.md")).unwrap(),
        "# Mine\n"
    );
    assert!(matches!(
        accession::begin(&pen, &id, &answers, at),
        Err(Refusal::Taken { .. })
    ));
    pen.undo(at).unwrap();
    assert!(!content.join("site.toml").exists() && !content.join("mortar/cy.md").exists());
    assert!(content.join("mortar/en.md").exists());
}
