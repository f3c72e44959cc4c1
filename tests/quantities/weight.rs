//! A content folder with a solid frustum and its hollow copy, a ball.

use super::shapes::{frustum, sphere};
use counterpart::collate::{self, ObjectGeometry, Quantities};
use counterpart::limits::Limits;
use counterpart::mesh::Mesh;
use counterpart::record::{self, Day, Findings};
use glam::Vec3;
use std::path::Path;

const SITE: &str = r#"format = 1
publisher = "Brackwater Museum"
address = "https://brackwater.example/"
languages = ["en"]
name = { en = "Counterparts" }
introduction = { en = "Replicas and what they tell." }
people = { elin = { name = "Elin Fychan", role = { en = "Keeper" } } }
"#;

pub(crate) const OBJECT: &str = r#"format = 1
words_rights = "museum"
label = { en = "A weight and its copy, to show how quantities are reckoned." }

[identification]
number = "BRKMU:2"
name = { en = "Weight" }
date = { en = "1700" }
keeper = { en = "Brackwater Museum" }
evidence = { ground = "observed" }

[bodies.original]
location = { en = "in the store" }
finish = { en = "bare" }
weighed_g = { value_g = 194.0, uncertainty_g = 0.5, evidence = { ground = "measured", by = "elin" } }
scan = { uncertainty_mm = 0.05, evidence = { ground = "measured", by = "elin" } }

[[bodies.original.calipers]]
name = { en = "height" }
part = "weight"
from_mm = [0.0, 0.0, 0.0]
to_mm = [0.0, 60.1, 0.0]
measured_mm = 60.02
uncertainty_mm = 0.05
evidence = { ground = "measured", by = "elin" }

[[bodies.original.parts]]
id = "weight"
name = { en = "Weight" }
model = "models/old.obj"
unit = "mm"
material = "titanium"
rights = "museum"
solid = true

[bodies.replica]
location = { en = "in the gallery" }
finish = { en = "bare" }

[[bodies.replica.parts]]
id = "ball"
name = { en = "Ball" }
model = "models/new.obj"
unit = "mm"
material = "alloy"
rights = "museum"
solid = false
wall_mm = 2.0

[materials.titanium]
name = { en = "titanium" }
density_g_per_cm3 = [4.42, 4.44]
evidence = { ground = "conjectured" }

[materials.alloy]
name = { en = "alloy" }
density_g_per_cm3 = [2.6, 2.6]
evidence = { ground = "conjectured" }

[[rights]]
id = "museum"
holder = "Brackwater Museum"
statement = "https://creativecommons.org/licenses/by/4.0/"
permits = ["display", "download", "print"]
"#;

pub(crate) const PRINT: &str = r#"format = 1
hours = 3.5
build_up = [0.0, 2.0, 0.0]
evidence = { ground = "observed" }
quantities = [
  { name = { en = "layer" }, value = 0.03, unit = "mm", is = "layer-thickness" },
  { name = { en = "machine" }, value = 90, unit = "min", is = "machine-time" },
  { name = { en = "powder" }, value = 0.03, unit = "kg", is = "powder-used" },
  { name = { en = "parts" }, value = 24, unit = "g", is = "parts-mass" },
  { name = { en = "supports" }, value = 4.5, unit = "g", is = "supports-mass" },
  { name = { en = "scrap" }, value = 1.5, unit = "g", is = "scrap-mass" },
]
"#;

pub(crate) const RECORD: &str = "weight/record.toml";
pub(crate) const STEP: &str = "weight/making/01-print/record.toml";

/// The geometry of the content folder with these changes: file, old text, new text; a file is made
/// or written anew where the old text is empty.
pub(crate) fn read(
    changes: &[(&str, &str, &str)],
) -> (Option<ObjectGeometry>, Findings, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    let stretched: Vec<Vec3> = frustum(10.0, 720)
        .positions()
        .iter()
        .map(|p| *p * Vec3::new(1.0, 2.0, 1.0))
        .collect();
    let cone = Mesh::new(stretched, frustum(10.0, 720).triangles().to_vec()).unwrap();
    let words = "# A weight\n\nIt was heavy once, and its copy is hollow so that it is light.\n";
    for (name, text) in [
        ("site.toml", SITE.to_owned()),
        (RECORD, OBJECT.to_owned()),
        ("weight/en.md", words.to_owned()),
        (STEP, PRINT.to_owned()),
        (
            "weight/making/01-print/en.md",
            "# Print\n\nIt grew.\n".to_owned(),
        ),
        ("weight/models/old.obj", obj(&cone)),
        ("weight/models/new.obj", obj(&sphere(120))),
    ] {
        put(root, name, &text);
    }
    for (name, old, new) in changes {
        if old.is_empty() {
            put(root, name, new);
            continue;
        }
        let text = std::fs::read_to_string(root.join(name)).unwrap();
        assert!(text.contains(old), "‘{old}’ is not in {name}");
        put(root, name, &text.replacen(old, new, 1));
    }
    let limits = Limits::default();
    let reading = record::read(root, Day::new(2025, 6, 1).unwrap(), &limits);
    assert!(!reading.findings.refuse(), "{:?}", reading.findings);
    let object = &reading.catalogue.unwrap().objects[0];
    let (geometry, all) = collate::read(root, object, &reading.sources, &limits);
    // The ball is no copy of the frustum, and that is said each time.
    let (apart, rest): (Vec<_>, Vec<_>) =
        all.iter().cloned().partition(|f| f.rule == "not-compared");
    assert_eq!(apart.len(), 1);
    let mut findings = Findings::none();
    rest.into_iter().for_each(|f| findings.push(f));
    (geometry, findings, folder)
}

pub(crate) fn reckoned(changes: &[(&str, &str, &str)]) -> (Quantities, Findings) {
    let (geometry, findings, _folder) = read(changes);
    (geometry.unwrap().quantities, findings)
}

fn put(root: &Path, name: &str, text: &str) {
    let path = root.join(name);
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(path, text).unwrap();
}

fn obj(mesh: &Mesh) -> String {
    let vertices = mesh
        .positions()
        .iter()
        .map(|p| format!("v {} {} {}\n", p.x, p.y, p.z));
    let faces = mesh
        .triangles()
        .iter()
        .map(|[a, b, c]| format!("f {} {} {}\n", a + 1, b + 1, c + 1));
    vertices.chain(faces).collect()
}
