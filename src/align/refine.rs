//! From a likely pose to the best one: point to plane, reweighted.
//!
//! Each step lays the points of either surface along the other's normals (Chen and Medioni,
//! "Object modelling by registration of multiple range images", Image and Vision Computing 10,
//! 1992), weighted by Tukey's biweight (Holland and Welsch, "Robust regression using iteratively
//! reweighted least-squares", Communications in Statistics A 6, 1977), so that an added pad or a
//! missing piece loses its pull as the rest falls into place.

use super::grain::{NORMAL, median};
use super::{Pose, Samples, Surface};
use glam::{DQuat, DVec3};
use nalgebra::{SMatrix, SVector};
use rayon::prelude::*;

/// Biweight of Tukey: 95 % efficient on normal noise at this many standard deviations.
const TUKEY: f64 = 4.685;
/// Share of the information's trace that is added to its diagonal, so that a motion which the
/// surface does not determine stays where it is.
const DAMPING: f64 = 1e-9;
/// A step that is shorter than this share of the fit's uncertainty along its own way ends it.
const SETTLED: f64 = 0.5;
/// A point whose normal differs more has met another wall: cosine of 60 degrees.
const SAME_WALL: f64 = 0.5;

/// Six or seven unknowns: turn (as millimetres at the radius), shift, growth.
pub(super) type Normal = SMatrix<f64, 7, 7>;
pub(super) type Step = SVector<f64, 7>;

/// One pair of points that a step is made from, in the fixed frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Match {
    /// The moving surface's point.
    pub(super) point: DVec3,
    /// Normal of the two surfaces there.
    pub(super) normal: DVec3,
    /// Along the normal from the fixed surface, millimetres.
    pub(super) along_mm: f64,
    /// Distance, millimetres.
    pub(super) distance_mm: f64,
}

/// Where each sample last met the other surface.
#[derive(Debug, Default)]
pub(super) struct Hints(Vec<Option<u32>>);

/// What moves and what it moves on, with the points that are compared.
#[derive(Clone, Copy)]
pub(super) struct Bench<'a> {
    pub(super) moving: &'a Surface<'a>,
    pub(super) fixed: &'a Surface<'a>,
    pub(super) own: &'a Samples,
    pub(super) other: &'a Samples,
    /// A point may be matched with one that is further off than the nearest by this share, while
    /// poses are only looked over.
    pub(super) spare: f64,
}

/// How far refinement goes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Steps at most.
    pub(super) steps: usize,
    /// Whether one scale factor moves along.
    pub(super) fit_scale: bool,
    /// A step shorter than this ends it, millimetres.
    pub(super) enough_mm: f64,
}

impl Bench<'_> {
    /// The middle that turns are about: the moving surface's, where it is now.
    fn centre(&self, pose: &Pose) -> DVec3 {
        pose.point(self.moving.centre)
    }

    /// Pairs of points at a pose: own points with the fixed surface, and the other way. `None`
    /// where the nearest point is a rim, or another wall.
    pub(super) fn matches(&self, pose: &Pose) -> Vec<Option<Match>> {
        self.matches_after(pose, &mut Hints::default())
    }

    /// The same, beginning where each point met the other surface last time.
    pub(super) fn matches_after(&self, pose: &Pose, hints: &mut Hints) -> Vec<Option<Match>> {
        let inverse = pose.inverse();
        let own = self.own.points.len();
        hints.0.resize(own + self.other.points.len(), None);
        let (first, second) = hints.0.split_at_mut(own);
        let out = first.par_iter_mut().enumerate().map(|(i, hint)| {
            let point = pose.point(self.own.points[i]);
            let at = self.fixed.tree.closest_after(point, *hint, self.spare)?;
            *hint = Some(at.slot);
            if self.fixed.sides.at_rim(&at) {
                return None;
            }
            let normal = self.fixed.smooth_normal(at.face as usize, at.barycentric);
            (normal.dot(pose.direction(self.own.normals[i])) > SAME_WALL).then(|| Match {
                point,
                normal,
                along_mm: (point - at.point).dot(normal),
                distance_mm: at.distance_mm,
            })
        });
        let home = second.par_iter_mut().enumerate().map(|(i, hint)| {
            let there = self.other.points[i];
            let at = self
                .moving
                .tree
                .closest_after(inverse.point(there), *hint, self.spare)?;
            *hint = Some(at.slot);
            if self.moving.sides.at_rim(&at) {
                return None;
            }
            let own = self.moving.smooth_normal(at.face as usize, at.barycentric);
            let normal = pose.direction(own);
            let point = pose.point(at.point);
            (normal.dot(self.other.normals[i]) > SAME_WALL).then(|| Match {
                point,
                normal,
                along_mm: (point - there).dot(normal),
                distance_mm: at.distance_mm * pose.scale,
            })
        });
        out.chain(home).collect()
    }

    /// Derivative of a match's distance along its normal by the seven unknowns.
    pub(super) fn row(&self, m: &Match, centre: DVec3) -> Step {
        let radius = self.moving.radius_mm.max(f64::MIN_POSITIVE);
        let arm = (m.point - centre) / radius;
        let turn = arm.cross(m.normal);
        let grow = arm.dot(m.normal);
        Step::from([
            turn.x, turn.y, turn.z, m.normal.x, m.normal.y, m.normal.z, grow,
        ])
    }

    /// The pose after a step.
    pub(super) fn stepped(&self, pose: &Pose, step: &Step) -> Pose {
        let radius = self.moving.radius_mm.max(f64::MIN_POSITIVE);
        let centre = self.centre(pose);
        let turn = DQuat::from_scaled_axis(DVec3::new(step[0], step[1], step[2]) / radius);
        let shift = DVec3::new(step[3], step[4], step[5]);
        let grown = 1.0 + step[6] / radius;
        let about = Pose {
            scale: grown,
            turn,
            shift: centre + shift - turn * (centre * grown),
        };
        about.after(pose)
    }

    /// Weighted sums of a step's equations.
    pub(super) fn equations(
        &self,
        pose: &Pose,
        matches: &[Option<Match>],
        weight: impl Fn(&Match) -> f64 + Sync,
    ) -> (Normal, Step) {
        let centre = self.centre(pose);
        // Sums of fixed runs, added up in their order: the same on any number of processors.
        let runs: Vec<(Normal, Step)> = matches
            .par_chunks(1024)
            .map(|run| {
                let (mut h, mut g) = (Normal::zeros(), Step::zeros());
                for m in run.iter().flatten() {
                    let w = weight(m);
                    if w > 0.0 {
                        let row = self.row(m, centre);
                        h += row * row.transpose() * w;
                        g += row * (m.along_mm * w);
                    }
                }
                (h, g)
            })
            .collect();
        runs.into_iter()
            .fold((Normal::zeros(), Step::zeros()), |(h, g), (dh, dg)| {
                (h + dh, g + dg)
            })
    }

    /// Walks to the best pose nearby.
    pub(super) fn refine(&self, start: &Pose, effort: &Effort) -> Pose {
        let floor = 1e-9 * self.fixed.diagonal_mm();
        let mut pose = *start;
        let mut hints = Hints::default();
        for _ in 0..effort.steps {
            let matches = self.matches_after(&pose, &mut hints);
            let spread = spread_mm(&matches).max(floor);
            let (h, g) = self.equations(&pose, &matches, |m| biweight(m.distance_mm, spread));
            let Some(step) = solve(h, g, effort.fit_scale) else {
                return pose;
            };
            pose = self.stepped(&pose, &step);
            // Points that meet other triangles keep a noisy fit trembling, and a turned bowl slides
            // on for ever; what is far below the uncertainty is not worth another step. In units of
            // that uncertainty the square of a step h⁻¹g is gᵀh⁻¹g over the noise's square.
            let gain = -g.dot(&step);
            if step.norm() < effort.enough_mm || gain < (SETTLED * spread).powi(2) {
                return pose;
            }
        }
        pose
    }
}

/// Standard deviation of the distances as their median tells it, millimetres.
pub(super) fn spread_mm(matches: &[Option<Match>]) -> f64 {
    let mut all: Vec<f64> = matches.iter().flatten().map(|m| m.distance_mm).collect();
    NORMAL * median(&mut all)
}

pub(super) fn biweight(distance_mm: f64, spread_mm: f64) -> f64 {
    let share = distance_mm / (TUKEY * spread_mm);
    if share < 1.0 {
        (1.0 - share * share).powi(2)
    } else {
        0.0
    }
}

fn solve(mut h: Normal, mut g: Step, fit_scale: bool) -> Option<Step> {
    let trace = h.trace();
    if trace <= 0.0 {
        return None;
    }
    if !fit_scale {
        for k in 0..7 {
            h[(k, 6)] = 0.0;
            h[(6, k)] = 0.0;
        }
        h[(6, 6)] = trace;
        g[6] = 0.0;
    }
    for k in 0..7 {
        h[(k, k)] += DAMPING * trace;
    }
    Some(h.cholesky()?.solve(&-g))
}
