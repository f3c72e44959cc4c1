//! Readers, measures and the tree against trimesh, Open3D and plyfile, on files that they wrote
//! and on the range scan of a dragon (Stanford Computer Graphics Laboratory).
//!
//! `./check outside` makes the files (tests/outside/make.py and make_pairs.py), names their folder
//! in OUTSIDE and runs this.

mod bags;
mod cuts;
#[path = "../dice/mod.rs"]
mod dice;
mod differences;
mod exchanged;
mod fits;
mod kept;
mod pairs;
mod poses;
mod rays;
#[path = "../signs/mod.rs"]
mod signs;
mod standing;

use counterpart::limits::Limits;
use counterpart::mesh::{Mesh, area_mm2, measure, read, solid};
use counterpart::record::{LengthUnit, UpAxis};
use counterpart::space::{Sides, Tree, crossings};
use glam::DVec3;
use rayon::prelude::*;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::PathBuf;

#[derive(Deserialize)]
struct Answers {
    dragon: Measured,
    half: Measured,
    files: BTreeMap<String, Measured>,
}

/// In the unit of the file.
#[derive(Deserialize)]
struct Measured {
    triangles: usize,
    area: f64,
    /// Only of a closed surface.
    volume: Option<f64>,
    surface_centre: [f64; 3],
    bounds: [[f64; 3]; 2],
    boundary_edges: usize,
    non_manifold_edges: usize,
    components: usize,
    watertight: bool,
    mean_colour: Option<[f64; 3]>,
    unit: Option<String>,
}

fn folder() -> PathBuf {
    PathBuf::from(
        std::env::var_os("OUTSIDE")
            .expect("OUTSIDE names the folder of files; run ./check outside"),
    )
}

fn answers() -> Answers {
    let text = std::fs::read_to_string(folder().join("answers.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

fn mesh(name: &str, unit: LengthUnit) -> Mesh {
    read(&folder().join(name), unit, UpAxis::Y, &Limits::default())
        .unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// Centre of the surface, weighted by area.
fn surface_centre(mesh: &Mesh) -> DVec3 {
    let faces = 0..u32::try_from(mesh.triangles().len()).unwrap();
    let weighted = faces.map(|f| {
        let [a, b, c] = mesh.corners(f);
        (a + b + c) / 3.0 * ((b - a).cross(c - a).length() / 2.0)
    });
    weighted.sum::<DVec3>() / area_mm2(mesh)
}

fn compare(name: &str, mesh: &Mesh, expected: &Measured, unit_mm: f64) {
    let near = |what: &str, ours: f64, theirs: f64, scale: f64| {
        assert!(
            (ours - theirs).abs() <= 1e-6 * scale,
            "{name}: {what} {ours} and {theirs}"
        );
    };
    let found = measure(mesh).unwrap();
    assert_eq!(found.triangles, expected.triangles, "{name}");
    let area = expected.area * unit_mm.powi(2);
    near("area", found.area_mm2, area, area);
    if let Some(volume) = expected.volume {
        let volume = volume * unit_mm.powi(3);
        near("volume", solid(mesh).volume_mm3, volume, volume.abs());
    }
    let [low, high] = expected.bounds.map(DVec3::from_array);
    let diagonal = (high - low).length() * unit_mm;
    for (what, ours, theirs) in [
        (
            "centre",
            surface_centre(mesh),
            DVec3::from_array(expected.surface_centre),
        ),
        ("lowest", found.bounds.min, low),
        ("highest", found.bounds.max, high),
    ] {
        near(what, ours.distance(theirs * unit_mm), 0.0, diagonal);
    }
    let boundary: usize = found.openings.iter().map(|o| o.edges).sum();
    assert_eq!(boundary, expected.boundary_edges, "{name}: boundary edges");
    assert_eq!(
        found.edges.non_manifold.len(),
        expected.non_manifold_edges,
        "{name}"
    );
    assert_eq!(
        found.shells.len(),
        expected.components,
        "{name}: components"
    );
    assert_eq!(found.is_closed(), expected.watertight, "{name}: closed");
}

#[test]
fn every_reader_agrees_with_another_library() {
    let answers = answers();
    assert!(answers.files.len() >= 17);
    for (name, expected) in &answers.files {
        let (unit, in_mm) = match expected.unit.as_deref() {
            Some("mm") => (LengthUnit::Millimetre, 1.0),
            _ => (LengthUnit::Metre, 1000.0),
        };
        let mesh = mesh(name, unit);
        compare(name, &mesh, expected, in_mm);
        let colours = mesh.colours().map(|all| {
            let sum: DVec3 = all
                .iter()
                .map(|c| DVec3::new(c[0].into(), c[1].into(), c[2].into()))
                .sum();
            sum / all.len() as f64
        });
        match (colours, expected.mean_colour) {
            // One byte of difference is left for rounding.
            (Some(ours), Some(theirs)) => assert!(
                (ours - DVec3::from_array(theirs)).abs().max_element() < 1.0,
                "{name}: {ours} and {theirs:?}"
            ),
            (None, None) => {}
            (ours, theirs) => panic!("{name}: colours {ours:?} and {theirs:?}"),
        }
    }
}

#[test]
fn the_range_scan_measures_as_trimesh_says() {
    let answers = answers();
    assert!(answers.half.boundary_edges > 10_000 && answers.half.components > 5);
    for (name, expected) in [("dragon.ply", &answers.dragon), ("half.ply", &answers.half)] {
        compare(name, &mesh(name, LengthUnit::Metre), expected, 1000.0);
    }
}

/// Open3D asks Embree in single precision.
#[test]
fn distances_signs_and_rays_agree_with_open3d() {
    let mesh = mesh("dragon.ply", LengthUnit::Metre);
    let (tree, sides) = (Tree::build(&mesh), Sides::of(&mesh));
    let diagonal = mesh.bounds().unwrap().size().length();
    let bytes = std::fs::read(folder().join("queries.f32")).unwrap();
    let rows: Vec<[f64; 9]> = bytes
        .as_chunks::<36>()
        .0
        .iter()
        .map(|row| {
            std::array::from_fn(|k| {
                f64::from(f32::from_le_bytes(*row.as_chunks().0.get(k).unwrap()))
            })
        })
        .collect();
    assert_eq!(rows.len(), 100_000);
    let at = |row: &[f64; 9], k: usize| DVec3::new(row[k], row[k + 1], row[k + 2]);
    let worst = rows
        .par_iter()
        .map(|row| (tree.closest(at(row, 0) * 1000.0).unwrap().distance_mm - row[6] * 1000.0).abs())
        .reduce(|| 0.0, f64::max);
    assert!(worst < 1e-6 * diagonal, "distances differ by {worst} mm");
    // Where the surface passes through itself, inside has no meaning, and the two methods may
    // differ: pseudonormals look at the nearest triangle, theirs counts crossings of rays.
    let crossings = crossings(&mesh, &tree);
    let signs = rows
        .par_iter()
        .filter(|row| {
            let point = at(row, 0) * 1000.0;
            if (sides.distance_mm(&tree, point).unwrap() < 0.0) == (row[7] < 0.0) {
                return true;
            }
            let near = tree.closest(point).unwrap().point;
            let tangled = crossings
                .iter()
                .any(|c| c.spot.centre.distance(near) <= c.spot.radius_mm);
            assert!(
                tangled,
                "signs differ at {point}, and nothing crosses there"
            );
            false
        })
        .count();
    let (mut both, mut differ) = (0, Vec::new());
    for row in &rows {
        let ours = tree
            .ray(at(row, 0) * 1000.0, at(row, 3))
            .map(|h| h.distance_mm);
        let theirs = row[8].is_finite().then_some(row[8] * 1000.0);
        match (ours, theirs) {
            (None, None) => {}
            (Some(a), Some(b)) if (a - b).abs() < 1e-6 * diagonal * 2.0 => both += 1,
            other => differ.push(other),
        }
    }
    println!(
        "worst distance {worst:e} mm of {diagonal} mm; signs alike {signs}; hits alike {both}, else {}",
        differ.len()
    );
    assert!(signs >= 99_900, "{signs} of 100000 signs agree");
    assert!(both > 20_000, "only {both} rays met anything");
    assert!(
        differ.len() < 50,
        "{} of 100000 rays differ: {:?}",
        differ.len(),
        &differ[..differ.len().min(5)]
    );
}
