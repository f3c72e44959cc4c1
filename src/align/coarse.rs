//! From nothing to a handful of likely poses: every turn is tried.

use super::grid::Grid;
use super::{Pose, Samples, Surface};
use glam::{DQuat, DVec3};
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Turns that are tried: neighbours are some twelve degrees apart.
const TURNS: u32 = 4608;
/// Points of each surface that a turn is judged by.
const POINTS: usize = 192;
/// Poses that are handed on.
const KEPT: usize = 32;
/// Two poses nearer than this are one, degrees.
const ALIKE_DEG: f64 = 14.0;
/// Farther than this share of the radius all is equally bad.
const CAP: f64 = 0.35;

/// Likely poses of `moving` on `fixed`, the best first. Middles are laid on one another, all turns
/// tried, and the mean distance both ways taken from grids.
pub(super) fn likely(moving: &Surface<'_>, fixed: &Surface<'_>) -> Vec<Pose> {
    let cap = CAP * fixed.radius_mm.max(moving.radius_mm);
    let (there, back) = (Grid::of(fixed, cap), Grid::of(moving, cap));
    let own = moving.samples(POINTS, 0.0);
    let other = fixed.samples(POINTS, 0.0);
    let mut judged: Vec<(f32, u32, Pose)> = (0..TURNS)
        .into_par_iter()
        .map(|i| {
            let turn = spread_turn(i, TURNS);
            let pose = Pose {
                scale: 1.0,
                turn,
                shift: fixed.centre - turn * moving.centre,
            };
            (badness(&pose, &own, &other, &there, &back), i, pose)
        })
        .collect();
    judged.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut kept: Vec<Pose> = Vec::with_capacity(KEPT);
    for (_, _, pose) in judged {
        let known = |k: &Pose| pose.inverse().after(k).angle_deg() < ALIKE_DEG;
        if kept.len() < KEPT && !kept.iter().any(known) {
            kept.push(pose);
        }
    }
    kept
}

fn badness(pose: &Pose, own: &Samples, other: &Samples, there: &Grid, back: &Grid) -> f32 {
    let inverse = pose.inverse();
    let out = own.points.iter().map(|p| there.distance_mm(pose.point(*p)));
    let home = other
        .points
        .iter()
        .map(|p| back.distance_mm(inverse.point(*p)));
    out.chain(home).map(f32::sqrt).sum()
}

/// The turn `i` of `count` that are spread evenly over all turns (Alexa, "Super-Fibonacci spirals:
/// fast, low-discrepancy sampling of SO(3)", CVPR 2022).
pub(super) fn spread_turn(i: u32, count: u32) -> DQuat {
    /// Root of x⁴ = x + 4.
    const PSI: f64 = 1.533_751_168_755_204_3;
    let s = f64::from(i) + 0.5;
    let share = s / f64::from(count);
    let (near, far) = (share.sqrt(), (1.0 - share).sqrt());
    let alpha = TAU * s / std::f64::consts::SQRT_2;
    let beta = TAU * s / PSI;
    DQuat::from_xyzw(
        near * alpha.sin(),
        near * alpha.cos(),
        far * beta.sin(),
        far * beta.cos(),
    )
    .normalize()
}

/// Turns a little about every axis, to try whether a fit comes back.
pub(super) fn nudged(pose: &Pose, centre: DVec3, step: u32, angle_deg: f64, shift_mm: f64) -> Pose {
    let axis = spread_turn(step, 16) * DVec3::X;
    let turn = DQuat::from_axis_angle(axis, angle_deg.to_radians());
    let shift = spread_turn(step + 5, 24) * DVec3::Y * shift_mm;
    Pose::about(centre, turn, shift).after(pose)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No turn is farther from the nearest of the spread than the spacing promises.
    #[test]
    fn turns_lie_close_everywhere() {
        let all: Vec<DQuat> = (0..TURNS).map(|i| spread_turn(i, TURNS)).collect();
        let furthest = (0..500u32)
            .map(|i| {
                let wanted = spread_turn(i, 500) * DQuat::from_rotation_x(f64::from(i));
                let nearest = all.iter().map(|t| t.dot(wanted).abs()).fold(0.0, f64::max);
                2.0 * nearest.min(1.0).acos().to_degrees()
            })
            .fold(0.0, f64::max);
        assert!(furthest < 16.0, "{furthest} degrees");
    }
}
