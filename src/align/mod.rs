//! Lays one surface on another, and says how sure that is.
//!
//! Takes two [`Surface`]s in any pose; hands on a [`Fit`]: the motion, what is left between the
//! surfaces, how much of each has its counterpart in the other, and which motions the surfaces do
//! not determine. A turned bowl may spin about its axis without a trace: that is said, never
//! guessed, and places that the keeper knows to be the same on both can settle it.

mod certainty;
mod coarse;
mod grain;
mod grid;
mod pairs;
mod pose;
mod refine;
mod rivals;
mod settle;
mod starts;
mod surface;

pub use grain::Grain;
pub use pairs::{Paired, from_pairs};
pub use pose::Pose;
pub use surface::{Samples, Surface};

use certainty::judge;
use coarse::nudged;
use glam::DVec3;
use rayon::prelude::*;
use refine::{Bench, Effort, spread_mm};
use rivals::rivals;
use serde::{Deserialize, Serialize};
use starts::starts;

/// Where alignment begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Start {
    /// Any pose is possible.
    Nothing,
    /// The surfaces lie near one another after this motion.
    Near(Pose),
}

/// What is asked of an alignment.
#[derive(Debug, Clone)]
pub struct Wish {
    /// Where it begins.
    pub start: Start,
    /// Whether one scale factor is fitted; it is reported, never applied silently.
    pub fit_scale: bool,
    /// Places that are the same on both surfaces: the moving one's first.
    pub pairs: Vec<(DVec3, DVec3)>,
    /// Fits from nudged starts, to see whether they come back to the same pose.
    pub repeats: u32,
}

/// One independent small motion of the moving surface, and what the surfaces say of it. Its parts
/// are those of a unit vector: turns count as millimetres at the surface's radius.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Direction {
    /// Mean square by which the surfaces part along their normals for a motion of 1 mm: 0 to 1.
    pub eigenvalue: f64,
    /// Turn about the surface's middle: axis times share.
    pub turn: DVec3,
    /// Shift.
    pub shift: DVec3,
    /// Growth.
    pub grow: f64,
    /// Standard deviation of the pose along it, millimetres.
    pub standard_mm: f64,
    /// Whether the surfaces hold it fast.
    pub determined: bool,
}

/// Distances left between the surfaces where both were captured, after the fit.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Residual {
    /// Root mean square, millimetres.
    pub rms_mm: f64,
    /// Median, millimetres.
    pub median_mm: f64,
    /// 95 per cent are smaller, millimetres.
    pub p95_mm: f64,
    /// Points compared.
    pub points: usize,
}

/// How one surface lies on another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fit {
    /// From the moving surface's frame to the fixed one's.
    pub pose: Pose,
    /// What is left.
    pub residual: Residual,
    /// Shares of the moving and the fixed surface that lie on the other within its noise.
    pub overlap: [f64; 2],
    /// Small motions, the least determined first.
    pub directions: Vec<Direction>,
    /// Other poses that fit as well as this one, no two alike; no more than three are looked at.
    pub rivals: Vec<Pose>,
    /// How the fit's own uncertainty moves the surface along its normals, root mean square,
    /// millimetres, one standard deviation.
    pub along_normals_mm: f64,
    /// The same for points of the surface in any direction that is determined.
    pub at_points_mm: f64,
    /// Standard deviation of the scale factor, when it was fitted.
    pub scale_standard: Option<f64>,
    /// Greatest distance by which fits from nudged starts and other samples put a corner of the box
    /// elsewhere, millimetres; motions that are not determined are left out.
    pub repeat_mm: f64,
    /// How many such fits.
    pub repeats: u32,
    /// What is left between the keeper's pairs, root mean square, millimetres.
    pub pairs_mm: Option<f64>,
    /// Whether pairs settled what the surfaces leave open.
    pub settled: bool,
    /// Noise and roundness of both surfaces taken together, millimetres.
    pub floor_mm: f64,
}

impl Fit {
    /// Whether the surfaces alone, or with the keeper's pairs, leave no motion open.
    pub fn determined(&self) -> bool {
        self.settled || (self.rivals.is_empty() && self.directions.iter().all(|d| d.determined))
    }
}

/// Samples of each surface at the stages.
const SOME: usize = 4_000;
const MANY: usize = 20_000;
/// Nudges for the repeats: degrees, and share of the radius.
const NUDGE: (f64, f64) = (2.0, 0.02);

/// Whether the surfaces lie on one another near a pose: a short fit from there walks no further than
/// `walk_mm`, and this share of either surface lies on the other. One that walks far may come to rest
/// upside down.
pub fn lies(
    moving: &Surface<'_>,
    fixed: &Surface<'_>,
    near: &Pose,
    walk_mm: f64,
    share: f64,
) -> bool {
    let (own, other) = (moving.samples(SOME, 0.0), fixed.samples(SOME, 0.0));
    let some = Bench {
        moving,
        fixed,
        own: &own,
        other: &other,
        spare: 0.0,
    };
    let effort = Effort {
        steps: 15,
        fit_scale: false,
        enough_mm: 1e-4 * fixed.diagonal_mm(),
    };
    let pose = some.refine(near, &effort);
    if near.apart_mm(&pose, &moving.bounds) > walk_mm {
        return false;
    }
    let matches = some.matches(&pose);
    let close = 0.01 * fixed.diagonal_mm();
    let (first, second) = matches.split_at(own.points.len());
    [first, second].iter().all(|side| {
        let on = side.iter().flatten().filter(|m| m.distance_mm < close);
        on.count() as f64 > share * side.len().max(1) as f64
    })
}

/// Lays `moving` on `fixed`.
pub fn align(moving: &Surface<'_>, fixed: &Surface<'_>, wish: &Wish) -> Fit {
    let (a, b) = rayon::join(|| moving.grain(), || fixed.grain());
    let floor_mm = [a, b]
        .map(|g| g.noise_mm.powi(2) + g.usual_sagitta_mm.powi(2))
        .iter()
        .sum::<f64>()
        .sqrt()
        .max(1e-7 * fixed.diagonal_mm());
    let (own, other) = (moving.samples(SOME, 0.0), fixed.samples(SOME, 0.0));
    let some = Bench {
        moving,
        fixed,
        own: &own,
        other: &other,
        spare: 0.0,
    };
    let ranked = starts(moving, fixed, wish, &some);
    let best = ranked.first().map_or(Pose::STILL, |r| r.1);
    let (own, other) = (moving.samples(MANY, 0.0), fixed.samples(MANY, 0.0));
    let many = Bench {
        own: &own,
        other: &other,
        ..some
    };
    let fine = Effort {
        steps: 60,
        fit_scale: wish.fit_scale,
        enough_mm: 1e-8 * fixed.diagonal_mm(),
    };
    let mut pose = many.refine(&best, &fine);
    let mut certainty = judge(&some, &pose, floor_mm, wish.fit_scale);
    let mut rivals = rivals(&ranked, &some, &pose, floor_mm, &certainty.directions);
    let open = !rivals.is_empty() || certainty.directions.iter().any(|d| !d.determined);
    let mut settled = false;
    if open && !wish.pairs.is_empty() {
        let choice = settle::settle(&many, &pose, &rivals, &certainty.directions, &wish.pairs);
        pose = choice.pose;
        settled = choice.settled;
        if settled {
            rivals.clear();
        }
        let directions = std::mem::take(&mut certainty.directions);
        certainty = judge(&some, &pose, floor_mm, wish.fit_scale);
        certainty.directions = directions;
    }
    let repeat_mm = repeat(moving, fixed, wish, &pose, &certainty.directions);
    let (residual, overlap) = what_is_left(&many, &pose, floor_mm);
    Fit {
        pose,
        residual,
        overlap,
        rivals,
        along_normals_mm: certainty.along_normals_mm,
        at_points_mm: certainty.at_points_mm,
        scale_standard: certainty.scale,
        directions: certainty.directions,
        repeat_mm,
        repeats: wish.repeats,
        pairs_mm: left_between(&wish.pairs, &pose),
        settled,
        floor_mm,
    }
}

fn left_between(pairs: &[(DVec3, DVec3)], pose: &Pose) -> Option<f64> {
    let squares: f64 = pairs
        .iter()
        .map(|(p, q)| pose.point(*p).distance_squared(*q))
        .sum();
    (!pairs.is_empty()).then(|| (squares / pairs.len() as f64).sqrt())
}

/// Fits again from nudged starts with other points; how far apart they end.
fn repeat(
    moving: &Surface<'_>,
    fixed: &Surface<'_>,
    wish: &Wish,
    pose: &Pose,
    directions: &[Direction],
) -> f64 {
    let effort = Effort {
        steps: 40,
        fit_scale: wish.fit_scale,
        enough_mm: 1e-6 * fixed.diagonal_mm(),
    };
    (0..wish.repeats)
        .into_par_iter()
        .map(|i| {
            let turn = (f64::from(i) + 1.0) * 0.381_966;
            let (own, other) = (moving.samples(SOME, turn), fixed.samples(SOME, turn));
            let bench = Bench {
                moving,
                fixed,
                own: &own,
                other: &other,
                spare: 0.0,
            };
            let from = nudged(
                pose,
                pose.point(moving.centre),
                i,
                NUDGE.0,
                NUDGE.1 * moving.radius_mm,
            );
            let again = bench.refine(&from, &effort);
            settle::apart_mm(&bench, pose, &again, directions)
        })
        .reduce(|| 0.0, f64::max)
}

fn what_is_left(many: &Bench<'_>, pose: &Pose, floor_mm: f64) -> (Residual, [f64; 2]) {
    let matches = many.matches(pose);
    let near = (3.0 * spread_mm(&matches).max(floor_mm)).max(f64::MIN_POSITIVE);
    let (own, other) = matches.split_at(many.own.points.len());
    let share = |of: &[Option<refine::Match>]| {
        let on = of.iter().flatten().filter(|m| m.distance_mm < near).count();
        on as f64 / of.len().max(1) as f64
    };
    let overlap = [share(own), share(other)];
    let mut all: Vec<f64> = matches.iter().flatten().map(|m| m.distance_mm).collect();
    all.sort_unstable_by(f64::total_cmp);
    let count = all.len().max(1) as f64;
    let at = |share: f64| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "an index within the list"
        )]
        let index = (share * (count - 1.0)).round() as usize;
        all.get(index).copied().unwrap_or(0.0)
    };
    let residual = Residual {
        rms_mm: (all.iter().map(|d| d * d).sum::<f64>() / count).sqrt(),
        median_mm: at(0.5),
        p95_mm: at(0.95),
        points: all.len(),
    };
    (residual, overlap)
}
