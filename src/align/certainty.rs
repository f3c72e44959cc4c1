//! How well a fit is determined by the surfaces.
//!
//! The eigenvalues of the information matrix say how far the surfaces part, in the mean square,
//! when one moves on the other by a millimetre (Gelfand, Ikemoto, Rusinkiewicz and Levoy,
//! "Geometrically stable sampling for the ICP algorithm", 3DIM 2003). A small one marks a motion
//! that may slide; whether it does is then tried out: the surface is moved along it by as much as a
//! quarter of its radius, and must part from the other by more than the noise.

use super::refine::{Bench, Normal, Step, biweight, spread_mm};
use super::{Direction, Pose};
use glam::DVec3;
use nalgebra::SMatrix;

/// Eigenvalues above this need no trial.
pub(super) const FIRM: f64 = 0.05;
/// Motions that are tried, as shares of the radius.
const TRIALS: [f64; 4] = [0.03, 0.08, 0.15, 0.25];
/// The surfaces must part by so many times their noise.
const PARTED: f64 = 2.0;

/// What the surfaces say of a fit.
pub(super) struct Certainty {
    pub(super) directions: Vec<Direction>,
    /// How far the fit's own uncertainty moves the surface along its normal, in the root mean
    /// square, millimetres (one standard deviation).
    pub(super) along_normals_mm: f64,
    /// Standard deviation of a point of the surface by the motions that are determined, root mean
    /// square, millimetres.
    pub(super) at_points_mm: f64,
    /// Standard deviation of the scale factor, when it was fitted.
    pub(super) scale: Option<f64>,
}

/// Judges a fit. `floor_mm` is the noise and roundness below which nothing can be told apart.
pub(super) fn judge(bench: &Bench<'_>, pose: &Pose, floor_mm: f64, fit_scale: bool) -> Certainty {
    let matches = bench.matches(pose);
    let spread = spread_mm(&matches).max(1e-9 * bench.fixed.diagonal_mm());
    let weight = |d: f64| biweight(d, spread);
    let (h, _) = bench.equations(pose, &matches, |m| weight(m.distance_mm));
    let weights: Vec<(f64, f64)> = matches
        .iter()
        .flatten()
        .map(|m| (weight(m.distance_mm), m.along_mm))
        .collect();
    let total: f64 = weights.iter().map(|w| w.0).sum();
    let squares: f64 = weights.iter().map(|w| w.0 * w.0).sum();
    let variance =
        weights.iter().map(|(w, r)| w * r * r).sum::<f64>() / total.max(f64::MIN_POSITIVE);
    // More samples than the scans have points bring nothing new.
    let places = bench.moving.sides.welded().places.len() + bench.fixed.sides.welded().places.len();
    let independent = (total * total / squares.max(f64::MIN_POSITIVE)).min(places as f64);
    let information = h / total.max(f64::MIN_POSITIVE);
    let pairs = eigen(&information, fit_scale);
    let mut directions: Vec<Direction> = pairs
        .iter()
        .map(|(value, vector)| Direction {
            eigenvalue: *value,
            turn: DVec3::new(vector[0], vector[1], vector[2]),
            shift: DVec3::new(vector[3], vector[4], vector[5]),
            grow: vector[6],
            standard_mm: (variance / (independent * value.max(1e-12))).sqrt(),
            determined: *value > FIRM || parts(bench, pose, vector, floor_mm),
        })
        .collect();
    directions.sort_by(|a, b| a.eigenvalue.total_cmp(&b.eigenvalue));
    let unknowns = directions.iter().filter(|d| d.determined).count() as f64;
    // Σ over the directions of (standard deviation)² · mean square of the motion along it.
    let at_points: f64 = directions
        .iter()
        .filter(|d| d.determined)
        .map(|d| {
            let moved =
                d.turn.length_squared() * 2.0 / 3.0 + d.shift.length_squared() + d.grow * d.grow;
            d.standard_mm.powi(2) * moved
        })
        .sum();
    let radius = bench.moving.radius_mm.max(f64::MIN_POSITIVE);
    let scale = fit_scale.then(|| {
        let sum: f64 = directions
            .iter()
            .map(|d| (d.grow * d.standard_mm).powi(2))
            .sum();
        sum.sqrt() / radius
    });
    Certainty {
        along_normals_mm: (variance * unknowns / independent.max(1.0)).sqrt(),
        at_points_mm: at_points.sqrt(),
        directions,
        scale,
    }
}

fn eigen(information: &Normal, fit_scale: bool) -> Vec<(f64, Step)> {
    if fit_scale {
        let found = information.symmetric_eigen();
        return (0..7)
            .map(|k| (found.eigenvalues[k], found.eigenvectors.column(k).into()))
            .collect();
    }
    let rigid: SMatrix<f64, 6, 6> = information.fixed_view::<6, 6>(0, 0).into();
    let found = rigid.symmetric_eigen();
    (0..6)
        .map(|k| {
            let mut whole = Step::zeros();
            whole
                .fixed_rows_mut::<6>(0)
                .copy_from(&found.eigenvectors.column(k));
            (found.eigenvalues[k], whole)
        })
        .collect()
}

/// Whether the surfaces part by more than their noise when one is moved along a motion.
fn parts(bench: &Bench<'_>, pose: &Pose, along: &Step, floor_mm: f64) -> bool {
    let here = mean_square(bench, pose);
    let limit = (PARTED * floor_mm).powi(2);
    TRIALS.iter().any(|share| {
        let step = along * (share * bench.moving.radius_mm);
        [step, -step]
            .iter()
            .any(|step| mean_square(bench, &bench.stepped(pose, step)) - here > limit)
    })
}

/// Mean square distance of the surfaces at a pose, mm². Every point counts, those too that a fit
/// would leave out: what is on both bodies parts when they turn, and what is on one does not.
pub(super) fn mean_square(bench: &Bench<'_>, pose: &Pose) -> f64 {
    let matches = bench.matches(pose);
    let (sum, count) = matches.iter().flatten().fold((0.0, 0.0f64), |(s, n), m| {
        (s + m.distance_mm.powi(2), n + 1.0)
    });
    sum / count.max(1.0)
}
