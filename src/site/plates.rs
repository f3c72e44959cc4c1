//! Letters in the margins of a plate, tied to the surface by lines that do not cross.
//!
//! One-sided boundary labelling with ports on a vertical line, done for the left and the right
//! margin (Bekos, Kaufmann, Symvonis and Wolff, "Boundary labeling: models and efficient
//! algorithms for rectangular maps", Computational Geometry 36, 2007). A leader runs level from
//! its letter to the knee and from there straight to its point. Letters begin in the order of their
//! points; while two leaders cross, their letters change places. Each change shortens the total
//! length of the lines, so the changes come to an end, and at the end nothing crosses.

/// A point of the surface in the view box of the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

/// A letter's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Label {
    pub(crate) side: Side,
    pub(crate) letter: Point,
    pub(crate) knee: Point,
}

/// Which margin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    Left,
    Right,
}

impl Side {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

/// Measures of the sheet, in view-box units.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet {
    pub(crate) width: f64,
    pub(crate) height: f64,
    /// Distance of a letter's centre from the edge.
    pub(crate) inset: f64,
    /// Distance of the knee from the edge.
    pub(crate) knee: f64,
    /// Least distance between two letters, one above the other.
    pub(crate) spacing: f64,
}

/// Places a letter for every point; the answer is in the order of `points`.
pub(crate) fn letters(points: &[Point], sheet: &Sheet) -> Vec<Label> {
    let mut sides: Vec<Side> = points
        .iter()
        .map(|p| {
            if p.x < sheet.width / 2.0 {
                Side::Left
            } else {
                Side::Right
            }
        })
        .collect();
    balance(points, sheet, &mut sides);
    let mut labels: Vec<Option<Label>> = vec![None; points.len()];
    for side in [Side::Left, Side::Right] {
        let members: Vec<usize> = (0..points.len()).filter(|&i| sides[i] == side).collect();
        for (index, label) in one_side(points, &members, side, sheet) {
            labels[index] = Some(label);
        }
    }
    // Every point was given a side above, so every label is filled.
    labels.into_iter().flatten().collect()
}

/// Moves the points nearest the middle to the other margin while one margin has too many letters.
fn balance(points: &[Point], sheet: &Sheet, sides: &mut [Side]) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small count of lines"
    )]
    let room = ((sheet.height - sheet.spacing) / sheet.spacing).max(1.0) as usize;
    for (from, to) in [(Side::Left, Side::Right), (Side::Right, Side::Left)] {
        let mut members: Vec<usize> = (0..points.len()).filter(|&i| sides[i] == from).collect();
        if members.len() <= room {
            continue;
        }
        let from_middle = |i: usize| (points[i].x - sheet.width / 2.0).abs();
        members.sort_by(|&a, &b| from_middle(a).total_cmp(&from_middle(b)));
        let surplus = members.len() - room;
        let free = room.saturating_sub(points.len() - members.len());
        for &index in members.iter().take(surplus.min(free)) {
            sides[index] = to;
        }
    }
}

fn one_side(points: &[Point], members: &[usize], side: Side, sheet: &Sheet) -> Vec<(usize, Label)> {
    let mut order = members.to_vec();
    order.sort_by(|&a, &b| points[a].y.total_cmp(&points[b].y).then(a.cmp(&b)));
    let wanted: Vec<f64> = order.iter().map(|&i| points[i].y).collect();
    let heights = spread(&wanted, sheet);
    let (letter_x, knee_x) = match side {
        Side::Left => (sheet.inset, sheet.knee),
        Side::Right => (sheet.width - sheet.inset, sheet.width - sheet.knee),
    };
    uncross(points, &mut order, &heights, knee_x);
    order
        .iter()
        .zip(&heights)
        .map(|(&index, &y)| {
            let letter = Point { x: letter_x, y };
            (
                index,
                Label {
                    side,
                    letter,
                    knee: Point { x: knee_x, y },
                },
            )
        })
        .collect()
}

/// Heights as near as possible to those wanted (least squares), at least the spacing apart and
/// within the sheet: the pool-adjacent-violators algorithm (Ayer and others, Annals of
/// Mathematical Statistics 26, 1955) on `wanted[i] − i · spacing`.
fn spread(wanted: &[f64], sheet: &Sheet) -> Vec<f64> {
    let count = wanted.len();
    if count == 0 {
        return Vec::new();
    }
    #[expect(clippy::cast_precision_loss, reason = "a count of letters")]
    let at = |i: usize| i as f64;
    let margin = sheet.spacing / 2.0;
    let room = sheet.height - 2.0 * margin;
    let spacing = if count > 1 {
        sheet.spacing.min(room / at(count - 1))
    } else {
        sheet.spacing
    };
    // (sum, members) of each pooled block, in order.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (i, y) in wanted.iter().enumerate() {
        blocks.push((y - at(i) * spacing, 1));
        while let [.., (a_sum, a), (b_sum, b)] = blocks[..] {
            if a_sum / at(a) <= b_sum / at(b) {
                break;
            }
            blocks.truncate(blocks.len() - 2);
            blocks.push((a_sum + b_sum, a + b));
        }
    }
    let highest = sheet.height - margin - at(count - 1) * spacing;
    let mut out = Vec::with_capacity(count);
    for (sum, members) in blocks {
        let base = (sum / at(members)).clamp(margin, highest.max(margin));
        for _ in 0..members {
            out.push(base + at(out.len()) * spacing);
        }
    }
    out
}

fn uncross(points: &[Point], order: &mut [usize], heights: &[f64], knee_x: f64) {
    let leader = |index: usize, y: f64| (Point { x: knee_x, y }, points[index]);
    // Each exchange shortens the sum of lengths and there are finitely many orders; the bound only
    // guards against rounding at exactly equal lengths.
    for _ in 0..order.len() * order.len() + 1 {
        let mut changed = false;
        for i in 0..order.len() {
            for j in i + 1..order.len() {
                if crosses(leader(order[i], heights[i]), leader(order[j], heights[j])) {
                    order.swap(i, j);
                    changed = true;
                }
            }
        }
        if !changed {
            return;
        }
    }
}

/// Whether two segments cross at an inner point of both.
fn crosses(a: (Point, Point), b: (Point, Point)) -> bool {
    let turn = |p: Point, q: Point, r: Point| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    let apart = |s: f64, t: f64| (s > 0.0 && t < 0.0) || (s < 0.0 && t > 0.0);
    apart(turn(a.0, a.1, b.0), turn(a.0, a.1, b.1))
        && apart(turn(b.0, b.1, a.0), turn(b.0, b.1, a.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: Sheet = Sheet {
        width: 1200.0,
        height: 1000.0,
        inset: 40.0,
        knee: 70.0,
        spacing: 30.0,
    };

    /// A fixed sequence of numbers in 0..1 (Knuth's 64-bit linear congruential constants).
    fn random(state: &mut u64) -> f64 {
        *state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (*state >> 11) as f64 / (1u64 << 53) as f64
    }

    #[test]
    fn no_crossings_and_no_overlaps_for_5_to_60_points() {
        let mut state = 7;
        for count in 5..=60 {
            for _ in 0..20 {
                let points: Vec<Point> = (0..count)
                    .map(|_| Point {
                        x: 150.0 + 900.0 * random(&mut state),
                        y: 50.0 + 900.0 * random(&mut state),
                    })
                    .collect();
                let labels = letters(&points, &SHEET);
                assert_eq!(labels.len(), count);
                for i in 0..count {
                    let y = labels[i].letter.y;
                    assert!(
                        (0.0..=SHEET.height).contains(&y),
                        "a letter at {y} is off the sheet"
                    );
                    for j in i + 1..count {
                        let (a, b) = (labels[i], labels[j]);
                        if a.side == b.side {
                            assert!((a.letter.y - b.letter.y).abs() > 29.0, "letters overlap");
                        }
                        assert!(
                            !crosses((a.knee, points[i]), (b.knee, points[j])) || a.side != b.side
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn a_single_letter_stands_level_with_its_point() {
        let labels = letters(&[Point { x: 300.0, y: 444.0 }], &SHEET);
        assert_eq!(labels[0].letter, Point { x: 40.0, y: 444.0 });
        assert_eq!(labels[0].side, Side::Left);
    }
}
