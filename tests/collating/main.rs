//! The comparison from records to findings, run as a keeper runs it. Shapes and differences are made
//! here, so their sizes are known.

#[path = "../shapes/mod.rs"]
mod shapes;
#[allow(dead_code, reason = "shared with the tests of publishing")]
#[path = "../publish/tree.rs"]
mod tree;

mod page;

use counterpart::align::Pose;
use counterpart::limits::Limits;
use counterpart::mesh::{GlbFacts, Mesh, NamedMesh, glb_plain, read, signed_volume_mm3};
use counterpart::record::{LengthUnit, UpAxis};
use glam::{DQuat, DVec3, Vec3};
use std::fs;
use std::process::Output;
use tree::Place;

/// A table's net of triangles over a square of points, turned into a closed body by a second one.
fn closed(n: u32, at: impl Fn(f64, f64, bool) -> DVec3) -> Mesh {
    let side = n + 1;
    let mut positions: Vec<Vec3> = Vec::new();
    for top in [false, true] {
        for i in 0..side {
            for j in 0..side {
                let p = at(
                    f64::from(i) / f64::from(n),
                    f64::from(j) / f64::from(n),
                    top,
                );
                positions.push(p.as_vec3());
            }
        }
    }
    let id = |i: u32, j: u32, top: bool| u32::from(top) * side * side + i * side + j;
    let mut triangles = Vec::new();
    for i in 0..n {
        for j in 0..n {
            for top in [false, true] {
                let (a, b) = (id(i, j, top), id(i + 1, j, top));
                let (c, d) = (id(i + 1, j + 1, top), id(i, j + 1, top));
                if top {
                    triangles.extend([[a, d, c], [a, c, b]]);
                } else {
                    triangles.extend([[a, c, d], [a, b, c]]);
                }
            }
        }
        // The four walls between the two nets.
        let mut wall = |p: (u32, u32), q: (u32, u32)| {
            let (a, b) = (id(p.0, p.1, false), id(q.0, q.1, false));
            let (c, d) = (id(q.0, q.1, true), id(p.0, p.1, true));
            triangles.extend([[a, d, c], [a, c, b]]);
        };
        wall((i, 0), (i + 1, 0));
        wall((i + 1, n), (i, n));
        wall((0, i + 1), (0, i));
        wall((n, i), (n, i + 1));
    }
    Mesh::new(positions, triangles).unwrap()
}

/// A slab of 60 × 44 mm, 12 mm high, with a slope and a lump so that it lies in one way only; a pad
/// of so many millimetres on its top.
fn slab(pad_mm: f64) -> Mesh {
    closed(150, |u, v, top| {
        let (x, z) = ((u - 0.5) * 60.0, (v - 0.5) * 44.0);
        let lump = 3.0 * (-((x + 14.0).powi(2) + (z - 8.0).powi(2)) / 60.0).exp();
        let height = 12.0 + 0.04 * x + lump;
        let reach = ((x - 12.0).powi(2) + (z + 6.0).powi(2)).sqrt();
        let t = ((7.0 - reach) / 2.0).clamp(0.0, 1.0);
        let pad = pad_mm * t * t * (3.0 - 2.0 * t);
        DVec3::new(x, if top { height + pad } else { 0.0 }, z)
    })
}

const PAD: &str = "[12.0, 13.48, -6.0]";

/// A place with a replica that lies elsewhere and has a pad that nobody mentions.
fn place(replica: &Mesh, pose: &Pose) -> Place {
    let place = Place::new();
    let write = |name: &str, mesh: &Mesh| {
        let bytes = glb_plain(&[NamedMesh::new("box", mesh)], &GlbFacts::default()).unwrap();
        fs::write(place.path(name), bytes).unwrap();
    };
    write("content/box/models/box.glb", &slab(0.0));
    write(
        "content/box/models/copy.glb",
        &replica.mapped(|p| pose.point(p)),
    );
    place.edit(
        "content/box/record.toml",
        "[materials.lead]",
        r#"[bodies.replica]
location = { en = "in the gallery" }
finish = { en = "painted" }
parts = [{ id = "box", name = { en = "Box" }, model = "models/copy.glb", unit = "m", material = "lead", rights = "museum", solid = true }]

[collation]
tolerance_mm = 0.2

[materials.lead]"#,
    );
    let dent = "content/box/details/dent/record.toml";
    place.edit(
        dent,
        "original = \"present\"",
        "original = \"present\", replica = \"present\"",
    );
    place.edit(dent, "[0.0, 15.0, 5.0]", "[-14.0, 14.44, 8.0]");
    place
}

fn elsewhere() -> Pose {
    Pose {
        scale: 1.0,
        turn: DQuat::from_euler(glam::EulerRot::XYZ, 2.1, -0.7, 1.3),
        shift: DVec3::new(400.0, -30.0, 80.0),
    }
}

fn errors(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned() + &String::from_utf8_lossy(&output.stdout)
}

#[test]
fn a_difference_that_no_note_explains_stops_publication_until_its_record_is_pasted() {
    let place = place(&slab(0.8), &elsewhere());
    let output = place.run(&["publish"]);
    let said = errors(&output);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.contains("error[unexplained-difference]"), "{said}");
    assert!(
        said.contains("stands out beyond the original by up to 0.8"),
        "{said}"
    );
    // A still of it lies beside the content.
    let still = place.path(".counterpart/unexplained/box-difference-1.png");
    assert!(said.contains(&still.display().to_string()), "{said}");
    assert!(image::open(&still).unwrap().width() > 500);
    // The record that the finding offers is pasted as it stands.
    let start = said.find("format = 1").unwrap();
    let end = said[start..].find("or answer for it").unwrap() + start;
    let record: String = said[start..end]
        .lines()
        .map(|l| format!("{}\n", l.trim()))
        .collect();
    place.write("content/box/details/difference-1/record.toml", &record);
    place.write(
        "content/box/details/difference-1/en.md",
        "# A pad\n\nIt keeps the lid level.\n",
    );
    place.edit(
        "content/box/en.md",
        "can be felt",
        "can be felt, beside a [pad](detail:difference-1)",
    );
    let output = place.run(&["survey"]);
    assert_eq!(output.status.code(), Some(0), "{}", errors(&output));
    assert!(!still.exists(), "it is no puzzle any more");
}

#[test]
fn of_what_may_not_be_shown_no_still_is_left() {
    let place = place(&slab(0.8), &elsewhere());
    let still = place.path(".counterpart/unexplained/box-difference-1.png");
    place.run(&["survey", "--on", "2026-03-01"]);
    assert!(still.exists());
    place.edit(
        "content/box/record.toml",
        "permits = [",
        "until = 2026-03-31\npermits = [",
    );
    let said = errors(&place.run(&["survey", "--on", "2026-04-01"]));
    assert!(said.contains("error[unexplained-difference]"), "{said}");
    assert!(!still.exists());
}

#[test]
fn a_person_may_answer_for_a_difference() {
    let place = place(&slab(0.8), &elsewhere());
    place.edit(
        "content/site.toml",
        "languages = [\"en\"]",
        "languages = [\"en\"]\npeople = { jo = { name = \"Jo Keeper\", role = { en = \"keeper\" } } }",
    );
    let said = errors(&place.run(&["survey"]));
    let start = said.find("[[collation.accepted]]").unwrap();
    let block: String = said[start..]
        .lines()
        .map(|l| format!("{}\n", l.trim()))
        .take(7)
        .collect();
    let block = block
        .replace("\"…\"", "\"Left by the mould.\"")
        .replace("by = \"who\"", "by = \"jo\"");
    place.edit(
        "content/box/record.toml",
        "[materials.lead]",
        &format!("{block}\n[materials.lead]"),
    );
    let output = place.run(&["publish"]);
    assert_eq!(output.status.code(), Some(0), "{}", errors(&output));
    let page = fs::read_to_string(place.path("display/box/what-differs/index.html")).unwrap();
    assert!(page.contains("Left by the mould.") && page.contains("Jo Keeper"));
    // Once the difference is gone, the acceptance is one too many.
    let bytes = glb_plain(&[NamedMesh::new("box", &slab(0.0))], &GlbFacts::default()).unwrap();
    fs::write(place.path("content/box/models/copy.glb"), bytes).unwrap();
    assert!(errors(&place.run(&["survey"])).contains("advice[accepted-not-found]"));
}

#[test]
fn a_claim_that_nothing_bears_out_is_a_finding() {
    let place = place(&slab(0.0), &Pose::STILL);
    let detail = |bearing: &str| {
        format!(
            "format = 1\nkind = \"addition\"\npart = \"box\"\nbearing = {bearing}\nevidence = {{ ground = \"observed\" }}\n\n[anchor]\nbody = \"replica\"\npoint_mm = {PAD}\nradius_mm = 7.0\n"
        )
    };
    place.write(
        "content/box/details/pad/record.toml",
        &detail("{ original = \"absent\", replica = \"present\" }"),
    );
    place.write(
        "content/box/details/pad/en.md",
        "# A pad\n\nNot there at all.\n",
    );
    let output = place.run(&["survey"]);
    let said = errors(&output);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(
        said.contains("error[difference-not-found]") && said.contains("pad/record.toml:4"),
        "{said}"
    );
    // Colour alone is no claim about shape.
    let text = detail("{ original = \"present\", replica = \"altered\", in_shape = false }");
    place.write(
        "content/box/details/pad/record.toml",
        &text.replace("addition", "damage"),
    );
    let output = place.run(&["survey"]);
    assert_eq!(output.status.code(), Some(0), "{}", errors(&output));
}

#[test]
fn collate_says_it_in_words_in_data_in_a_table_and_as_surfaces() {
    let place = place(&slab(0.8), &elsewhere());
    let known = signed_volume_mm3(&slab(0.8)) - signed_volume_mm3(&slab(0.0));
    let output = place.run(&["collate", "box", "--csv", "out.csv", "--ply", "surfaces"]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(1));
    assert!(
        said.contains("NOT EXPLAINED") && said.contains("was turned by"),
        "{said}"
    );
    assert!(said.contains("mount-maker or conservator"), "{said}");
    let table = fs::read_to_string(place.path("out.csv")).unwrap();
    let row: Vec<&str> = table.lines().nth(1).unwrap().split(',').collect();
    assert_eq!(&row[..3], ["1", "box", "gained"]);
    let mut heads = table.lines().next().unwrap().split(',');
    let column = heads.position(|h| h == "volume_mm3").unwrap();
    let volume: f64 = row[column].parse().unwrap();
    assert!((volume / known - 1.0).abs() < 0.02, "{volume} of {known}");
    let surface = place.path("surfaces/replica-box.ply");
    let back = read(
        &surface,
        LengthUnit::Millimetre,
        UpAxis::Y,
        &Limits::default(),
    )
    .unwrap();
    // The copy has been put where the original lies.
    assert!(
        back.bounds()
            .unwrap()
            .min
            .distance(slab(0.0).bounds().unwrap().min)
            < 0.01
    );
    let output = place.run(&["collate", "box", "--json"]);
    let data: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let part = &data["comparison"]["collation"]["parts"][0];
    assert_eq!(part["tolerance"]["mm"], 0.2);
    assert!(part["fit"]["determined"].as_bool().unwrap());
    let difference = &data["comparison"]["collation"]["differences"][0];
    assert!((difference["max_mm"].as_f64().unwrap() - 0.8).abs() < 0.02);
    // An object without a replica, or without a name that is known, is told so.
    let output = place.run(&["collate", "bxo"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(
        errors(&output).contains("Objects: box"),
        "{}",
        errors(&output)
    );
}

/// A table of which two feet are short: it leans by the angle of a right triangle.
#[test]
fn the_pad_that_levels_is_told_with_the_lean_that_it_takes_away() {
    let low = 1.2f64;
    // Four feet; one pair is short by `low`, and the copy has a pad under each of them.
    let table = |pad: f64| {
        closed(120, |u, v, top| {
            let (x, z) = ((u - 0.5) * 60.0, (v - 0.5) * 40.0);
            let foot = x.abs() > 24.0;
            let bottom = match (top, foot, x > 0.0) {
                (true, ..) => 20.0 + 2.0 * (-((x - 9.0).powi(2) + (z + 5.0).powi(2)) / 30.0).exp(),
                (_, false, _) => 6.0,
                (_, true, true) => 0.0,
                (_, true, false) => low - pad,
            };
            DVec3::new(x, bottom, z)
        })
    };
    let place = place(&table(low), &Pose::STILL);
    let bytes = glb_plain(&[NamedMesh::new("box", &table(0.0))], &GlbFacts::default()).unwrap();
    fs::write(place.path("content/box/models/box.glb"), bytes).unwrap();
    place.edit(
        "content/box/details/dent/record.toml",
        "[-14.0, 14.44, 8.0]",
        "[-14.0, 20.0, 8.0]",
    );
    place.write(
        "content/box/details/pad/record.toml",
        "format = 1\nkind = \"addition\"\npart = \"box\"\nbearing = { original = \"absent\", replica = \"present\" }\nevidence = { ground = \"observed\" }\nanchor = { body = \"replica\", point_mm = [-27.0, 0.0, 0.0], radius_mm = 24.0 }\n",
    );
    place.write(
        "content/box/details/pad/en.md",
        "# A pad\n\nIt makes the box stand level.\n",
    );
    let scan = "scan = { uncertainty_mm = 0.1, evidence = { ground = \"observed\" } }\n";
    for body in ["[bodies.original]\n", "[bodies.replica]\n"] {
        place.edit("content/box/record.toml", body, &format!("{body}{scan}"));
    }
    let output = place.run(&["collate", "box", "--json"]);
    let data: serde_json::Value =
        serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", errors(&output)));
    let standing = &data["comparison"]["standing"];
    // It stands on the outer edge of the short feet, 30 mm from the middle, and on the inner edge of
    // the others, 24.5 mm on the other side.
    let expected = (low / (30.0 + 24.5)).atan().to_degrees();
    let tilt = |v: &serde_json::Value| v["tilt_deg"].as_f64().unwrap();
    assert!(
        (tilt(&standing["original"]["rest"]) - expected).abs() < 0.02,
        "{}",
        standing["original"]["rest"]
    );
    assert!(tilt(&standing["replica"]["rest"]) < 0.01);
    let without = &standing["replica"]["without"][0];
    assert_eq!(without["detail"], "pad");
    assert!((tilt(&without["rest"]) - expected).abs() < 0.1, "{without}");
    // Heights at either end of the base, each off by the scan (U/2) and by what counts as contact
    // (0.05/√3): in quadrature, over the base.
    let height = (0.1f64 / 2.0).hypot(0.05 / 3f64.sqrt());
    let lean = 2.0 * (2f64.sqrt() * height / (30.0f64 + 24.5).hypot(low)).to_degrees();
    let expanded = |v: &serde_json::Value| v["expanded"].as_f64().unwrap();
    // What is within 0.05 mm of the floor bears too: up to 2.3 mm further in, where it is so flat.
    let found = expanded(&standing["original"]["lean_deg"]);
    let most = (30.0 + 24.5) / (30.0 + 24.5 + 2.3);
    assert!(
        (most..1.001).contains(&(found / lean)),
        "{found} and {lean}"
    );
    // The angle at the foot moves by u over the way from the edge to the centre: the scan's u, and that
    // of a centre which lies anywhere within a hundredth of the 60 mm.
    let level = &standing["replica"]["rest"];
    let number = |key: &str| level[key].as_f64().unwrap();
    let arm = number("centre_height_mm") / number("tips_at_deg").to_radians().cos();
    let expected = 2.0 * (0.05f64.hypot(0.6 / 3f64.sqrt()) / arm).to_degrees();
    let found = expanded(&standing["replica"]["tips_deg"]);
    assert!(
        (found / expected - 1.0).abs() < 0.01,
        "{found} and {expected}"
    );
}
