//! Other poses that fit as well as the best.

use super::certainty::mean_square;
use super::refine::{Bench, Effort};
use super::starts::{ANOTHER_DEG, robust};
use super::{Direction, Pose};

/// A pose that fits worse than the best by so many times the noise cannot be its rival.
const FAR: f64 = 1.0;
/// Beside an edge, a few points meet the one wall or the other by chance, and count in full where
/// they do not match: 2 in 1,000 of them make this share of the radius.
const STRAY: f64 = 1e-4;
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
    let limit = (2.0 * floor_mm).powi(2);
    let mut found: Vec<Pose> = Vec::new();
    let well = robust(some, best);
    for (off, pose) in ranked.iter().skip(1) {
        // A few more steps will not bring it near.
        if off - well > FAR * floor_mm + CRUDE * some.fixed.radius_mm {
            continue;
        }
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
