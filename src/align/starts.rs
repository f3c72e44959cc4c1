//! Poses to begin from: all that are likely, and every turn about the axis that holds least.

use super::certainty::FIRM;
use super::coarse::likely;
use super::refine::{Bench, Effort, biweight, spread_mm};
use super::{Pose, Samples, Start, Surface, Wish, from_pairs};
use glam::{DQuat, DVec3};
use nalgebra::SMatrix;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Poses that are walked to their end: the best, and three that may be its rivals.
const CLOSEST: usize = 4;
/// Samples of each surface while there are many poses, when there are a dozen, and to choose among
/// the last.
const LEAST: usize = 250;
const FEW: usize = 500;
const MORE: usize = 1_000;
/// Poses that are refined further with few points.
const PROMISING: usize = 12;
/// Poses that are looked at more closely.
const CLOSER: usize = 8;
/// How much further off than the nearest a match may be while there are many poses.
const SPARE: f64 = 0.1;
/// A pose that turns by more than this from the best is another one, degrees.
pub(super) const ANOTHER_DEG: f64 = 8.0;
/// A pose that turns by less than this from another, and is not at its best yet, may become it,
/// degrees.
const ALIKE_DEG: f64 = 2.0;
/// Turns that are tried about the axis that holds least: five degrees apart.
const AROUND: u32 = 72;
/// Of these, so many are walked on from.
const TURNED: usize = 6;

/// Poses to begin from, refined with some points, the best first, each with how far it is off.
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
    let mut known = match wish.start {
        Start::Near(pose) => vec![pose],
        Start::Nothing => Vec::new(),
    };
    if let Some(paired) = from_pairs(&wish.pairs, false).filter(|p| p.determined) {
        known.push(paired.pose);
    }
    if matches!(wish.start, Start::Near(_)) {
        return walked(some, known, &effort(30));
    }
    let sampled = |count, turn| [moving.samples(count, turn), fixed.samples(count, turn)];
    let (least, few, more) = (sampled(LEAST, 0.25), sampled(FEW, 0.5), sampled(MORE, 0.75));
    let (least, few) = (with(some, &least, SPARE), with(some, &few, SPARE));
    let quick = walked(&least, likely(moving, fixed), &effort(5));
    // Many starts end in the same pose, which is walked on from once.
    let quick = apart(quick, ALIKE_DEG, PROMISING);
    let mut quick = walked(&few, quick, &effort(20));
    // A pot that was turned fits nearly as well however it is turned: what breaks the turn is
    // small, and walking does not find it from afar.
    if let Some((_, best)) = quick.first() {
        let around = turned(&least, best);
        quick.extend(walked(&few, around, &effort(20)));
        quick.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    let quick = promising(quick, 2.0, 0.005 * fixed.radius_mm);
    known.extend(apart(quick, ANOTHER_DEG / 2.0, CLOSER));
    let closer = walked(&with(some, &more, 0.0), known, &effort(15));
    let closer = promising(closer, 1.5, 0.001 * fixed.radius_mm);
    let closer = apart(closer, ANOTHER_DEG / 2.0, CLOSEST);
    walked(some, closer, &effort(30))
}

/// The same with other samples.
fn with<'a>(some: &Bench<'a>, [own, other]: &'a [Samples; 2], spare: f64) -> Bench<'a> {
    Bench {
        own,
        other,
        spare,
        ..*some
    }
}

/// Poses that are plainly worse than the best are not looked at again.
fn promising(mut ranked: Vec<(f64, Pose)>, times: f64, slack_mm: f64) -> Vec<(f64, Pose)> {
    let worst = ranked.first().map_or(0.0, |q| times * q.0 + slack_mm);
    ranked.retain(|q| q.0 < worst);
    ranked
}

/// Refines poses; the best first.
fn walked(bench: &Bench<'_>, poses: Vec<Pose>, effort: &Effort) -> Vec<(f64, Pose)> {
    let mut found: Vec<(f64, Pose)> = poses
        .into_par_iter()
        .map(|pose| bench.refine(&pose, effort))
        .map(|pose| (robust(bench, &pose), pose))
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

/// The first of those that are alike, up to a count.
fn apart(ranked: Vec<(f64, Pose)>, alike_deg: f64, count: usize) -> Vec<Pose> {
    let mut kept: Vec<Pose> = Vec::with_capacity(count);
    for (_, pose) in ranked {
        let alike = |k: &Pose| pose.inverse().after(k).angle_deg() < alike_deg;
        if kept.len() < count && !kept.iter().any(alike) {
            kept.push(pose);
        }
    }
    kept
}

/// The best turns about the axis that the surfaces hold least.
fn turned(least: &Bench<'_>, pose: &Pose) -> Vec<Pose> {
    let Some((point, axis)) = loosest(least, pose) else {
        return Vec::new();
    };
    let tried: Vec<(f64, Pose)> = (0..AROUND)
        .into_par_iter()
        .map(|i| {
            let angle = TAU * f64::from(i) / f64::from(AROUND);
            let turn = DQuat::from_axis_angle(axis, angle);
            let there = Pose::about(point, turn, DVec3::ZERO).after(pose);
            (robust(least, &there), there)
        })
        .collect();
    // Those that fit better than the turns beside them; the first is where it lies already.
    let count = tried.len();
    let mut valleys: Vec<(f64, Pose)> = (1..count)
        .filter(|i| {
            let beside = [tried[i - 1].0, tried[(i + 1) % count].0];
            beside.iter().all(|b| tried[*i].0 <= *b)
        })
        .map(|i| tried[i])
        .collect();
    valleys.sort_by(|a, b| a.0.total_cmp(&b.0));
    valleys.truncate(TURNED);
    valleys.into_iter().map(|t| t.1).collect()
}

/// A point of the axis about which a small turn parts the surfaces least, and its direction; nothing
/// when they hold every motion firmly.
fn loosest(bench: &Bench<'_>, pose: &Pose) -> Option<(DVec3, DVec3)> {
    let matches = bench.matches(pose);
    let spread = spread_mm(&matches).max(1e-9 * bench.fixed.diagonal_mm());
    let (h, _) = bench.equations(pose, &matches, |m| biweight(m.distance_mm, spread));
    let rigid: SMatrix<f64, 6, 6> = h.fixed_view::<6, 6>(0, 0).into();
    let total: f64 = matches
        .iter()
        .flatten()
        .map(|m| biweight(m.distance_mm, spread))
        .sum();
    let found = rigid.symmetric_eigen();
    let least = found.eigenvalues.imin();
    if found.eigenvalues[least] > FIRM * total {
        return None;
    }
    let v = found.eigenvectors.column(least);
    let radius = bench.moving.radius_mm.max(f64::MIN_POSITIVE);
    let turn = DVec3::new(v[0], v[1], v[2]) / radius;
    let shift = DVec3::new(v[3], v[4], v[5]);
    let centre = pose.point(bench.moving.centre);
    // Where a turn ω and a shift v of the middle leave a point at rest, save along the axis.
    let arm = turn.cross(shift) / turn.length_squared();
    arm.is_finite()
        .then(|| (centre + arm, turn.normalize_or(DVec3::Y)))
}

/// Mean over all points of a distance that stops growing at a twentieth of the radius, both ways.
/// Points without a match count in full.
pub(super) fn robust(bench: &Bench<'_>, pose: &Pose) -> f64 {
    let cap = 0.05 * bench.fixed.radius_mm;
    let matches = bench.matches(pose);
    let sum: f64 = matches
        .iter()
        .map(|m| m.map_or(cap, |m| m.distance_mm.min(cap)))
        .sum();
    sum / matches.len().max(1) as f64
}
