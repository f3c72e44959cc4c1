//! The seat of two parts: where they face one another closely, how wide the gap is there, and
//! whether it is wider on one side, which is what a part set askew looks like.
//!
//! From places on the first part a line runs along the outward normal, both ways. The gap is the
//! distance out to the other part, where the other faces back and nothing of the first part stands
//! between; or, where the other part reaches into the first, the distance in to it, below zero,
//! counted the same way. The nearer of the two holds.

use super::Part;
use super::sample::{Sample, samples};
use crate::mesh::Bounds;
use glam::{DMat3, DVec3};
use rayon::prelude::*;

/// The gap of a seat as a wedge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Askew {
    /// The angle of the wedge, degrees: of a plane fitted to the gap over the seat.
    pub tilt_deg: f64,
    /// The direction in which the gap grows widest: a unit vector along the seat. Without meaning
    /// when the angle is no more than noise.
    pub widest_toward: DVec3,
    /// Root mean square of what the plane does not explain, millimetres.
    pub residual_mm: f64,
}

/// Where two parts face one another closely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seat {
    /// Area of the first part's surface that faces the other, square millimetres.
    pub area_mm2: f64,
    /// Mean width of the gap over that area, millimetres; below zero where the parts overlap.
    pub mean_mm: f64,
    /// Least width, millimetres.
    pub least_mm: f64,
    /// Where, on the first part.
    pub least_at: DVec3,
    /// Greatest width, millimetres; never more than the distance that was asked about.
    pub greatest_mm: f64,
    /// Where, on the first part.
    pub greatest_at: DVec3,
    /// Mean outward normal of the first part over the seat.
    pub normal: DVec3,
    /// The gap as a wedge. `None` when the seat is too much bent for one plane (a ball, a cone, a
    /// peg in a hole), or too narrow to fix one.
    pub askew: Option<Askew>,
}

/// The other surface must face back within 60 degrees, as in [`super::walls`].
const FACING: f64 = 0.5;
/// A seat is nearly flat when its mean normal is at least so long: normals within about 25 degrees.
const FLAT: f64 = 0.9;
/// A seat whose breadth is below this share of its length fixes no plane.
const BROAD: f64 = 0.01;

/// The seat of a part on another, within `facing_mm`, by at least `count` samples of the faces that
/// come near. `None` when no place of the one faces the other so closely.
pub fn seat(one: Part, other: Part, facing_mm: f64, count: u32) -> Option<Seat> {
    let Bounds { min, max } = other.mesh.bounds()?;
    let reach = DVec3::splat(facing_mm);
    let (low, high) = (min - reach, max + reach);
    let near = samples(one, count, |face| {
        let [a, b, c] = one.mesh.corners(face);
        a.min(b).min(c).cmple(high).all() && a.max(b).max(c).cmpge(low).all()
    });
    let met: Vec<Option<f64>> = near
        .par_iter()
        .map(|sample| width(one, other, sample, facing_mm))
        .collect();
    let facing: Vec<(Sample, f64)> = near
        .into_iter()
        .zip(met)
        .filter_map(|(sample, width)| Some((sample, width?)))
        .collect();
    let less = |a: &&(Sample, f64), b: &&(Sample, f64)| a.1.total_cmp(&b.1);
    let (least, greatest) = (facing.iter().min_by(less)?, facing.iter().max_by(less)?);
    let area_mm2: f64 = facing.iter().map(|(s, _)| s.area_mm2).sum();
    let mean = |of: &dyn Fn(&(Sample, f64)) -> DVec3| {
        facing.iter().map(|f| of(f) * f.0.area_mm2).sum::<DVec3>() / area_mm2
    };
    let normal = mean(&|f| f.0.normal);
    let middle = mean(&|f| f.0.point);
    let mean_mm = facing.iter().map(|(s, w)| w * s.area_mm2).sum::<f64>() / area_mm2;
    Some(Seat {
        area_mm2,
        mean_mm,
        least_mm: least.1,
        least_at: least.0.point,
        greatest_mm: greatest.1,
        greatest_at: greatest.0.point,
        normal: normal.normalize_or_zero(),
        askew: (normal.length() >= FLAT)
            .then(|| wedge(&facing, normal.normalize(), middle, mean_mm))
            .flatten(),
    })
}

/// The gap at a sample, if the other part faces it.
fn width(one: Part, other: Part, sample: &Sample, facing_mm: f64) -> Option<f64> {
    let look = |way: DVec3| {
        let met = other
            .tree
            .first_along(sample.point, way, facing_mm, |crossed| {
                let [a, b, c] = other.mesh.corners(crossed.face);
                let normal = (b - a).cross(c - a).normalize_or_zero();
                normal.dot(sample.normal) <= -FACING
            })?;
        let blocked = one
            .tree
            .first_along(sample.point, way, met.distance_mm, |crossed| {
                crossed.face != sample.face
            });
        blocked.is_none().then_some(met.distance_mm)
    };
    match (look(sample.normal), look(-sample.normal)) {
        (Some(out), Some(within)) if within < out => Some(-within),
        (Some(out), _) => Some(out),
        (None, within) => within.map(|w| -w),
    }
}

/// A plane through the widths of the gap over the seat, by weighted least squares. Widths are taken
/// along the seat's normal.
fn wedge(facing: &[(Sample, f64)], normal: DVec3, middle: DVec3, mean_mm: f64) -> Option<Askew> {
    let (u, v) = normal.any_orthonormal_pair();
    let mut moments = DMat3::ZERO;
    let mut right = DVec3::ZERO;
    for (sample, width) in facing {
        let from = sample.point - middle;
        let row = DVec3::new(from.dot(u), from.dot(v), 1.0);
        let w = sample.area_mm2;
        moments += DMat3::from_cols(row * row.x, row * row.y, row * row.z) * w;
        right += row * ((width - mean_mm) * sample.normal.dot(normal) * w);
    }
    // Spread along the seat: squares of its length and breadth, from the trace and determinant.
    let (p, q, r) = (moments.x_axis.x, moments.y_axis.y, moments.x_axis.y);
    let half = (p + q) / 2.0;
    let root = (((p - q) / 2.0).powi(2) + r * r).sqrt();
    let (long, broad) = (half + root, half - root);
    if broad <= long * BROAD * BROAD {
        return None;
    }
    let fit = moments.inverse() * right;
    let slope = u * fit.x + v * fit.y;
    let (mut squares, mut weight) = (0.0, 0.0);
    for (sample, width) in facing {
        let from = sample.point - middle;
        let there = (width - mean_mm) * sample.normal.dot(normal);
        let left = there - slope.dot(from) - fit.z;
        squares += left * left * sample.area_mm2;
        weight += sample.area_mm2;
    }
    Some(Askew {
        tilt_deg: slope.length().atan().to_degrees(),
        widest_toward: slope.normalize_or_zero(),
        residual_mm: (squares / weight).sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{Solid, boxed, cup};
    use super::*;
    use glam::DQuat;
    use std::f64::consts::PI;

    const COUNT: u32 = 20_000;

    #[test]
    fn a_lid_set_askew_by_one_degree() {
        let base = Solid::new(boxed(
            DVec3::new(-20.0, -10.0, -15.0),
            DVec3::new(20.0, 0.0, 15.0),
        ));
        // Turned about z, so that the gap grows toward +x; its hinge is above the edge at −20.
        for degrees in [1.0f64, 0.25] {
            let turn = DQuat::from_rotation_z(degrees.to_radians());
            let hinge = DVec3::new(-20.0, 0.1, 0.0);
            let lid = boxed(DVec3::new(0.0, 0.0, -20.0), DVec3::new(50.0, 8.0, 20.0));
            let lid = Solid::new(lid.map(|p| turn * p + hinge));
            let found = seat(base.part(), lid.part(), 2.0, COUNT).unwrap();
            let askew = found.askew.unwrap();
            assert!((askew.tilt_deg - degrees).abs() < 1e-4, "{askew:?}");
            assert!(askew.widest_toward.distance(DVec3::X) < 1e-4, "{askew:?}");
            assert!(askew.residual_mm < 1e-4);
            // The wedge is 40 long: from 0.1 to 0.1 + 40 tan, met at the samples' middles.
            let rise = 40.0 * degrees.to_radians().tan();
            assert!((found.mean_mm - 0.1 - rise / 2.0).abs() < 1e-3, "{found:?}");
            assert!(found.least_mm >= 0.1 - 1e-5 && found.least_mm < 0.1 + rise / 50.0);
            assert!(found.greatest_mm <= 0.1 + rise + 1e-5);
            assert!(found.greatest_mm > 0.1 + rise * 0.98);
            assert!((found.area_mm2 - 40.0 * 30.0).abs() < 1e-6);
            assert!(found.normal.distance(DVec3::Y) < 1e-9);
        }
    }

    #[test]
    fn a_lid_that_sinks_in_has_a_gap_below_zero() {
        let base = Solid::new(boxed(DVec3::splat(-10.0), DVec3::new(10.0, 0.0, 10.0)));
        let lid = Solid::new(boxed(
            DVec3::new(-10.0, -0.3, -10.0),
            DVec3::new(10.0, 8.0, 10.0),
        ));
        let found = seat(base.part(), lid.part(), 1.0, COUNT).unwrap();
        assert!((found.mean_mm + 0.3).abs() < 1e-6, "{found:?}");
        assert!((found.least_mm + 0.3).abs() < 1e-6 && (found.greatest_mm + 0.3).abs() < 1e-6);
        // Farther than asked: no seat.
        let far = Solid::new(boxed(DVec3::Y * 5.0, DVec3::splat(9.0)));
        assert_eq!(seat(base.part(), far.part(), 1.0, COUNT), None);
    }

    #[test]
    fn a_cup_in_a_cup() {
        let around = 192;
        let outer = Solid::new(cup(22.0, DVec3::ZERO, around, true));
        let sagitta = 2.0 * 22.0 * (1.0 - (PI / f64::from(around)).cos());
        for shift in [0.0, 0.5] {
            let inner = Solid::new(cup(20.0, DVec3::X * shift, around, false));
            let found = seat(inner.part(), outer.part(), 3.0, COUNT).unwrap();
            // The gap is 2 less and more the shift, met along the inner cup's normals.
            assert!(
                (found.least_mm - (2.0 - shift)).abs() < sagitta,
                "{found:?}"
            );
            assert!(
                (found.greatest_mm - (2.0 + shift)).abs() < sagitta,
                "{found:?}"
            );
            assert!((found.mean_mm - 2.0).abs() < 0.01 + sagitta, "{found:?}");
            // Bent all round: there is no one plane.
            assert_eq!(found.askew, None);
            if shift > 0.0 {
                assert!(found.least_at.x > 19.0 && found.greatest_at.x < -19.0);
            }
        }
    }
}
