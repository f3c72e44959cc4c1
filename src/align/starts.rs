//! Where a fit may begin, and which other poses fit as well.

use super::certainty::mean_square;
use super::coarse::likely;
use super::refine::{Bench, Effort};
use super::{Direction, Pose, Start, Surface, Wish, from_pairs};
use rayon::prelude::*;

/// Samples of each surface while many poses are tried.
const FEW: usize = 500;
/// Poses that are refined further with few points.
const PROMISING: usize = 12;
/// Poses that are looked at more closely.
const CLOSER: usize = 5;
/// A pose that turns by more than this from the best is another one, degrees.
const ANOTHER_DEG: f64 = 8.0;

/// Poses to begin from, refined with some points, the best first, each with its mean square.
pub(super) fn starts(
    moving: &Surface<'_>,
    fixed: &Surface<'_>,
    wish: &Wish,
    some: &Bench<'_>,
) -> Vec<(f64, Pose)> {
    let effort = |steps| Effort {
        steps,
        fit_scale: false,
        enough_mm: 1e-5 * fixed.diagonal_mm(),
    };
    let closer = |poses: Vec<Pose>| {
        let mut found: Vec<(f64, Pose)> = poses
            .into_iter()
            .map(|pose| some.refine(&pose, &effort(30)))
            .map(|pose| (robust(some, &pose), pose))
            .collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found
    };
    let mut known = match wish.start {
        Start::Near(pose) => vec![pose],
        Start::Nothing => Vec::new(),
    };
    if let Some(paired) = from_pairs(&wish.pairs, false).filter(|p| p.determined) {
        known.push(paired.pose);
    }
    if matches!(wish.start, Start::Near(_)) {
        return closer(known);
    }
    let (own, other) = (moving.samples(FEW, 0.5), fixed.samples(FEW, 0.5));
    let few = Bench {
        own: &own,
        other: &other,
        ..*some
    };
    let round = |poses: Vec<Pose>, steps| {
        let mut found: Vec<(f64, Pose)> = poses
            .into_par_iter()
            .map(|pose| few.refine(&pose, &effort(steps)))
            .map(|pose| (robust(&few, &pose), pose))
            .collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found
    };
    let mut quick = round(likely(moving, fixed), 6);
    quick.truncate(PROMISING);
    let quick = round(quick.into_iter().map(|q| q.1).collect(), 20);
    // Poses that are plainly worse than the best are not looked at again.
    let worst = quick
        .first()
        .map_or(0.0, |q| 2.0 * q.0 + 0.005 * fixed.radius_mm);
    for (_, pose) in quick.into_iter().filter(|q| q.0 < worst) {
        let alike = |k: &Pose| pose.inverse().after(k).angle_deg() < ANOTHER_DEG / 2.0;
        if known.len() < CLOSER && !known.iter().any(alike) {
            known.push(pose);
        }
    }
    closer(known)
}

/// Mean over all points of a distance that stops growing at a twentieth of the radius, both ways.
/// Points without a match count in full.
fn robust(bench: &Bench<'_>, pose: &Pose) -> f64 {
    let cap = 0.05 * bench.fixed.radius_mm;
    let matches = bench.matches(pose);
    let sum: f64 = matches
        .iter()
        .map(|m| m.map_or(cap, |m| m.distance_mm.min(cap)))
        .sum();
    sum / matches.len().max(1) as f64
}

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
    let floor_mm = floor_mm.max(1e-5 * some.fixed.diagonal_mm());
    let here = mean_square(some, best);
    let limit = (2.0 * floor_mm).powi(2);
    let mut found: Vec<Pose> = Vec::new();
    for (_, pose) in ranked.iter().skip(1) {
        let pose = &some.refine(pose, &effort);
        let apart = |k: &Pose| pose.inverse().after(k).angle_deg() > ANOTHER_DEG;
        if apart(best)
            && found.iter().all(apart)
            && mean_square(some, pose) - here < limit
            && robust(some, pose) - robust(some, best) < floor_mm
        {
            found.push(*pose);
        }
    }
    found
}
