//! Other poses that fit as well as the best.

use super::certainty::mean_square;
use super::refine::{Bench, Effort};
use super::starts::{ANOTHER_DEG, robust};
use super::{Direction, Pose};
use glam::{DMat3, DQuat, DVec3};
use nalgebra::Matrix3;
use std::f64::consts::PI;

/// A pose that fits worse than the best by so many times the noise cannot be its rival.
const FAR: f64 = 1.0;
/// Beside an edge, a few points meet the one wall or the other by chance, and count in full where
/// they do not match: 2 in 1,000 of them make this share of the radius.
const STRAY: f64 = 1e-4;
/// So many meet a wall that lies off by this share of the radius.
const STRAYS: f64 = 2e-3;
const STRAYED: f64 = 0.01;
/// A half turn that fits worse than the best by this share of the radius leads nowhere.
const HOPELESS: f64 = 0.01;
/// A pose that is still on its way may be off by this share of the radius.
const CRUDE: f64 = 5e-4;

/// Poses that turn elsewhere and fit as well, except those that lie along a motion that is open.
pub(super) fn rivals(
    ranked: &[(f64, Pose)],
    some: &Bench<'_>,
    best: &Pose,
    floor_mm: f64,
    directions: &[Direction],
) -> Vec<Pose> {
    if directions.iter().any(|d| !d.determined) {
        return Vec::new();
    }
    let effort = Effort {
        steps: 60,
        fit_scale: false,
        enough_mm: 1e-7 * some.fixed.diagonal_mm(),
    };
    // Coarse triangles are laid on one another no better, whatever their noise.
    let floor_mm = floor_mm.max(5e-5 * some.fixed.diagonal_mm());
    let here = mean_square(some, best);
    let stray = STRAYS * (STRAYED * some.fixed.radius_mm).powi(2);
    let limit = (2.0 * floor_mm).powi(2) + stray;
    let mut found: Vec<Pose> = Vec::new();
    let well = robust(some, best);
    // A few more steps will not bring those near that are far off now.
    let near = |off: f64, share: f64| off - well <= FAR * floor_mm + share * some.fixed.radius_mm;
    let walked = ranked.iter().skip(1).filter(|(off, _)| near(*off, CRUDE));
    let turned = half_turns(some, best);
    let turned = turned.iter().filter(|p| near(robust(some, p), HOPELESS));
    for pose in walked.map(|(_, pose)| pose).chain(turned) {
        let pose = &some.refine(pose, &effort);
        let apart = |k: &Pose| pose.inverse().after(k).angle_deg() > ANOTHER_DEG;
        if apart(best)
            && found.iter().all(apart)
            && mean_square(some, pose) - here < limit
            && robust(some, pose) - well < floor_mm + STRAY * some.fixed.radius_mm
        {
            found.push(*pose);
        }
    }
    found
}

/// The best pose, followed by half a turn about each principal axis of the fixed surface. Whatever has
/// two sides alike comes to lie on itself so, and starts from all around need not end there.
fn half_turns(some: &Bench<'_>, best: &Pose) -> Vec<Pose> {
    let points = &some.other.points;
    #[expect(clippy::cast_precision_loss, reason = "some thousands")]
    let count = points.len().max(1) as f64;
    let middle = points.iter().sum::<DVec3>() / count;
    let mut spread = DMat3::ZERO;
    for point in points {
        let off = *point - middle;
        spread += DMat3::from_cols(off * off.x, off * off.y, off * off.z);
    }
    let found = Matrix3::from_column_slice(&spread.to_cols_array()).symmetric_eigen();
    let about = |k: usize| {
        let axis = DVec3::from_slice(found.eigenvectors.column(k).as_slice()).try_normalize()?;
        let turn = DQuat::from_axis_angle(axis, PI);
        Some(Pose::about(middle, turn, DVec3::ZERO).after(best))
    };
    (0..3).filter_map(about).collect()
}
