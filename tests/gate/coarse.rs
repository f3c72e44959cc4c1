//! A model that its owner wants no finer than a length: the file that visitors load is read again
//! and measured against the scan.

use super::plant::RECORD;
use super::shapes::moved;
use super::tree::{Place, files};
use super::unpack::unpacked;
use counterpart::mesh::{GlbFacts, Mesh, NamedMesh, glb_plain};
use counterpart::reduce::deviation;
use counterpart::space::Tree;
use glam::Vec3;
use std::fs;

/// A round box, 30 mm across, with ripples of a fifth of a millimetre: 39,600 triangles.
pub(super) fn rippled() -> Mesh {
    let round = super::shapes::sphere(200);
    let ripple = round.mapped(|p| {
        let n = p.normalize();
        n * (15.0 + 0.2 * (n.x * 40.0).sin() * (n.y * 40.0).sin())
    });
    moved(&ripple, Vec3::new(0.0, 15.0, 0.0))
}

pub(super) fn published(finest: Option<f64>) -> (Place, Vec<(String, Vec<u8>)>, Mesh) {
    let place = Place::new();
    let scan = rippled();
    let glb = glb_plain(&[NamedMesh::new("box", &scan)], &GlbFacts::default()).unwrap();
    fs::write(place.path("content/box/models/box.glb"), glb).unwrap();
    place.edit(
        "content/box/details/dent/record.toml",
        "[0.0, 15.0, 5.0]",
        "[0.0, 15.0, 15.0]",
    );
    if let Some(mm) = finest {
        place.edit(
            RECORD,
            "id = \"museum\"",
            &format!("id = \"museum\"\nfinest_mm = {mm}"),
        );
    }
    let out = place.run(&["publish", "--on", "2026-03-01"]);
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    let models = files(&place.path("display/assets"));
    let models = models
        .into_iter()
        .filter(|(name, _)| name.ends_with(".glb"))
        .collect();
    (place, models, scan)
}

/// Root mean square, millimetres, of the file as a visitor's device reads it.
pub(super) fn strays(bytes: &[u8], scan: &Mesh) -> f64 {
    deviation(scan, &Tree::build(scan), &unpacked(bytes), &[])
        .whole
        .rms_mm
}

#[test]
fn a_limited_model_strays_by_no_less_and_carries_nothing_finer() {
    // Without a limit every level is finer than the one that is asked for below.
    let (_place, models, scan) = published(None);
    assert!(models.len() >= 2);
    for (name, bytes) in &models {
        let rms = strays(bytes, &scan);
        println!("without a limit, {name}: {rms:.4} mm");
        assert!(rms < 0.15, "{name}");
    }
    let (place, models, scan) = published(Some(0.15));
    assert!(!models.is_empty());
    for (name, bytes) in &models {
        let rms = strays(bytes, &scan);
        println!("{name}: {rms:.4} mm");
        assert!((0.15..0.3).contains(&rms), "{name} strays by {rms} mm");
        let text = String::from_utf8_lossy(bytes);
        for sheet in ["\"images\"", "\"textures\"", "TANGENT"] {
            assert!(!text.contains(sheet), "{name} has {sheet}");
        }
    }
    let page = fs::read_to_string(place.path("display/box/index.html")).unwrap();
    assert!(
        page.contains("asks for a model that strays from the scan by 0.15"),
        "said on the page"
    );
    // The same on a stick, and on a screen in the gallery, which show the same files.
    let out = place.run(&["publish", "--on", "2026-03-01", "--carry"]);
    assert!(out.status.success());
    let carried = files(&place.path("carry/assets"));
    let carried: Vec<_> = carried
        .into_iter()
        .filter(|(n, _)| n.ends_with(".glb"))
        .collect();
    assert_eq!(carried, models);
}

#[test]
fn a_limit_that_nothing_can_keep_is_refused() {
    let place = Place::new();
    place.edit(
        RECORD,
        "id = \"museum\"",
        "id = \"museum\"\nfinest_mm = 20.0",
    );
    let out = place.run(&["publish", "--on", "2026-03-01"]);
    assert_eq!(out.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&out.stderr).contains("write a smaller finest_mm"));
    assert!(!place.path("display").exists());
}
