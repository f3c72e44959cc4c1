//! Letters in the margins of a plate, tied to the surface by lines that do not cross.
//!
//! One-sided boundary labelling with ports on a vertical line, done for the left and the right
//! margin (Bekos, Kaufmann, Symvonis and Wolff, "Boundary labeling: models and efficient
//! algorithms for rectangular maps", Computational Geometry 36, 2007). A leader runs level from
//! its letter to the knee and from there straight to its point. Letters begin in the order of their
//! points; while two leaders cross, their letters change places. Each change shortens the total
//! length of the lines, so the changes come to an end, and at the end nothing crosses. Points go to
//! the margin of their half, and those nearest the middle change over when one margin is full: an
//! upright line still parts them, so lines from different margins cannot cross either.

/// A point of the surface in the view box of the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

/// A letter's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Label {
    pub(crate) margin: Margin,
    pub(crate) letter: Point,
    pub(crate) knee: Point,
}

/// Which margin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Margin {
    Left,
    Right,
}

impl Margin {
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
    /// Strip at the foot that belongs to the scale bar.
    pub(crate) foot: f64,
}

impl Sheet {
    /// From the highest place of a letter to the lowest.
    fn room(&self) -> f64 {
        (self.height - self.foot - self.spacing).max(0.0)
    }

    /// Distance between the letters of a margin that holds so many.
    fn spacing_of(&self, count: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a count of letters")]
        let gaps = count.saturating_sub(1).max(1) as f64;
        self.spacing.min(self.room() / gaps)
    }
}

/// All letters of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Lettering {
    /// In the order of the points.
    pub(crate) labels: Vec<Label>,
    /// The least distance between two letters of one margin: less than the sheet's when it is full.
    pub(crate) spacing: f64,
}

/// Places a letter for every point; the answer is in the order of `points`.
pub(crate) fn letters(points: &[Point], sheet: &Sheet) -> Lettering {
    let mut margins: Vec<Margin> = points
        .iter()
        .map(|p| {
            if p.x < sheet.width / 2.0 {
                Margin::Left
            } else {
                Margin::Right
            }
        })
        .collect();
    balance(points, sheet, &mut margins);
    let mut labels: Vec<Option<Label>> = vec![None; points.len()];
    let mut spacing = sheet.spacing;
    for margin in [Margin::Left, Margin::Right] {
        let members: Vec<usize> = (0..points.len())
            .filter(|&i| margins[i] == margin)
            .collect();
        spacing = spacing.min(sheet.spacing_of(members.len()));
        for (index, label) in one_margin(points, &members, margin, sheet) {
            labels[index] = Some(label);
        }
    }
    Lettering {
        // Every point was given a margin above, so every label is filled.
        labels: labels.into_iter().flatten().collect(),
        spacing,
    }
}

/// Moves the points nearest the middle to the other margin while one margin has too many letters.
fn balance(points: &[Point], sheet: &Sheet, margins: &mut [Margin]) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small count of lines"
    )]
    let room = (sheet.room() / sheet.spacing) as usize + 1;
    // Where both margins are full, they share what is too much.
    let room = room.max(points.len().div_ceil(2));
    for (from, to) in [(Margin::Left, Margin::Right), (Margin::Right, Margin::Left)] {
        let mut members: Vec<usize> = (0..points.len()).filter(|&i| margins[i] == from).collect();
        if members.len() <= room {
            continue;
        }
        let from_middle = |i: usize| (points[i].x - sheet.width / 2.0).abs();
        members.sort_by(|&a, &b| from_middle(a).total_cmp(&from_middle(b)));
        let surplus = members.len() - room;
        let free = room.saturating_sub(points.len() - members.len());
        for &index in members.iter().take(surplus.min(free)) {
            margins[index] = to;
        }
    }
}

fn one_margin(
    points: &[Point],
    members: &[usize],
    margin: Margin,
    sheet: &Sheet,
) -> Vec<(usize, Label)> {
    let mut order = members.to_vec();
    order.sort_by(|&a, &b| points[a].y.total_cmp(&points[b].y).then(a.cmp(&b)));
    let wanted: Vec<f64> = order.iter().map(|&i| points[i].y).collect();
    let heights = spread(&wanted, sheet);
    let (letter_x, knee_x) = match margin {
        Margin::Left => (sheet.inset, sheet.knee),
        Margin::Right => (sheet.width - sheet.inset, sheet.width - sheet.knee),
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
                    margin,
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
    let highest = sheet.spacing / 2.0;
    let spacing = sheet.spacing_of(count);
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
    let lowest = highest + sheet.room() - at(count - 1) * spacing;
    let mut out = Vec::with_capacity(count);
    for (sum, members) in blocks {
        let base = (sum / at(members)).clamp(highest, lowest.max(highest));
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

    /// A sheet of the size that is used, with letters of `EM` and up to two of them.
    const SHEET: Sheet = Sheet {
        width: 1600.0,
        height: 1280.0,
        inset: 52.0,
        knee: 104.0,
        spacing: 66.0,
        foot: 80.0,
    };
    /// Half the width of two italic letters, as a share of their size: wider than any pair.
    const HALF_PAIR: f64 = 0.62;

    /// A fixed sequence of numbers in 0..1 (Knuth's 64-bit linear congruential constants).
    fn random(state: &mut u64) -> f64 {
        *state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (*state >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Whether a segment enters a box, given by its middle and half its size: the slab test.
    fn enters(a: Point, b: Point, middle: Point, half: [f64; 2]) -> bool {
        let (mut from, mut to) = (0.0f64, 1.0f64);
        for (start, end, mid, half) in
            [(a.x, b.x, middle.x, half[0]), (a.y, b.y, middle.y, half[1])]
        {
            let along = end - start;
            if along.abs() < 1e-12 {
                if (start - mid).abs() > half {
                    return false;
                }
                continue;
            }
            let (s, t) = ((mid - half - start) / along, (mid + half - start) / along);
            from = from.max(s.min(t));
            to = to.min(s.max(t));
        }
        from < to
    }

    fn judged(points: &[Point]) {
        let Lettering { labels, spacing } = letters(points, &SHEET);
        assert_eq!(labels.len(), points.len());
        // As the stylesheet sets them: see `Plate::crowded`.
        let em = if spacing < SHEET.spacing { 39.0 } else { 62.0 };
        let half = [HALF_PAIR * em, em / 2.0];
        let lines = |i: usize| {
            [
                (labels[i].letter, labels[i].knee),
                (labels[i].knee, points[i]),
            ]
        };
        for (i, own) in labels.iter().enumerate() {
            let (top, bottom) = (own.letter.y - half[1], own.letter.y + half[1]);
            assert!(top >= 0.0 && bottom <= SHEET.height - SHEET.foot, "{own:?}");
            assert!((own.letter.x - SHEET.width / 2.0).abs() + half[0] < SHEET.width / 2.0);
            for (j, other) in labels.iter().enumerate() {
                if i == j {
                    continue;
                }
                let apart = (own.letter.y - other.letter.y).abs();
                assert!(
                    own.margin != other.margin || apart >= em,
                    "letters overlap: {apart}"
                );
                for (a, b) in lines(j) {
                    assert!(
                        !enters(a, b, own.letter, half),
                        "a line runs through a letter"
                    );
                    // Both margins, both stretches of both lines.
                    for line in lines(i) {
                        assert!(!crosses(line, (a, b)), "{own:?} crosses {other:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn no_crossings_and_no_overlaps_for_5_to_60_points() {
        let mut state = 7;
        for count in 5..=60 {
            for round in 0..20 {
                // All over the sheet; all in one half; all at one height.
                let (wide, high) = match round % 4 {
                    0 | 1 => (1.0, 1.0),
                    2 => (0.45, 1.0),
                    _ => (1.0, 0.05),
                };
                let points: Vec<Point> = (0..count)
                    .map(|_| Point {
                        x: 192.0 + 1216.0 * wide * random(&mut state),
                        y: 77.0 + 1126.0 * (1.0 - high * random(&mut state)),
                    })
                    .collect();
                judged(&points);
            }
        }
    }

    #[test]
    fn a_single_letter_stands_level_with_its_point() {
        let labels = letters(&[Point { x: 300.0, y: 444.0 }], &SHEET).labels;
        assert_eq!(labels[0].letter, Point { x: 52.0, y: 444.0 });
        assert_eq!(labels[0].margin, Margin::Left);
    }
}
