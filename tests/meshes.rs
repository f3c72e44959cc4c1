//! Model files against themselves and against damage; anchors on a surface.

mod shapes;

use counterpart::limits::Limits;
use counterpart::mesh::{GlbFacts, Mesh, NamedMesh, glb_display, glb_plain, read};
use counterpart::record::{LengthUnit, UpAxis};
use counterpart::space::{Tree, snap};
use glam::DVec3;
use shapes::{tetrahedron, torus};

fn write_and_read(bytes: &[u8]) -> Result<Mesh, counterpart::mesh::MeshError> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.glb");
    std::fs::write(&path, bytes).unwrap();
    read(&path, LengthUnit::Metre, UpAxis::Y, &Limits::default())
}

#[test]
fn a_written_file_is_read_again_in_millimetres() {
    let mesh = torus(24);
    let colours: Vec<[u8; 4]> = (0..mesh.positions().len())
        .map(|i| [(i % 256) as u8, 40, 200, 255])
        .collect();
    let mesh = mesh.with_colours(colours).unwrap();
    let part = NamedMesh::new("ring", &mesh);
    let bytes = glb_plain(&[part], &GlbFacts::default()).unwrap();
    // Header 12, two chunk headers 8 each (glTF 2.0, section 4.4).
    assert_eq!(&bytes[..4], b"glTF");
    assert_eq!(
        u32::from_le_bytes(bytes[8..12].try_into().unwrap()) as usize,
        bytes.len()
    );
    let again = write_and_read(&bytes).unwrap();
    assert_eq!(again.triangles(), mesh.triangles());
    assert_eq!(again.colours(), mesh.colours());
    for (a, b) in again.positions().iter().zip(mesh.positions()) {
        assert!(a.distance(*b) < 1e-4);
    }
}

#[test]
fn no_damage_to_a_file_brings_the_program_down() {
    let mesh = tetrahedron();
    let bytes = glb_plain(&[NamedMesh::new("t", &mesh)], &GlbFacts::default()).unwrap();
    for end in 0..bytes.len() {
        assert!(write_and_read(&bytes[..end]).is_err(), "cut at {end}");
    }
    let mut state = 11u64;
    for _ in 0..3000 {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let mut damaged = bytes.clone();
        let at = (state >> 33) as usize % damaged.len();
        damaged[at] = (state >> 20) as u8;
        let _ = write_and_read(&damaged);
    }
}

#[test]
fn a_compact_file_says_what_its_grid_costs() {
    let mesh = torus(64);
    let written = glb_display(&[NamedMesh::new("r", &mesh)], None, &GlbFacts::default()).unwrap();
    // 80 mm over 65535 steps, half a step in each of three directions.
    assert!((written.quantisation_mm - 80.0 / 65_535.0 * 3f64.sqrt() / 2.0).abs() < 1e-9);
    let plain = glb_plain(&[NamedMesh::new("r", &mesh)], &GlbFacts::default()).unwrap();
    assert!(
        written.bytes.len() * 3 < plain.len(),
        "{} and {}",
        written.bytes.len(),
        plain.len()
    );
}

#[test]
fn an_anchor_is_brought_to_the_surface_or_refused_with_its_distance() {
    let mesh = torus(200);
    let tree = Tree::build(&mesh);
    let found = snap(&tree, &mesh, DVec3::new(0.0, 0.0, 40.3), 2.0, 1.0).unwrap();
    assert!((found.distance_mm - 0.3).abs() < 0.01 && found.normal.dot(DVec3::Z) > 0.99);
    let off = snap(&tree, &mesh, DVec3::new(0.0, 0.0, 43.0), 2.0, 1.0).unwrap_err();
    assert!((off.distance_mm - 3.0).abs() < 0.01);
    assert!(snap(&tree, &mesh, DVec3::NAN, 2.0, 1.0).is_err());
}
