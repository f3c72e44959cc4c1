//! What makes one view better than another.

use super::sight::toward_eye;
use super::{LeftOut, Patch, Scenery};
use crate::record::ViewFrom;
use std::f64::consts::FRAC_PI_2;

/// Between these angles off the normal a surface shows its relief and is hardly foreshortened,
/// degrees. Straight on, relief throws no shadow toward one side. Common practice, no source.
const FLAT_BEST_DEG: [f64; 2] = [12.0, 35.0];
/// What a view straight onto the surface is worth beside those.
const STRAIGHT_ON: f64 = 0.93;
/// What a view is worth in which the patch is quite turned away in the mean.
const TURNED_AWAY: f64 = 0.02;
/// The height from which people like to see things, and how far about it, degrees (Secord, Lu,
/// Finkelstein, Singh and Nealen, "Perceptual models of viewpoint preference", ACM Transactions on
/// Graphics 30, 2011: a normal curve about π/8 with a deviation of π/4; from memory).
const ABOVE_DEG: [f64; 2] = [22.5, 45.0];
/// What a patch is worth that stands in the outline with nothing behind its surroundings.
const AT_THE_EDGE: f64 = 0.75;

/// What a view is worth, 0 to 1, and how much of the patch it shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Worth {
    pub(super) from: ViewFrom,
    pub(super) seen: f64,
    pub(super) worth: f64,
}

/// Marks a view. What is seen counts twice: no slant or height makes up for a patch that is hidden.
pub(super) fn worth(
    scenery: &Scenery<'_>,
    patch: &Patch,
    from: ViewFrom,
    left_out: &LeftOut,
) -> Worth {
    let seen = scenery.seen(patch, from, left_out);
    let mut worth = 0.0;
    if seen > 0.0 {
        let edge = scenery.within_outline(patch, from, left_out);
        worth = seen
            * seen
            * slant(toward_eye(from).dot(patch.normal))
            * above(from.elevation_deg).sqrt()
            * (AT_THE_EDGE + (1.0 - AT_THE_EDGE) * edge);
    }
    Worth { from, seen, worth }
}

/// Worth of the angle between the eye and the normal, given by its cosine.
pub(super) fn slant(cosine: f64) -> f64 {
    let off = cosine.clamp(-1.0, 1.0).acos();
    let [least, most] = FLAT_BEST_DEG.map(f64::to_radians);
    if off < least {
        return STRAIGHT_ON + (1.0 - STRAIGHT_ON) * off / least;
    }
    let beyond = ((off - most).max(0.0) / (FRAC_PI_2 - most)).min(1.0);
    (beyond * FRAC_PI_2).cos().max(TURNED_AWAY)
}

/// Worth of the height of the eye.
pub(super) fn above(elevation_deg: f64) -> f64 {
    let [best, about] = ABOVE_DEG;
    let off = (elevation_deg - best) / about;
    (-off * off / 2.0).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_little_off_the_normal_and_a_little_above_is_best() {
        let at = |deg: f64| slant(deg.to_radians().cos());
        assert!(at(20.0) > at(0.0) && at(34.0) > 0.999 && at(60.0) > at(75.0));
        assert!(
            at(0.0) > at(60.0),
            "lettering is still best read straight on"
        );
        assert!((at(90.0) - TURNED_AWAY).abs() < 1e-12 && (at(130.0) - TURNED_AWAY).abs() < 1e-12);
        assert!(above(22.5) > above(0.0) && above(0.0) > above(80.0) && above(20.0) > above(-20.0));
    }
}
