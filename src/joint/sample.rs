//! Places spread evenly over surfaces, each standing for an area.

use super::Part;
use glam::DVec3;

/// More triangles than this are not all asked: every second, third … of them, in their order.
const MOST: usize = 1_000_000;

/// A place on a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    /// Middle of a triangle, or of a piece of one, millimetres.
    pub(super) point: DVec3,
    /// Outward unit normal.
    pub(super) normal: DVec3,
    /// The triangle.
    pub(super) face: u32,
    /// The area that it stands for, square millimetres.
    pub(super) area_mm2: f64,
}

/// Samples of the triangles of a part that `wanted` holds for: the middles of all of them, or, when
/// they are fewer than `count`, the middles of equal pieces, so that there are at least as many.
/// Triangles without area have none.
pub(super) fn samples(part: Part, count: u32, wanted: impl Fn(u32) -> bool) -> Vec<Sample> {
    let whole = |face: u32| {
        let [a, b, c] = part.mesh.corners(face);
        let normal = (b - a).cross(c - a);
        Some((normal.try_normalize()?, normal.length() / 2.0))
    };
    let faces: Vec<(u32, DVec3, f64)> = (0u32..)
        .take(part.mesh.triangles().len())
        .filter(|face| wanted(*face))
        .filter_map(|face| whole(face).map(|(normal, area)| (face, normal, area)))
        .collect();
    let total: f64 = faces.iter().map(|f| f.2).sum();
    let share = total / f64::from(count.max(1));
    let every = faces.len().div_ceil(MOST).max(1);
    let asked = || faces.iter().step_by(every);
    // What is left out is stood for by the others.
    let weight = total / asked().map(|f| f.2).sum::<f64>().max(f64::MIN_POSITIVE);
    let enough = faces.len() >= count as usize;
    let mut found = Vec::new();
    for &(face, normal, area) in asked() {
        let cuts = if enough {
            1
        } else {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "at most the root of the count"
            )]
            let cuts = (area / share).sqrt().ceil() as u32;
            cuts.max(1)
        };
        let corners = part.mesh.corners(face);
        found.extend(middles(corners, cuts).map(|point| Sample {
            point,
            normal,
            face,
            area_mm2: area * weight / f64::from(cuts * cuts),
        }));
    }
    found
}

/// The middles of the n² equal triangles that a triangle falls into when its sides are cut in n.
fn middles([a, b, c]: [DVec3; 3], n: u32) -> impl Iterator<Item = DVec3> {
    let third = 1.0 / (3.0 * f64::from(n));
    let at = move |i: u32, j: u32, part: f64| {
        let v = (3.0 * f64::from(i) + part) * third;
        let w = (3.0 * f64::from(j) + part) * third;
        a + (b - a) * v + (c - a) * w
    };
    (0..n).flat_map(move |i| {
        (0..n - i).flat_map(move |j| {
            // The piece that stands as the whole does, and the one upside down beside it.
            let upright = at(i, j, 1.0);
            let turned = (i + j + 1 < n).then(|| at(i, j, 2.0));
            [Some(upright), turned].into_iter().flatten()
        })
    })
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{Solid, boxed};
    use super::*;

    #[test]
    fn pieces_are_even_and_add_up() {
        let cube = Solid::new(boxed(DVec3::ZERO, DVec3::new(10.0, 20.0, 30.0)));
        let found = samples(cube.part(), 5000, |_| true);
        assert!(found.len() >= 5000);
        let area: f64 = found.iter().map(|s| s.area_mm2).sum();
        assert!((area - 2200.0).abs() < 1e-9);
        // The mean of the middles, weighed, is the middle of the box.
        let middle: DVec3 = found.iter().map(|s| s.point * s.area_mm2).sum::<DVec3>() / area;
        assert!(middle.distance(DVec3::new(5.0, 10.0, 15.0)) < 1e-9);
        assert_eq!(middles([DVec3::ZERO, DVec3::X, DVec3::Y], 7).count(), 49);
        assert_eq!(samples(cube.part(), 1, |_| true).len(), 12);
    }
}
