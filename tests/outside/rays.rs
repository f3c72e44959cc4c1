//! What rays meet, against Open3D's rays (Embree) on the range scan.

use super::{folder, mesh};
use counterpart::mesh::Mesh;
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

/// How the two answers compare.
#[derive(Clone, Copy, PartialEq)]
enum Alike {
    Wholly,
    /// The same depth, where the other's triangle ends, too.
    Edge,
    /// One meets a triangle edge on, or its very edge beside nothing, and the other passes.
    Grazes,
    No,
}

/// Depth, normal and triangle of 100,000 rays. Both sides find the triangle in single precision, from
/// a whole diagonal away: a ray that passes an edge by less than some millionths of the diagonal may be
/// given to either triangle at it, and one that passes an outline so may meet it or not. A ray that
/// slipped through between two triangles would be neither.
#[test]
fn depth_normals_and_triangles_are_those_of_open3d() {
    let mesh = mesh("dragon.ply", LengthUnit::Metre);
    let tree = Tree::build(&mesh);
    let diagonal = mesh.bounds().unwrap().size().length();
    let rays = rays();
    assert_eq!(rays.len(), 100_000);
    let near_mm = 2e-6 * diagonal;
    // What the ray passes within a hair of, were the hair on its other side.
    let grazed = |ray: &Ray, met_mm: f64| {
        let beside = ray.way.any_orthonormal_vector();
        let hair = near_mm * 4.0;
        let around = [beside, ray.way.cross(beside)]
            .into_iter()
            .flat_map(|b| [b * hair, b * -hair]);
        let depths: Vec<f64> = around
            .filter_map(|off| tree.ray(ray.from + off, ray.way))
            .map(|hit| hit.distance_mm)
            .collect();
        depths.len() < 4 || depths.iter().any(|d| (d - met_mm).abs() > 1e-4 * diagonal)
    };
    // Whether the triangle that the other side met reaches where we meet ours.
    let ends_there = |ray: &Ray, met_mm: f64| {
        let corners = mesh.corners(ray.face).map(|c| c.as_vec3()).to_vec();
        let alone = Tree::build(&Mesh::new(corners, vec![[0, 1, 2]]).unwrap());
        let nearest = alone.closest(ray.from + ray.way * met_mm);
        nearest.is_some_and(|c| c.distance_mm < near_mm)
    };
    let alike: Vec<Alike> = rays
        .par_iter()
        .map(|ray| {
            let hit = tree.ray(ray.from, ray.way);
            let Some(hit) = hit.filter(|_| ray.distance_mm.is_finite()) else {
                let neither = hit.is_none() && ray.distance_mm.is_infinite();
                let met_mm = hit.map_or(ray.distance_mm, |h| h.distance_mm);
                return match neither {
                    true => Alike::Wholly,
                    false if grazed(ray, met_mm) => Alike::Grazes,
                    false => Alike::No,
                };
            };
            let [a, b, c] = mesh.corners(hit.face);
            let normal = (b - a).cross(c - a).normalize_or_zero();
            let depth = (hit.distance_mm - ray.distance_mm).abs() < near_mm;
            let same = hit.face == ray.face && (normal - ray.normal).length() < 1e-3;
            match (depth, same) {
                (true, true) => Alike::Wholly,
                (true, false) if ends_there(ray, hit.distance_mm) => Alike::Edge,
                _ if grazed(ray, ray.distance_mm) => Alike::Grazes,
                _ => Alike::No,
            }
        })
        .collect();
    let count = |kind: Alike| alike.iter().filter(|a| **a == kind).count();
    let (wholly, edge) = (count(Alike::Wholly), count(Alike::Edge));
    let (grazes, no) = (count(Alike::Grazes), count(Alike::No));
    println!(
        "of 100000 rays: alike {wholly}, same depth at an edge {edge}, at an outline {grazes}, else {no}"
    );
    assert!(wholly >= 99_200, "{wholly} rays meet the same triangle");
    assert!(no <= 2, "{no} rays meet something else");
}
