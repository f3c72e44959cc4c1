//! Area, volume and closedness, in double precision.

use super::Mesh;
use std::collections::BTreeMap;

/// Area of all triangles, square millimetres.
pub fn area_mm2(mesh: &Mesh) -> f64 {
    corners(mesh)
        .map(|[a, b, c]| (b - a).cross(c - a).length() / 2.0)
        .sum()
}

/// Signed volume, cubic millimetres: the sum of a·(b×c)/6 over the triangles (divergence
/// theorem; Zhang and Chen, "Efficient feature extraction for 2D/3D objects in mesh
/// representation", ICIP 2001). Positive when triangles are counter-clockwise from outside. It has
/// a meaning only for a closed mesh: ask [`is_closed`] first.
pub fn signed_volume_mm3(mesh: &Mesh) -> f64 {
    // Near the origin the products stay small and so do their rounding errors.
    let centre = mesh.bounds().map(|b| b.centre()).unwrap_or_default();
    corners(mesh)
        .map(|t| t.map(|p| p - centre))
        .map(|[a, b, c]| a.dot(b.cross(c)) / 6.0)
        .sum()
}

/// Whether every edge is shared by exactly two triangles that run along it in opposite senses.
/// Vertices at the very same place count as one, as many formats split them at colour seams.
pub fn is_closed(mesh: &Mesh) -> bool {
    let mut places = BTreeMap::new();
    let mut same = Vec::with_capacity(mesh.positions().len());
    for p in mesh.positions() {
        // Adding zero turns a negative zero into a positive one.
        let key = p.to_array().map(|c| (c + 0.0).to_bits());
        let next = places.len();
        same.push(*places.entry(key).or_insert(next));
    }
    let mut edges: BTreeMap<(usize, usize), (u32, u32)> = BTreeMap::new();
    for triangle in mesh.triangles() {
        let [a, b, c] = triangle.map(|i| same[i as usize]);
        if a == b || b == c || c == a {
            continue;
        }
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let count = edges.entry((from.min(to), from.max(to))).or_default();
            if from < to {
                count.0 += 1
            } else {
                count.1 += 1
            }
        }
    }
    edges.values().all(|&count| count == (1, 1))
}

fn corners(mesh: &Mesh) -> impl Iterator<Item = [glam::DVec3; 3]> {
    mesh.triangles()
        .iter()
        .map(|t| t.map(|i| mesh.positions()[i as usize].as_dvec3()))
}
