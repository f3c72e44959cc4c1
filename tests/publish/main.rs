//! The program itself, run in an empty folder: what it prints, its exit codes, what it writes.

mod carry;
#[path = "../dice/mod.rs"]
mod dice;
mod edits;
mod faults;
mod lists;
#[path = "../shapes/mod.rs"]
mod shapes;
mod spread;
mod told;
mod tree;

use std::fs;
use tree::{Place, files};

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn bare_program_publishes_and_says_where_to_look() {
    let place = Place::new();
    let out = place.run(&[]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    assert!(
        text(&out.stdout).contains("display/index.html"),
        "{}",
        text(&out.stdout)
    );
    let home = fs::read_to_string(place.path("display/index.html")).unwrap();
    assert!(home.contains("A box"));
    for page in [
        "box",
        "box/details/dent",
        "box/rights",
        "box/label",
        "box/large-print",
        "box/handout",
        "box/raised-lines",
        "box/data",
        "glossary",
    ] {
        assert!(
            place.path(&format!("display/{page}/index.html")).is_file(),
            "{page}"
        );
    }
    // No replica and no making: no pages that would be empty.
    assert!(!place.path("display/box/what-differs").exists());
    assert!(!place.path("display/box/making").exists());
    assert_eq!(
        place.names_without_ledgers(),
        [".counterpart", "content", "display"]
    );
    place.nothing_half_beside("display");
}

#[test]
fn the_same_input_gives_the_same_bytes_with_and_without_the_store() {
    let place = Place::new();
    assert!(place.run(&[]).status.success());
    let first = files(&place.path("display"));
    assert!(place.run(&[]).status.success());
    assert_eq!(first, files(&place.path("display")), "a second run differs");
    fs::remove_dir_all(place.path(".counterpart")).unwrap();
    assert!(
        place
            .run(&["publish", "--to", "elsewhere"])
            .status
            .success()
    );
    assert_eq!(
        first,
        files(&place.path("elsewhere")),
        "a run without the store differs"
    );
}

#[test]
fn a_finding_refuses_publication_and_leaves_the_earlier_site() {
    let place = Place::new();
    assert!(place.run(&[]).status.success());
    let before = files(&place.path("display"));
    place.edit("content/box/en.md", "detail:dent", "detail:dint");
    let out = place.run(&["publish"]);
    assert_eq!(out.status.code(), Some(1), "{}", text(&out.stderr));
    let said = text(&out.stderr);
    assert!(
        said.contains("box/en.md") && said.contains("dint") && said.contains("dent"),
        "{said}"
    );
    assert_eq!(before, files(&place.path("display")));
}

#[test]
fn survey_speaks_json_and_exits_by_what_it_found() {
    let place = Place::new();
    let out = place.run(&["survey", "--json"]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stdout));
    place.edit(
        "content/box/record.toml",
        "format = 1",
        "format = 2\ncolour = \"grey\"",
    );
    let out = place.run(&["survey", "--json"]);
    assert_eq!(out.status.code(), Some(1));
    let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let findings = report["findings"].as_array().unwrap();
    assert!(
        findings.len() >= 2,
        "all findings are reported, not the first only: {report:#}"
    );
    for finding in findings {
        let place = &finding["place"];
        assert!(place["line"].as_u64().unwrap() >= 1 && place["column"].as_u64().unwrap() >= 1);
        assert!(!finding["remedy"].as_str().unwrap().is_empty());
    }
}

/// The box is 10 × 30 × 10 mm: V = 3000 mm³, A = 2 · 10 · 10 + 4 · 10 · 30 = 1400 mm².
#[test]
fn the_survey_carries_what_was_measured() {
    let place = Place::new();
    let out = place.run(&["survey", "--json"]);
    let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let body = &report["measured"]["box"]["original"];
    let (part, whole) = (&body["parts"]["box"], &body["whole"]);
    let near = |value: &serde_json::Value, exact: f64| {
        let value = value.as_f64().unwrap();
        assert!((value - exact).abs() < 1e-3 * exact, "{value} and {exact}");
    };
    for of in [part, whole] {
        near(&of["volume"]["mm3"], 3000.0);
        near(&of["area_mm2"], 1400.0);
        assert_eq!(of["closed"], true);
        assert_eq!(of["triangles"], 12);
        assert_eq!(of["centroid_mm"].as_array().unwrap().len(), 3);
    }
    for flaws in [
        "openings",
        "doubled_skins",
        "self_crossings",
        "non_manifold_edges",
    ] {
        assert_eq!(part[flaws].as_array().map(Vec::len), Some(0), "{flaws}");
    }
}

/// The same box as OBJ with numbers in millimetres.
fn box_obj() -> String {
    let faces = [
        [1, 3, 4, 2],
        [5, 6, 8, 7],
        [1, 2, 6, 5],
        [3, 7, 8, 4],
        [1, 5, 7, 3],
        [2, 4, 8, 6],
    ];
    let mut model = String::new();
    for i in 0..8 {
        let side = |bit: u32, low: i32, high: i32| if i >> bit & 1 == 0 { low } else { high };
        model += &format!(
            "v {} {} {}\n",
            side(0, -5, 5),
            side(1, 0, 30),
            side(2, -5, 5)
        );
    }
    for [a, b, c, d] in faces {
        model += &format!("f {a} {b} {c} {d}\n");
    }
    model
}

fn with_obj(model: &str) -> Place {
    let place = Place::new();
    place.write("content/box/models/box.obj", model);
    place.edit(
        "content/box/record.toml",
        "models/box.glb",
        "models/box.obj",
    );
    place.edit("content/box/record.toml", "unit = \"m\"", "unit = \"mm\"");
    place
}

/// Relief is drawn on a surface that can be laid flat; of one in thousands of pieces the page says
/// that it is not.
#[test]
fn a_surface_in_too_many_pieces_is_shown_without_relief_and_the_page_says_so() {
    let place = with_obj(&box_obj());
    assert!(place.run(&[]).status.success());
    let page = |place: &Place| fs::read_to_string(place.path("display/box/index.html")).unwrap();
    assert!(page(&place).contains("is drawn on it from the scan, a point every"));
    let mut dust = box_obj();
    for i in 0..5000 {
        let (x, z) = (
            f64::from(i % 100) * 0.1 - 5.0,
            f64::from(i / 100) * 0.2 - 5.0,
        );
        dust += &format!(
            "v {x} 31 {z}\nv {x} 31 {}\nv {} 31 {z}\n",
            z + 0.05,
            x + 0.05
        );
    }
    for i in 0..5000 {
        dust += &format!("f {} {} {}\n", 9 + 3 * i, 10 + 3 * i, 11 + 3 * i);
    }
    let place = with_obj(&dust);
    let out = place.run(&[]);
    assert!(out.status.success(), "{}", text(&out.stdout));
    let page = page(&place);
    assert!(page.contains("the surface is in too many pieces"), "{page}");
    assert!(!page.contains("a point every"));
}

/// Numbers in millimetres, said to be in metres.
#[test]
fn a_slip_of_units_is_asked_about() {
    let place = with_obj(&box_obj());
    let out = place.run(&["survey"]);
    assert!(out.status.success(), "{}", text(&out.stdout));
    place.edit("content/box/record.toml", "unit = \"mm\"", "unit = \"m\"");
    let out = text(&place.run(&["survey"]).stdout);
    assert!(
        out.contains("30.00 m; were metres written where millimetres were meant?"),
        "{out}"
    );
}

#[test]
fn an_anchor_off_the_surface_is_a_finding_with_the_nearest_point() {
    let place = Place::new();
    place.edit(
        "content/box/details/dent/record.toml",
        "[0.0, 15.0, 5.0]",
        "[0.0, 15.0, 12.5]",
    );
    let out = place.run(&["survey"]);
    assert_eq!(out.status.code(), Some(1));
    let said = text(&out.stdout);
    assert!(
        said.contains("7.50 mm") && said.contains("[0.00, 15.00, 5.00]"),
        "{said}"
    );
}

#[test]
fn a_model_that_cannot_be_read_is_a_finding() {
    let place = Place::new();
    let model = place.path("content/box/models/box.glb");
    let bytes = fs::read(&model).unwrap();
    fs::write(&model, &bytes[..bytes.len() / 2]).unwrap();
    let out = place.run(&["survey"]);
    assert_eq!(out.status.code(), Some(1), "{}", text(&out.stdout));
    assert!(
        text(&out.stdout).contains("models/box.glb"),
        "{}",
        text(&out.stdout)
    );
}

#[test]
fn a_folder_of_someone_elses_is_never_replaced() {
    let place = Place::new();
    place.write("thesis/chapter-one.txt", "mine");
    let out = place.run(&["publish", "--to", "thesis"]);
    assert_eq!(out.status.code(), Some(3), "{}", text(&out.stderr));
    assert_eq!(
        files(&place.path("thesis")),
        [("chapter-one.txt".to_owned(), b"mine".to_vec())]
    );
}

#[test]
fn a_theme_folder_replaces_file_by_file() {
    let place = Place::new();
    place.edit(
        "content/site.toml",
        "languages",
        "look = { theme = \"look\" }\nlanguages",
    );
    place.write("content/look/words/en.toml", "");
    let out = place.run(&[]);
    assert_eq!(
        out.status.code(),
        Some(3),
        "missing words must stop the build: {}",
        text(&out.stderr)
    );
    fs::remove_dir_all(place.path("content/look")).unwrap();
    place.write(
        "content/look/templates/glossary.html",
        "<!doctype html><title>{{ frame.title }}</title><p>Ours.",
    );
    let out = place.run(&[]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    assert!(
        fs::read_to_string(place.path("display/glossary/index.html"))
            .unwrap()
            .contains("Ours.")
    );
    assert!(
        fs::read_to_string(place.path("display/index.html"))
            .unwrap()
            .contains("A box")
    );
}

#[test]
fn wrong_usage_has_its_own_exit_code() {
    let place = Place::new();
    assert_eq!(place.run(&["publsh"]).status.code(), Some(2));
    assert_eq!(
        place.run(&["survey", "--on", "yesterday"]).status.code(),
        Some(2)
    );
    assert_eq!(place.run(&["--help"]).status.code(), Some(0));
}

#[test]
fn rights_are_judged_by_the_day_given() {
    let place = Place::new();
    place.edit(
        "content/box/record.toml",
        "permits = [",
        "until = 2030-06-30\npermits = [",
    );
    assert_eq!(
        place.run(&["survey", "--on", "2030-06-30"]).status.code(),
        Some(0)
    );
    let out = place.run(&["survey", "--on", "2030-07-01"]);
    assert_eq!(out.status.code(), Some(1));
    assert!(
        text(&out.stdout).contains("2030-06-30"),
        "{}",
        text(&out.stdout)
    );
}

/// What the guide tells a newcomer to write must pass as it stands there.
#[test]
fn the_example_of_the_guide_passes_the_survey() {
    let guide = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let place = Place::new();
    let model = fs::read(place.path("content/box/models/box.glb")).unwrap();
    fs::remove_dir_all(place.path("content")).unwrap();
    let mut written = 0;
    for piece in guide.split("\n`content/").skip(1) {
        let (name, rest) = piece.split_once('`').unwrap();
        let block = rest.split("```").nth(1).unwrap();
        let text = block.split_once('\n').unwrap().1;
        place.write(&format!("content/{name}"), text);
        written += 1;
    }
    assert_eq!(written, 3, "the guide shows three files");
    fs::create_dir_all(place.path("content/chalice/models")).unwrap();
    fs::write(place.path("content/chalice/models/cup.glb"), model).unwrap();
    let out = place.run(&["survey"]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stdout));
}
