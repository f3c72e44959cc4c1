//! The best view of a patch: on the whole body if that will do, else with something left out.

use super::lattice::{around, directions};
use super::score::{Worth, worth};
use super::{LeftOut, Patch, Scenery};
use crate::profile::Plane;
use crate::record::ViewFrom;
use rayon::prelude::*;

/// Directions that are tried: ten degrees from one to the next.
const DIRECTIONS: u32 = 400;
/// Steps by which the best of them is bettered, degrees.
const STEPS_DEG: [f64; 4] = [4.0, 2.0, 1.0, 0.5];
/// Beyond this height what is upright can no longer be told in a picture, degrees.
const STEEP_DEG: f64 = 75.0;
/// Nor is anything gained by going quite to the pole, where the azimuth has no meaning, degrees.
const STEEPEST_DEG: f64 = 88.0;
/// Nothing is left out when so much of a patch is seen.
pub const ENOUGH: f64 = 0.6;
/// Something is left out, or a steep view taken, when it shows so much more of the patch.
const GAIN: f64 = 0.2;
/// A part that hides less of a patch than this may stay.
const SPECK: f64 = 0.02;
/// Views are given to a tenth of a degree.
const TENTH: f64 = 10.0;

/// The view of a patch.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// Where the eye is.
    pub from: ViewFrom,
    /// What is left out of the picture.
    pub left_out: LeftOut,
    /// Share of the patch that is seen.
    pub seen: f64,
    /// The best view of the body as it is (or the given one), and the share seen from there.
    pub whole: (ViewFrom, f64),
}

/// Chooses the view, or only what to leave out when the view is `given`.
pub fn choose(scenery: &Scenery<'_>, patch: &Patch, given: Option<ViewFrom>) -> Chosen {
    let whole = best(scenery, patch, given, &|_| LeftOut::default());
    let mut chosen = Chosen {
        from: whole.from,
        left_out: LeftOut::default(),
        seen: whole.seen,
        whole: (whole.from, whole.seen),
    };
    if chosen.seen < ENOUGH {
        chosen.better(without(scenery, patch, given));
    }
    if chosen.seen < ENOUGH {
        chosen.better(cut(scenery, patch, given));
    }
    chosen
}

impl Chosen {
    fn better(&mut self, (found, left_out): (Worth, LeftOut)) {
        if found.seen >= self.seen + GAIN && !left_out.nothing() {
            (self.from, self.seen) = (found.from, found.seen);
            self.left_out = left_out;
        }
    }
}

/// Takes away the other parts, then puts back those that hide nothing.
fn without(scenery: &Scenery<'_>, patch: &Patch, given: Option<ViewFrom>) -> (Worth, LeftOut) {
    let all: Vec<usize> = (0..scenery.parts.len())
        .filter(|part| *part != scenery.own)
        .collect();
    let alone = |_| LeftOut {
        parts: all.clone(),
        cut: None,
    };
    let found = best(scenery, patch, given, &alone);
    let left_out = in_the_way(scenery, patch, found.from, None);
    (worth(scenery, patch, found.from, &left_out), left_out)
}

/// Cuts the part open, by an upright plane that the eye looks at, and takes away what other parts
/// still stand before the patch. The plane goes through the middle of the part, where a section
/// tells most, or just before the patch if that lies nearer to the eye.
fn cut(scenery: &Scenery<'_>, patch: &Patch, given: Option<ViewFrom>) -> (Worth, LeftOut) {
    let others: Vec<usize> = (0..scenery.parts.len())
        .filter(|part| *part != scenery.own)
        .collect();
    let opened = |from: ViewFrom| LeftOut {
        parts: others.clone(),
        cut: plane(scenery, patch, from),
    };
    let found = best(scenery, patch, given, &opened);
    let left_out = in_the_way(
        scenery,
        patch,
        found.from,
        plane(scenery, patch, found.from),
    );
    (worth(scenery, patch, found.from, &left_out), left_out)
}

fn plane(scenery: &Scenery<'_>, patch: &Patch, from: ViewFrom) -> Option<Plane> {
    let middle = scenery.parts[scenery.own].mesh.bounds()?.centre();
    let mut plane = Plane::upright(middle, from.azimuth_deg);
    let toward = plane.toward_eye();
    let nearest = patch.samples.iter().map(|s| (s.point - middle).dot(toward));
    let clear = nearest.fold(0.0, f64::max);
    if clear > 0.0 {
        plane.origin += toward * (clear + 2.0 * scenery.lift());
    }
    Some(plane)
}

/// Other parts that stand before the patch.
fn in_the_way(scenery: &Scenery<'_>, patch: &Patch, from: ViewFrom, cut: Option<Plane>) -> LeftOut {
    let mut left_out = LeftOut {
        parts: Vec::new(),
        cut,
    };
    let hidden = scenery.hidden_by(patch, from, &left_out);
    left_out.parts = (0..scenery.parts.len())
        .filter(|part| *part != scenery.own && hidden[*part] > SPECK)
        .collect();
    left_out
}

/// The best view with what `left_out` says of each, or the given one.
fn best(
    scenery: &Scenery<'_>,
    patch: &Patch,
    given: Option<ViewFrom>,
    left_out: &(dyn Fn(ViewFrom) -> LeftOut + Sync),
) -> Worth {
    let mark = |from: ViewFrom| worth(scenery, patch, from, &left_out(from));
    if let Some(from) = given {
        return mark(from);
    }
    let start = patch.normal.x.atan2(patch.normal.z).to_degrees();
    let all: Vec<Worth> = directions(DIRECTIONS, start)
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(mark)
        .collect();
    let best_of = |steep: bool| {
        all.iter()
            .filter(|w| (w.from.elevation_deg.abs() > STEEP_DEG) == steep)
            .fold(None, |best: Option<Worth>, w| match best {
                Some(best) if best.worth >= w.worth => Some(best),
                _ => Some(*w),
            })
    };
    // Where nothing is seen from anywhere, what stands straight before the patch is told.
    let rise = patch.normal.y.clamp(-1.0, 1.0).asin().to_degrees();
    let straight_on = mark(ViewFrom {
        azimuth_deg: start,
        elevation_deg: rise.clamp(-STEEP_DEG, STEEP_DEG),
    });
    let first = best_of(false).filter(|w| w.worth > 0.0);
    let level = bettered(first.unwrap_or(straight_on), STEEP_DEG, &mark);
    if level.seen >= ENOUGH {
        return level;
    }
    match best_of(true).map(|steep| bettered(steep, STEEPEST_DEG, &mark)) {
        Some(steep) if steep.seen >= level.seen + GAIN => steep,
        _ => level,
    }
}

/// Steps to better directions nearby, as long as there are any; then rounds.
fn bettered(start: Worth, highest_deg: f64, mark: &(dyn Fn(ViewFrom) -> Worth + Sync)) -> Worth {
    let mut best = start;
    for step in STEPS_DEG {
        loop {
            let wide = step / best.from.elevation_deg.to_radians().cos().max(0.1);
            let steps = [(wide, 0.0), (-wide, 0.0), (0.0, step), (0.0, -step)];
            let nearby = steps.map(|(turn, rise)| {
                let elevation = best.from.elevation_deg + rise;
                mark(ViewFrom {
                    azimuth_deg: best.from.azimuth_deg + turn,
                    elevation_deg: elevation.clamp(-highest_deg, highest_deg),
                })
            });
            let next = nearby.into_iter().fold(best, |best, found| {
                if found.worth > best.worth + 1e-9 {
                    found
                } else {
                    best
                }
            });
            if next == best {
                break;
            }
            best = next;
        }
    }
    let tenth = |deg: f64| (deg * TENTH).round() / TENTH;
    mark(ViewFrom {
        azimuth_deg: tenth(around(best.from.azimuth_deg)),
        elevation_deg: tenth(best.from.elevation_deg),
    })
}
