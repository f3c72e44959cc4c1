//! What the page of differences says is what the collation found: every figure of its data is
//! written out here by the rules of the page, and looked for on it.

use crate::tree::Place;
use crate::{closed, errors, place};
use counterpart::align::Pose;
use counterpart::mesh::{GlbFacts, Mesh, NamedMesh, glb_plain};
use glam::DVec3;
use serde_json::Value;
use std::fs;

/// A lid of 24 × 16 mm that hangs so many millimetres above the slab's highest places.
fn lid(up_mm: f64) -> Mesh {
    closed(16, |u, v, top| {
        let (x, z) = ((u - 0.5) * 24.0, (v - 0.5) * 16.0);
        let slope = 0.1 * x + 0.02 * z * z * f64::from(u8::from(top));
        DVec3::new(
            x,
            if top {
                22.0 + up_mm + slope
            } else {
                17.0 + up_mm
            },
            z,
        )
    })
}

/// The slab with fewer triangles: what is compared here are words, not surfaces.
fn coarse() -> Mesh {
    closed(40, |u, v, top| {
        let (x, z) = ((u - 0.5) * 60.0, (v - 0.5) * 44.0);
        let lump = 3.0 * (-((x + 14.0).powi(2) + (z - 8.0).powi(2)) / 60.0).exp();
        let height = 12.0 + 0.04 * x + lump;
        DVec3::new(x, if top { height } else { 0.0 }, z)
    })
}

/// A place whose original and copy are alike, and that says no more than it must.
fn plain() -> Place {
    let place = place(&coarse(), &Pose::STILL);
    let bytes = glb_plain(&[NamedMesh::new("box", &coarse())], &GlbFacts::default()).unwrap();
    fs::write(place.path("content/box/models/box.glb"), bytes).unwrap();
    place
}

const STEP: &str = r#"format = 1
hours = 3.5
build_up = [0.0, 1.0, 0.0]
evidence = { ground = "observed" }
quantities = [
  { name = { en = "layer" }, value = 0.03, unit = "mm", is = "layer-thickness" },
  { name = { en = "machine" }, value = 90, unit = "min", is = "machine-time" },
  { name = { en = "powder" }, value = 0.5, unit = "kg", is = "powder-used" },
  { name = { en = "parts" }, value = 400, unit = "g", is = "parts-mass" },
  { name = { en = "supports" }, value = 70, unit = "g", is = "supports-mass" },
  { name = { en = "scrap" }, value = 30, unit = "g", is = "scrap-mass" },
]
"#;

/// Two bodies of two parts, weighed, scanned with a certificate, measured with callipers, and built.
fn full() -> Place {
    let place = plain();
    for (name, up_mm) in [("lid", 0.4), ("lid-copy", 0.02)] {
        let bytes = glb_plain(&[NamedMesh::new("lid", &lid(up_mm))], &GlbFacts::default()).unwrap();
        fs::write(place.path(&format!("content/box/models/{name}.glb")), bytes).unwrap();
    }
    let record = "content/box/record.toml";
    let rest = "unit = \"m\", material = \"lead\", rights = \"museum\", solid = true }";
    for (own, lid, finish, mass_g, read_mm) in [
        ("box", "lid", "bare", 400.0, 60.02),
        ("copy", "lid-copy", "painted", 380.0, 60.4),
    ] {
        place.edit(
            record,
            &format!("model = \"models/{own}.glb\", {rest}"),
            &format!(
                "model = \"models/{own}.glb\", {rest}, {{ id = \"lid\", name = {{ en = \"Lid\" }}, model = \"models/{lid}.glb\", {rest}"
            ),
        );
        place.edit(
            record,
            &format!("finish = {{ en = \"{finish}\" }}"),
            &format!(
                r#"finish = {{ en = "{finish}" }}
weighed_g = {{ value_g = {mass_g:.1}, uncertainty_g = 1.5, evidence = {{ ground = "observed" }} }}
scan = {{ uncertainty_mm = 0.05, evidence = {{ ground = "observed" }} }}
calipers = [{{ name = {{ en = "Length" }}, part = "box", from_mm = [-30.0, 0.0, 0.0], to_mm = [30.0, 0.0, 0.0], measured_mm = {read_mm}, uncertainty_mm = 0.1, evidence = {{ ground = "observed" }} }}]"#
            ),
        );
    }
    place.write("content/box/making/01-print/record.toml", STEP);
    place.write("content/box/making/01-print/en.md", "# Print\n\nIt grew.\n");
    place
}

/// The page of differences, with plain blanks.
fn page(place: &Place) -> String {
    let output = place.run(&["publish"]);
    assert_eq!(output.status.code(), Some(0), "{}", errors(&output));
    let text = fs::read_to_string(place.path("display/box/what-differs/index.html")).unwrap();
    text.replace(['\u{a0}', '\u{202f}'], " ")
}

fn data(place: &Place) -> Value {
    let output = place.run(&["collate", "box", "--json"]);
    serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", errors(&output)))
}

/// An estimate as the page writes it: both numbers to the decimals that the data give.
fn written(of: &Value, factor: f64, unit: &str) -> String {
    let value = of["value"].as_f64().unwrap() * factor;
    let expanded = of["expanded"].as_f64().unwrap() * factor;
    // Two significant digits of U, one where the second is a zero (GUM 7.2.6).
    let digits = 1 - expanded.log10().floor() as i32;
    let digits = usize::try_from(digits.max(0)).unwrap();
    let mut number = format!("{:.digits$}", value.abs());
    let mut most = format!("{expanded:.digits$}");
    if digits > 0 && most.ends_with('0') {
        number = format!("{:.*}", digits - 1, value.abs());
        most = format!("{expanded:.*}", digits - 1);
    }
    let minus = value < 0.0 && number.chars().any(|c| ('1'..='9').contains(&c));
    let sign = if minus { "−" } else { "" };
    format!("{sign}{number}{unit} ± {most}{unit}")
}

#[test]
fn the_page_tells_the_figures_of_the_collation() {
    let place = full();
    let (page, data) = (page(&place), data(&place));
    let mut missing = Vec::new();
    let mut look = |what: &str, text: String| {
        if !page.contains(&text) {
            missing.push(format!("{what}: {text}"));
        }
    };
    for (path, factor, unit) in [
        ("/extents/difference/size_mm/0", 1.0, " mm"),
        ("/extents/difference/size_mm/1", 1.0, " mm"),
        ("/extents/difference/size_mm/2", 1.0, " mm"),
        ("/extents/original/volume_mm3", 1e-3, " cm³"),
        ("/extents/replica/volume_mm3", 1e-3, " cm³"),
        ("/extents/difference/volume_mm3", 1e-3, " cm³"),
        ("/quantities/mass_difference_g", 1.0, " g"),
        ("/quantities/mass_ratio", 1.0, ""),
        ("/quantities/masses_g/original/reckoned", 1.0, " g"),
        ("/quantities/masses_g/replica/reckoned", 1.0, " g"),
        ("/quantities/layers/0/height_mm", 1.0, " mm"),
        ("/quantities/layers/1/height_mm", 1.0, " mm"),
        ("/quantities/scale/0/read_mm", 1.0, " mm"),
        ("/quantities/scale/0/model_mm", 1.0, " mm"),
        ("/quantities/scale/0/difference_mm", 1.0, " mm"),
        ("/quantities/scale/1/difference_mm", 1.0, " mm"),
        ("/quantities/scale/1/ratio", 1.0, ""),
        (
            "/comparison/assembly/original/joints/0/gap/estimate_mm",
            1.0,
            " mm",
        ),
        (
            "/comparison/assembly/replica/joints/0/gap/estimate_mm",
            1.0,
            " mm",
        ),
    ] {
        let found = data.pointer(path).unwrap_or(&Value::Null);
        assert!(
            found["expanded"].as_f64().is_some_and(|u| u > 0.0),
            "{path}: {found}"
        );
        look(path, written(found, factor, unit));
        // The difference of model and callipers has the same sources as their ratio.
        if path.ends_with("ratio") && path.contains("scale") {
            continue;
        }
        // From what it was made stands on the page too, in two significant digits.
        for part in found["contributions"].as_array().unwrap() {
            let standard = part["standard"].as_f64().unwrap() * factor;
            if standard < 1e-4 {
                continue;
            }
            let digits = usize::try_from((1 - standard.log10().floor() as i32).max(0)).unwrap();
            let mut text = format!("{standard:.digits$}");
            if digits > 0 && text.ends_with('0') {
                text = format!("{standard:.*}", digits - 1);
            }
            look(path, format!(": {text}{unit}, "));
        }
    }
    for layers in data["quantities"]["layers"].as_array().unwrap() {
        let n = |v: &Value| v.as_u64().unwrap().to_string();
        look("layers", n(&layers["count"]));
        let [least, most] = [&layers["between"][0], &layers["between"][1]].map(n);
        look("layers", format!("{least} to {most} within the ±"));
    }
    look("hours", "People worked on it for 3.5 h".to_owned());
    look("machine", "The machine ran for 1.5 h".to_owned());
    assert_eq!(data["quantities"]["powder"]["adds_up"], true);
    look("powder", "comes to 500 g, and 500 g of powder".to_owned());
    for share in ["80 %", "14 %", "6.0 %"] {
        look("share of the powder", share.to_owned());
    }
    // The readings were chosen so that one agrees and one does not.
    let agrees = |n: usize| {
        data["quantities"]["scale"][n]["consistent"]
            .as_bool()
            .unwrap()
    };
    assert!(agrees(0) && !agrees(1));
    look(
        "scale",
        "The original: the model agrees with every distance".to_owned(),
    );
    look("scale", "The replica: the model does not agree".to_owned());
    look(
        "scale",
        "It may have shrunk, or been scaled, in the making.".to_owned(),
    );
    // One lid hangs clear of the slab; of the other the scan cannot tell whether it touches.
    look(
        "gap",
        "do not pass into one another; where they are nearest".to_owned(),
    );
    for body in ["original", "replica"] {
        let walls = &data["comparison"]["assembly"][body]["walls"];
        let [median, thinnest] = ["median_mm", "p5_mm"].map(|k| walls[k].as_f64().unwrap());
        look(
            body,
            format!(
                "more than {median:.1} mm of wall behind it, and all but a twentieth has more than {thinnest:.1} mm"
            ),
        );
    }
    assert!(missing.is_empty(), "{missing:#?}");
    bars_are_the_histogram(&page, &data);
}

/// The first row of the table of bars is the share of the area up to its thickness.
fn bars_are_the_histogram(page: &str, data: &Value) {
    let start = page.find(">0 to ").unwrap() + 1;
    let row = &page[start..start + page[start..].find("</tr>").unwrap_or(400).min(400)];
    let width: f64 = row[5..].split(' ').next().unwrap().parse().unwrap();
    for body in ["original", "replica"] {
        let bins = data["comparison"]["assembly"][body]["walls"]["histogram"]
            .as_array()
            .unwrap();
        let area = |b: &Value| b["area_mm2"].as_f64().unwrap();
        let total: f64 = bins.iter().map(area).sum();
        let thin = bins
            .iter()
            .filter(|b| b["to_mm"].as_f64().unwrap() <= width + 1e-9);
        // A sum of nothing is minus zero.
        let share = (thin.map(area).sum::<f64>() + 0.0) / total * 100.0;
        let text = if share < 9.95 {
            format!("{share:.1} %")
        } else {
            format!("{share:.0} %")
        };
        assert!(row.contains(&text), "{body}: {text} is not in {row}");
    }
}

#[test]
fn what_was_not_declared_has_no_section() {
    let place = plain();
    let (page, data) = (page(&place), data(&place));
    assert!(data["quantities"]["layers"].as_array().unwrap().is_empty());
    for absent in ["built-heading", "callipers-heading", "Least gap", "Layers"] {
        assert!(!page.contains(absent), "{absent}");
    }
    // Neither scan has a certificate, so nothing is said of how sure the sizes are.
    assert_eq!(data["extents"]["difference"]["size_mm"][0]["expanded"], 0.0);
    assert!(page.contains("how sure this is, is not known"));
    assert!(!page.contains("no difference is shown"));
}
