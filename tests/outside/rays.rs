//! What rays meet, against Open3D's rays (Embree) on the range scan.

use super::{folder, mesh};
use counterpart::record::LengthUnit;
use counterpart::space::Tree;
use glam::DVec3;
use rayon::prelude::*;

/// One ray as make.py wrote it: metres there.
struct Ray {
    from: DVec3,
    way: DVec3,
    distance_mm: f64,
    normal: DVec3,
    face: u32,
}

fn rays() -> Vec<Ray> {
    let bytes = std::fs::read(folder().join("rays.bin")).unwrap();
    (bytes.as_chunks::<44>().0.iter())
        .map(|row| {
            let words = row.as_chunks::<4>().0;
            let at = |k: usize| f64::from(f32::from_le_bytes(words[k]));
            let point = |k: usize| DVec3::new(at(k), at(k + 1), at(k + 2));
            Ray {
                from: point(0) * 1000.0,
                way: point(3),
                distance_mm: at(6) * 1000.0,
                normal: point(7),
                face: u32::from_le_bytes(words[10]),
            }
        })
        .collect()
}

/// Depth, normal and triangle of 100,000 rays. Where a ray passes an edge so narrowly that single
/// precision cannot tell, either triangle may answer: then both depths are the same.
#[test]
fn depth_normals_and_triangles_are_those_of_open3d() {
    let mesh = mesh("dragon.ply", LengthUnit::Metre);
    let tree = Tree::build(&mesh);
    let diagonal = mesh.bounds().unwrap().size().length();
    let rays = rays();
    assert_eq!(rays.len(), 100_000);
    let alike: Vec<(bool, bool)> = rays
        .par_iter()
        .map(|ray| {
            let Some(hit) = tree.ray(ray.from, ray.way) else {
                assert!(
                    ray.distance_mm.is_infinite(),
                    "only Open3D meets {}",
                    ray.face
                );
                return (true, true);
            };
            assert!(ray.distance_mm.is_finite(), "only we meet {}", hit.face);
            let [a, b, c] = mesh.corners(hit.face);
            let normal = (b - a).cross(c - a).normalize_or_zero();
            (
                (hit.distance_mm - ray.distance_mm).abs() < 2e-6 * diagonal,
                hit.face == ray.face && (normal - ray.normal).length() < 1e-3,
            )
        })
        .collect();
    let depths = alike.iter().filter(|a| a.0).count();
    let faces = alike.iter().filter(|a| a.1).count();
    println!("of 100000 rays: depth alike {depths}, triangle and normal alike {faces}");
    assert!(depths >= 99_990, "{depths} depths agree");
    assert!(faces >= 99_900, "{faces} triangles and normals agree");
}
