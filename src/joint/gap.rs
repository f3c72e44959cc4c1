//! The least distance between two surfaces, exactly: corners first, then the pairs of triangles
//! that could still be nearer.

use super::Part;
use crate::space::between_triangles;
use glam::DVec3;
use rayon::prelude::*;

/// Where two surfaces are nearest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// The least distance between the surfaces, millimetres. Zero where they pass through one
    /// another. A part that lies wholly within another has a gap like one that lies outside.
    pub least_mm: f64,
    /// The nearest points, of the first part and of the other.
    pub points: [DVec3; 2],
}

/// Boxes are searched wider than the distance by this share, since they are in single precision.
const WIDER: f64 = 1e-6;

/// The least gap between two parts. `None` when a part has no triangle.
pub fn gap(one: Part, other: Part) -> Option<Gap> {
    let (from_one, from_other) = (from_corners(one, other), from_corners(other, one));
    let nearest = |found: &[Option<(f64, DVec3, DVec3)>]| {
        let met = found.iter().flatten().copied();
        met.min_by(|a, b| a.0.total_cmp(&b.0))
    };
    let best = match (nearest(&from_one), nearest(&from_other)) {
        (Some((d, p, q)), Some((e, r, s))) => {
            if d <= e {
                Gap {
                    least_mm: d,
                    points: [p, q],
                }
            } else {
                Gap {
                    least_mm: e,
                    points: [s, r],
                }
            }
        }
        _ => return None,
    };
    if best.least_mm == 0.0 {
        return Some(best);
    }
    // A triangle is nowhere nearer than one of its corners by more than its edges from there.
    let count = u32::try_from(one.mesh.triangles().len()).unwrap_or(u32::MAX);
    let nearer: Vec<Gap> = (0..count)
        .into_par_iter()
        .filter_map(|face| {
            let corners = one.mesh.corners(face);
            let names = one.mesh.triangles()[face as usize];
            let bound = (0..3)
                .filter_map(|k| {
                    let edge = corners.map(|c| c.distance(corners[k]));
                    let longest = edge.into_iter().fold(0.0, f64::max);
                    from_one[names[k] as usize].map(|(d, ..)| d - longest)
                })
                .fold(0.0, f64::max);
            (bound < best.least_mm).then(|| against(corners, other, best))?
        })
        .collect();
    // The first of equals, so that the answer does not depend on who was done first.
    let least = nearer
        .into_iter()
        .min_by(|a, b| a.least_mm.total_cmp(&b.least_mm));
    Some(least.unwrap_or(best))
}

/// For each corner of a part, the distance to the other part and both points.
fn from_corners(part: Part, other: Part) -> Vec<Option<(f64, DVec3, DVec3)>> {
    // Positions that no triangle uses are no points of the surface.
    let mut points = vec![DVec3::NAN; part.mesh.positions().len()];
    for &i in part.mesh.triangles().iter().flatten() {
        points[i as usize] = part.mesh.positions()[i as usize].as_dvec3();
    }
    let met = other.tree.closest_of_many(&points);
    points
        .into_iter()
        .zip(met)
        .map(|(p, c)| c.map(|c| (c.distance_mm, p, c.point)))
        .collect()
}

/// The least distance from a triangle to a part, when it is below what is known.
fn against(corners: [DVec3; 3], other: Part, known: Gap) -> Option<Gap> {
    let size = corners.iter().map(|c| c.abs().max_element());
    let reach = known.least_mm + size.fold(known.least_mm, f64::max) * WIDER;
    let (low, high) = around(corners);
    let mut best = known;
    let wide = [low - DVec3::splat(reach), high + DVec3::splat(reach)];
    other.tree.near_box(wide, |face| {
        let facing = other.mesh.corners(face);
        let (from, to) = around(facing);
        let apart = (from - high).max(low - to).max(DVec3::ZERO);
        if apart.length_squared() >= best.least_mm * best.least_mm {
            return;
        }
        let found = between_triangles(corners, facing);
        if found.distance < best.least_mm {
            best = Gap {
                least_mm: found.distance,
                points: found.points,
            };
        }
    });
    (best.least_mm < known.least_mm).then_some(best)
}

fn around([a, b, c]: [DVec3; 3]) -> (DVec3, DVec3) {
    (a.min(b).min(c), a.max(b).max(c))
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{Solid, boxed, cup, sphere};
    use super::*;

    #[test]
    fn two_boxes_edge_against_edge() {
        // A cube of 10 and another on edge above it, turned by 45 degrees about x: its lowest edge
        // runs along x at the height given, across the middle.
        let low = Solid::new(boxed(DVec3::ZERO, DVec3::splat(10.0)));
        let turn = glam::DQuat::from_rotation_x(std::f64::consts::FRAC_PI_4);
        let half = 50f64.sqrt();
        let high = Solid::new(
            boxed(DVec3::splat(-5.0), DVec3::splat(5.0))
                .map(|p| turn * p + DVec3::new(4.0, 10.0 + 0.75 + half, 5.0)),
        );
        let found = gap(low.part(), high.part()).unwrap();
        assert!((found.least_mm - 0.75).abs() < 1e-5, "{found:?}");
        assert!((found.points[0].y - 10.0).abs() < 1e-5 && found.points[0].z > 4.99);
        // Neither has a corner there when the upper is turned about the vertical as well.
        let spin = glam::DQuat::from_rotation_y(0.5);
        let crossed = Solid::new(boxed(DVec3::splat(-5.0), DVec3::splat(5.0)).map(|p| {
            spin * (turn * (p * DVec3::new(9.0, 1.0, 1.0))) + DVec3::new(5.0, 10.75 + half, 12.0)
        }));
        let met = gap(low.part(), crossed.part()).unwrap();
        assert!((met.least_mm - gap(crossed.part(), low.part()).unwrap().least_mm).abs() < 1e-12);
        let [p, q] = met.points;
        assert!((p.distance(q) - met.least_mm).abs() < 1e-12);
        assert!((met.least_mm - 0.75).abs() < 1e-5, "{met:?}");
    }

    #[test]
    fn balls_apart_through_and_within() {
        let one = Solid::new(sphere(20.0, DVec3::ZERO, 96));
        let at = |d: f64| Solid::new(sphere(10.0, DVec3::X * d, 96));
        // Apart by d − R − r; meshes lie within, by the sagittas of both.
        let sagitta = 30.0 * (1.0 - (std::f64::consts::PI / 96.0).cos());
        let found = gap(one.part(), at(33.0).part()).unwrap();
        assert!(
            found.least_mm >= 3.0 - 1e-6 && found.least_mm < 3.0 + sagitta,
            "{found:?}"
        );
        let through = gap(one.part(), at(25.0).part()).unwrap();
        assert_eq!(through.least_mm, 0.0);
        assert_eq!(through.points[0], through.points[1]);
        let radius = through.points[0].length();
        assert!((radius - 20.0).abs() < sagitta, "{radius}");
        let within = gap(one.part(), at(4.0).part()).unwrap();
        assert!((within.least_mm - 6.0).abs() < sagitta, "{within:?}");
    }

    #[test]
    fn a_cup_shifted_in_a_cup_is_nearest_where_it_went() {
        let inner = Solid::new(cup(20.0, DVec3::X * 0.5, 128, false));
        let outer = Solid::new(cup(22.0, DVec3::ZERO, 128, true));
        let found = gap(inner.part(), outer.part()).unwrap();
        let sagitta = 22.0 * (1.0 - (std::f64::consts::PI / 128.0).cos());
        assert!((found.least_mm - 1.5).abs() < sagitta, "{found:?}");
        assert!(found.points[0].x > 20.0);
    }
}
