//! What would be lost unnoticed: needles, strings and thin flaps.
//!
//! The reducer weighs the squared distance from the planes around a vertex. The tip of a needle may
//! slide down along its own sides at no more cost than the needle's thickness, however far it
//! sticks out. So the sharpest tips are looked for beforehand, and held fast.

use crate::mesh::{Mesh, Welded};
use glam::Vec3;
use std::collections::HashSet;

/// A vertex is sharp when the sum of the normals around it, weighted by area, is shorter than this
/// share of the area: of a cone, the sine of the angle between axis and side (here 44 degrees); of
/// a folded edge, nearly nothing.
const SHARP: f32 = 0.7;

/// The places at the sharpest tips, at most `most` of them and one in every cube of side `apart_mm`,
/// and the places of one triangle at each: a vertex alone can lose all its triangles when its
/// neighbours fall together.
pub(super) fn tips(mesh: &Mesh, welded: &Welded, most: usize, apart_mm: f32) -> Vec<bool> {
    let places = welded.places.len();
    let mut sums = vec![(Vec3::ZERO, 0f32); places];
    for (triangle, corners) in welded.triangles.iter().zip(mesh.triangles()) {
        let [a, b, c] = corners.map(|i| mesh.positions()[i as usize]);
        let across = (b - a).cross(c - a);
        let area = across.length();
        for place in triangle {
            let sum = &mut sums[*place as usize];
            sum.0 += across;
            sum.1 += area;
        }
    }
    let mut sharp: Vec<(f32, usize)> = sums
        .iter()
        .map(|(sum, area)| sum.length() / area.max(f32::MIN_POSITIVE))
        .zip(0..places)
        .filter(|(share, place)| *share < SHARP && sums[*place].1 > 0.0)
        .collect();
    sharp.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut taken = HashSet::new();
    sharp.retain(|(_, place)| {
        #[expect(clippy::cast_possible_truncation, reason = "a cube's number")]
        let cube = (welded.places[*place] / apart_mm)
            .to_array()
            .map(|c| c.floor() as i64);
        taken.len() < most && taken.insert(cube)
    });
    let mut tip = vec![false; places];
    for (_, place) in sharp {
        tip[place] = true;
    }
    let mut held = tip.clone();
    for triangle in &welded.triangles {
        // One triangle of each.
        let of_tip = triangle.iter().find(|p| tip[**p as usize]);
        if let Some(place) = of_tip {
            tip[*place as usize] = false;
            for place in triangle {
                held[*place as usize] = true;
            }
        }
    }
    held
}
