//! Puts flat charts side by side on one square sheet, as large as they will go.
//!
//! The sheet is a grid of blocks; each chart, the largest first, takes the lowest place at which
//! its blocks are free, lying or standing (bottom-left placement: Baker, Coffman and Rivest,
//! "Orthogonal packings in two dimensions", SIAM Journal on Computing 9, 1980, with true outlines
//! for rectangles).

use super::flat::Flat;
use crate::mesh::Mesh;
use glam::DVec2;

/// Blocks along the sheet.
const BLOCKS: usize = 256;
const WORDS: usize = BLOCKS / 64;
/// Clear space around a chart, in blocks: half a block on either side.
const CLEAR: f64 = 0.5;
/// The first try: the boxes of all charts would fill the sheet so many times, squared.
const LARGEST: f64 = 1.35;
/// Charts that a sheet can hold, at most: each takes four blocks or more.
const MOST: usize = 4000;
/// Times that a smaller scale is tried.
const TRIES: usize = 200;
/// What is tried next when the charts do not fit.
const SMALLER: f64 = 0.97;

/// Where a chart lies on the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slot {
    /// Corner of the chart's box, in shares of the sheet.
    corner: DVec2,
    /// Height of the chart's box, in shares of the sheet, when it stands.
    turned: Option<f64>,
    /// Shares of the sheet per millimetre.
    scale: f64,
}

impl Slot {
    /// A place in the chart's plane, millimetres → on the sheet, 0..1.
    pub(super) fn place(&self, p: DVec2) -> DVec2 {
        let p = p * self.scale;
        self.corner
            + match self.turned {
                None => p,
                // A quarter turn, no mirror.
                Some(height) => DVec2::new(height - p.y, p.x),
            }
    }
}

/// Rows of bits.
type Rows = Vec<[u64; WORDS]>;

/// Places for charts of several meshes on one sheet; `None` when there are too many.
pub(super) fn pack(charts: &[(&Mesh, &Flat)]) -> Option<Vec<Slot>> {
    if charts.len() > MOST {
        return None;
    }
    let area: f64 = charts.iter().map(|(_, f)| f.size.element_product()).sum();
    let longest = charts
        .iter()
        .map(|(_, f)| f.size.max_element())
        .fold(0.0, f64::max);
    let mut order: Vec<usize> = (0..charts.len()).collect();
    order.sort_by(|a, b| {
        let size = |i: usize| charts[i].1.size.max_element();
        size(*b).total_cmp(&size(*a)).then(a.cmp(b))
    });
    // Blocks per millimetre.
    #[expect(clippy::cast_precision_loss, reason = "256")]
    let blocks = BLOCKS as f64;
    // Outlines take up less than their boxes, so a little more than would fill the sheet is tried.
    let largest = (LARGEST * blocks / area.sqrt()).min((blocks - 2.0) / longest);
    let scales = std::iter::successors(Some(largest), |scale| Some(scale * SMALLER));
    scales
        .take_while(|scale| scale.is_finite())
        .take(TRIES)
        .find_map(|scale| attempt(charts, &order, scale))
}

fn attempt(charts: &[(&Mesh, &Flat)], order: &[usize], scale: f64) -> Option<Vec<Slot>> {
    let mut sheet: Rows = vec![[0; WORDS]; BLOCKS];
    let mut slots = vec![None; charts.len()];
    #[expect(clippy::cast_precision_loss, reason = "at most 256")]
    let share = |blocks: usize| blocks as f64 / BLOCKS as f64;
    for &index in order {
        let (mesh, flat) = charts[index];
        let height = flat.size.y * scale;
        let lying = outline(mesh, flat, scale, None);
        let standing = outline(mesh, flat, scale, Some(height));
        let found = [(None, &lying), (Some(height), &standing)]
            .into_iter()
            .filter_map(|(turned, rows)| {
                let (x, y) = free(&sheet, rows)?;
                Some((y + rows.len(), y, x, turned, rows))
            })
            .min_by_key(|(top, y, x, ..)| (*top, *y, *x));
        let (_, y, x, turned, rows) = found?;
        for (row, bits) in sheet[y..].iter_mut().zip(rows) {
            for (word, shifted) in row.iter_mut().zip(shift(bits, x)) {
                *word |= shifted;
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "256")]
        let blocks = BLOCKS as f64;
        slots[index] = Some(Slot {
            corner: DVec2::new(share(x), share(y)) + CLEAR / blocks,
            turned: turned.map(|h: f64| h / blocks),
            scale: scale / blocks,
        });
    }
    slots.into_iter().collect()
}

/// The blocks that a chart and the clear space around it touch, from its lowest corner.
fn outline(mesh: &Mesh, flat: &Flat, scale: f64, turned: Option<f64>) -> Rows {
    let size = flat.size * scale + 2.0 * CLEAR;
    let size = if turned.is_some() {
        DVec2::new(size.y, size.x)
    } else {
        size
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few hundred blocks"
    )]
    let mut rows: Rows = vec![[0; WORDS]; size.y.ceil().max(1.0) as usize];
    for &face in &flat.faces {
        let corners = flat.corners(mesh, face).map(|p| {
            let p = p * scale;
            CLEAR
                + match turned {
                    None => p,
                    Some(height) => DVec2::new(height - p.y, p.x),
                }
        });
        touched(corners, |x, y| {
            if x < BLOCKS && y < rows.len() {
                rows[y][x / 64] |= 1 << (x % 64);
            }
        });
    }
    rows
}

/// Calls for every block that a triangle, widened by the clear space, may touch.
fn touched(corners: [DVec2; 3], mut take: impl FnMut(usize, usize)) {
    let [a, b, c] = corners;
    let low = (a.min(b).min(c) - CLEAR).max(DVec2::ZERO);
    let high = a.max(b).max(c) + CLEAR;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "not negative, a few hundred blocks"
    )]
    let (x0, y0, x1, y1) = (
        low.x as usize,
        low.y as usize,
        high.x.ceil() as usize,
        high.y.ceil() as usize,
    );
    let turn = (b - a).perp_dot(c - a).signum();
    // A block is outside when, seen from an edge, the whole of it and its clear space is.
    let half = 0.5 + CLEAR;
    let outside = |from: DVec2, to: DVec2, middle: DVec2| {
        let edge = (to - from) * turn;
        let reach = half * (edge.x.abs() + edge.y.abs());
        edge.perp_dot(middle - from) < -reach
    };
    for y in y0..y1 {
        for x in x0..x1 {
            #[expect(clippy::cast_precision_loss, reason = "a few hundred")]
            let middle = DVec2::new(x as f64 + 0.5, y as f64 + 0.5);
            if !(outside(a, b, middle) || outside(b, c, middle) || outside(c, a, middle)) {
                take(x, y);
            }
        }
    }
}

/// The lowest, then leftmost place at which all blocks are free.
fn free(sheet: &Rows, rows: &Rows) -> Option<(usize, usize)> {
    let width = rows.iter().map(width).max()?;
    if rows.len() > BLOCKS || width > BLOCKS || width == 0 {
        return (width == 0).then_some((0, 0));
    }
    // Small charts come last, when the lowest rows are full.
    let lowest = sheet
        .iter()
        .position(|row| row.iter().any(|w| *w != u64::MAX))?;
    (lowest..=BLOCKS - rows.len()).find_map(|y| {
        (0..=BLOCKS - width)
            .find(|&x| {
                rows.iter()
                    .zip(&sheet[y..])
                    .all(|(bits, row)| shift(bits, x).iter().zip(row).all(|(a, b)| a & b == 0))
            })
            .map(|x| (x, y))
    })
}

fn width(row: &[u64; WORDS]) -> usize {
    (0..WORDS)
        .rev()
        .find(|w| row[*w] != 0)
        .map_or(0, |w| 64 * w + 64 - row[w].leading_zeros() as usize)
}

/// The bits moved up by so many places.
fn shift(bits: &[u64; WORDS], by: usize) -> [u64; WORDS] {
    let (words, rest) = (by / 64, by % 64);
    std::array::from_fn(|w| {
        let at = |w: Option<usize>| w.map_or(0, |w| bits[w]);
        let high = at(w.checked_sub(words));
        let low = at(w.checked_sub(words + 1));
        if rest == 0 {
            high
        } else {
            high << rest | low >> (64 - rest)
        }
    })
}
