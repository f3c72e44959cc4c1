//! Inner lines that keep clear of everything, and of themselves.

use super::marks::Around;
use super::{CLEAR_MM, INNER_MM, OUTLINE_MM, SHORTEST_MM};
use crate::profile::{Line, simplified};
use glam::DVec2;

/// Lines are judged at points so far apart. Between two of them a line may come nearer by half of
/// that, and straightening takes [`FINE_MM`] more: both are added to the distance asked for.
const EVERY_MM: f64 = 0.25;
const FINE_MM: f64 = 0.03;
const SLACK_MM: f64 = EVERY_MM / 2.0 + 2.0 * FINE_MM;
/// From middle to middle of two inner lines.
const BETWEEN_MM: f64 = CLEAR_MM + INNER_MM + SLACK_MM;
/// From the middle of an inner line to that of an outline.
const FROM_OUTLINE_MM: f64 = CLEAR_MM + (INNER_MM + OUTLINE_MM) / 2.0 + SLACK_MM;
/// From the middle of an inner line to the box around a symbol and its letter.
const FROM_BOX_MM: f64 = CLEAR_MM + INNER_MM / 2.0 + SLACK_MM;
/// Along a line that turns back on itself in the tightest half circle allowed, one passes this much
/// between two points that face one another.
const ROUND: f64 = 1.6;

/// The stretches of these lines that keep clear of outlines, boxes and one another, those given
/// first before others; each with whether it closes.
pub(super) fn cleared(
    lines: Vec<(Line, bool)>,
    outlines: &[Line],
    boxes: &[Around],
) -> Vec<(Line, bool)> {
    let mut kept: Vec<Line> = Vec::new();
    let mut out = Vec::new();
    for (line, closed) in lines {
        if length_mm(&line) < SHORTEST_MM {
            continue;
        }
        let points = resampled(&line, closed);
        let free = |p: &DVec2| {
            outlines
                .iter()
                .all(|other| off_closed(*p, other) >= FROM_OUTLINE_MM)
                && boxes.iter().all(|around| around.off_mm(*p) >= FROM_BOX_MM)
                && kept.iter().all(|other| off_open(*p, other) >= BETWEEN_MM)
        };
        let free: Vec<bool> = points.iter().map(free).collect();
        let whole = closed && free.iter().all(|f| *f);
        let mut stretches = Vec::new();
        for stretch in runs(&points, &free, closed) {
            stretches.extend(unfolded(stretch, whole));
        }
        for (stretch, closes) in stretches {
            // Stretches of one line are judged against one another as well.
            let apart = |p: &DVec2| kept.iter().all(|other| off_open(*p, other) >= BETWEEN_MM);
            if length_mm(&stretch) < SHORTEST_MM || !stretch.iter().all(apart) {
                continue;
            }
            let mut fine = simplified(&stretch, false, FINE_MM);
            if closes {
                out.push((fine.clone(), true));
                fine.extend(fine.first().copied());
            } else {
                out.push((fine.clone(), false));
            }
            kept.push(fine);
        }
    }
    out
}

fn length_mm(line: &[DVec2]) -> f64 {
    line.windows(2).map(|two| two[0].distance(two[1])).sum()
}

/// Points along a line, no further apart than [`EVERY_MM`].
fn resampled(line: &[DVec2], closed: bool) -> Line {
    let back = line.first().filter(|_| closed);
    let ends: Vec<DVec2> = line.iter().chain(back).copied().collect();
    let mut out: Line = Vec::new();
    for two in ends.windows(2) {
        let steps = (two[0].distance(two[1]) / EVERY_MM).ceil().max(1.0);
        let mut i = 0.0;
        while i < steps {
            out.push(two[0].lerp(two[1], i / steps));
            i += 1.0;
        }
    }
    out.extend(ends.last().filter(|_| !closed));
    out
}

/// Stretches of points that are free. On a closed line the first may continue the last.
fn runs(points: &[DVec2], free: &[bool], closed: bool) -> Vec<Line> {
    // Begin after a point that is not free, so that no stretch is cut by the list's own ends.
    let start = if closed {
        free.iter().position(|f| !f).unwrap_or(0)
    } else {
        0
    };
    let mut out = vec![Line::new()];
    for i in (start..points.len()).chain(0..start) {
        if free[i] {
            if let Some(last) = out.last_mut() {
                last.push(points[i]);
            }
        } else if out.last().is_some_and(|last| !last.is_empty()) {
            out.push(Line::new());
        }
    }
    out.retain(|stretch| stretch.len() > 1);
    out
}

/// Cuts a stretch where it comes too near to an earlier part of itself; `whole` is a closed line, of
/// which the end may near the beginning.
fn unfolded(stretch: Line, whole: bool) -> Vec<(Line, bool)> {
    let mut along = vec![0.0];
    for two in stretch.windows(2) {
        along.push(along[along.len() - 1] + two[0].distance(two[1]));
    }
    let total = along[along.len() - 1];
    let near = |i: usize, j: usize| {
        let way = along[j] - along[i];
        let way = if whole { way.min(total - way) } else { way };
        way > ROUND * BETWEEN_MM && stretch[i].distance(stretch[j]) < BETWEEN_MM
    };
    let mut from = 0;
    let mut out = Vec::new();
    for j in 0..stretch.len() {
        if (from..j).any(|i| near(i, j)) {
            out.push((stretch[from..j].to_vec(), false));
            from = j;
        }
    }
    if from == 0 {
        return vec![(stretch, whole)];
    }
    out.push((stretch[from..].to_vec(), false));
    out
}

/// Distance of a point from a line through these points.
pub(super) fn off_open(p: DVec2, line: &[DVec2]) -> f64 {
    let pairs = line.windows(2).map(|two| off(p, two[0], two[1]));
    pairs.fold(f64::INFINITY, f64::min)
}

/// As [`off_open`], with the last point tied to the first.
pub(super) fn off_closed(p: DVec2, line: &[DVec2]) -> f64 {
    match line {
        [first, .., last] => off_open(p, line).min(off(p, *last, *first)),
        _ => f64::INFINITY,
    }
}

fn off(p: DVec2, a: DVec2, b: DVec2) -> f64 {
    let along = b - a;
    let share = (p - a).dot(along) / along.length_squared().max(f64::MIN_POSITIVE);
    p.distance(a + along * share.clamp(0.0, 1.0))
}
