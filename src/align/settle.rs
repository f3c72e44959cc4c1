//! What the surfaces leave open, settled by places that are the same on both.

use super::refine::{Bench, Effort, Step};
use super::{Direction, Pose, left_between};
use glam::DVec3;
use std::f64::consts::TAU;

/// Turns along an open motion that are tried.
const TRIES: u32 = 72;

pub(super) struct Choice {
    pub(super) pose: Pose,
    pub(super) settled: bool,
}

/// Moves along the open motions only, so that the surfaces' own word stands, until the pairs lie as
/// near as they can.
pub(super) fn settle(
    bench: &Bench<'_>,
    pose: &Pose,
    rivals: &[Pose],
    directions: &[Direction],
    pairs: &[(DVec3, DVec3)],
) -> Choice {
    let left = |pose: &Pose| left_between(pairs, pose).unwrap_or(f64::INFINITY);
    let nearest =
        |poses: &mut dyn Iterator<Item = Pose>| poses.min_by(|a, b| left(a).total_cmp(&left(b)));
    let open: Vec<Step> = directions
        .iter()
        .filter(|d| !d.determined)
        .map(Direction::step)
        .collect();
    let mut all = std::iter::once(*pose).chain(rivals.iter().copied());
    let mut best = nearest(&mut all).unwrap_or(*pose);
    if open.is_empty() {
        return Choice {
            pose: best,
            settled: true,
        };
    }
    let round = TAU * bench.moving.radius_mm;
    for along in &open {
        let mut tried = (0..TRIES).map(|i| {
            let share = f64::from(i) / f64::from(TRIES);
            // One step turns exactly, however far.
            bench.stepped(&best, &(along * (share * round)))
        });
        best = nearest(&mut tried).unwrap_or(best);
    }
    // A long turn about an axis beside the middle ends beside the surface: the surface first, then
    // Newton's steps in the open motions alone.
    let effort = Effort {
        steps: 30,
        fit_scale: false,
        enough_mm: 1e-9 * bench.fixed.diagonal_mm(),
    };
    best = bench.refine(&best, &effort);
    for _ in 0..30 {
        let Some(step) = newton(bench, &best, &open, pairs) else {
            return Choice {
                pose: best,
                settled: false,
            };
        };
        best = bench.stepped(&best, &step);
        if step.norm() < 1e-12 * bench.fixed.diagonal_mm() {
            break;
        }
    }
    Choice {
        pose: best,
        settled: true,
    }
}

/// The step within the open motions that brings the pairs nearest; `None` when the pairs do not
/// determine it either.
fn newton(bench: &Bench<'_>, pose: &Pose, open: &[Step], pairs: &[(DVec3, DVec3)]) -> Option<Step> {
    let small = 1e-4 * bench.moving.radius_mm;
    let count = open.len();
    let (mut h, mut g) = (
        nalgebra::DMatrix::<f64>::zeros(count, count),
        nalgebra::DVector::<f64>::zeros(count),
    );
    for (p, q) in pairs {
        let here = pose.point(*p);
        let gap = here - *q;
        let moves: Vec<DVec3> = open
            .iter()
            .map(|along| (bench.stepped(pose, &(along * small)).point(*p) - here) / small)
            .collect();
        for i in 0..count {
            g[i] += moves[i].dot(gap);
            for j in 0..count {
                h[(i, j)] += moves[i].dot(moves[j]);
            }
        }
    }
    let trace = h.trace();
    let least = h.clone().symmetric_eigen().eigenvalues.min();
    // Pairs on the axis of a turn say nothing of it.
    if trace <= 0.0 || least < 1e-4 {
        return None;
    }
    let found = h.cholesky()?.solve(&-g);
    let mut step = Step::zeros();
    for (along, share) in open.iter().zip(found.iter()) {
        step += along * *share;
    }
    Some(step)
}

impl Direction {
    /// As the unknowns of a step.
    pub(super) fn step(&self) -> Step {
        let (t, s) = (self.turn, self.shift);
        Step::from([t.x, t.y, t.z, s.x, s.y, s.z, self.grow])
    }
}

/// How far two poses put the corners of the moving box from one another, once the open motions are
/// taken out.
pub(super) fn apart_mm(
    bench: &Bench<'_>,
    pose: &Pose,
    other: &Pose,
    directions: &[Direction],
) -> f64 {
    let radius = bench.moving.radius_mm.max(f64::MIN_POSITIVE);
    let between = other.after(&pose.inverse());
    let middle = pose.point(bench.moving.centre);
    // A quaternion and its negative are one turn; the shorter way round is meant.
    let turn = if between.turn.w < 0.0 {
        (-between.turn).to_scaled_axis()
    } else {
        between.turn.to_scaled_axis()
    };
    let shift = between.point(middle) - middle;
    let (t, s) = (turn * radius, shift);
    let mut step = Step::from([t.x, t.y, t.z, s.x, s.y, s.z, (between.scale - 1.0) * radius]);
    for open in directions.iter().filter(|d| !d.determined) {
        let along = open.step();
        step -= along * along.dot(&step);
    }
    bench
        .stepped(pose, &step)
        .apart_mm(pose, &bench.moving.bounds)
}
