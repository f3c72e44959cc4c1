//! Raised Roman capitals from a font outline, set round a band or a ring.

use std::collections::BTreeMap;

use glam::{DVec2, dvec2};
use ttf_parser::{Face, OutlineBuilder};

use crate::field::Field;

/// Capitals of EB Garamond 12 Regular, lining figures (SIL Open Font Licence; see `font/`).
static CAPITALS: &[u8] = include_bytes!("font/EBGaramond12-Regular-capitals.otf");

/// One letter in its place: x of its left side on the line, and its distance field.
struct Placed {
    letter: char,
    x: f64,
    worn: f64,
}

/// A set line of capitals.
pub struct Line {
    placed: Vec<Placed>,
    shapes: BTreeMap<char, Shape>,
    /// Bars over letters: from, to.
    bars: Vec<[f64; 2]>,
    pub length_mm: f64,
    cap_mm: f64,
}

struct Shape {
    field: Field,
    width: f64,
}

struct Pen {
    scale: f64,
    outlines: Vec<Vec<DVec2>>,
}

impl Pen {
    fn point(&self, x: f32, y: f32) -> DVec2 {
        dvec2(f64::from(x), f64::from(y)) * self.scale
    }

    fn last(&self) -> DVec2 {
        self.outlines
            .last()
            .and_then(|o| o.last())
            .copied()
            .unwrap_or(DVec2::ZERO)
    }

    fn push(&mut self, p: DVec2) {
        if let Some(outline) = self.outlines.last_mut() {
            outline.push(p);
        }
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        let p = self.point(x, y);
        self.outlines.push(vec![p]);
    }
    fn line_to(&mut self, x: f32, y: f32) {
        let p = self.point(x, y);
        self.push(p);
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (a, b, c) = (self.last(), self.point(x1, y1), self.point(x, y));
        for i in 1..=8 {
            let t = f64::from(i) / 8.0;
            self.push(a.lerp(b, t).lerp(b.lerp(c, t), t));
        }
    }
    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (a, b, c, d) = (
            self.last(),
            self.point(x1, y1),
            self.point(x2, y2),
            self.point(x, y),
        );
        for i in 1..=10 {
            let t = f64::from(i) / 10.0;
            let (ab, bc, cd) = (a.lerp(b, t), b.lerp(c, t), c.lerp(d, t));
            self.push(ab.lerp(bc, t).lerp(bc.lerp(cd, t), t));
        }
    }
    fn close(&mut self) {}
}

/// A cross with arms widening outwards, as founders set before a text.
fn cross(size: f64) -> Vec<Vec<DVec2>> {
    let mut outline = Vec::new();
    let half = size * 0.5;
    for quarter in 0..4 {
        let (c, s) = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][quarter];
        let turn = |p: DVec2| dvec2(p.x * c - p.y * s, p.x * s + p.y * c) + dvec2(half, half);
        // One arm to the right: narrow at the middle, curved sides, hollow end.
        for i in 0..=8 {
            let t = f64::from(i) / 8.0;
            outline.push(turn(dvec2(
                half * (0.12 + 0.88 * t),
                -half * (0.12 + 0.5 * t * t),
            )));
        }
        for i in 1..8 {
            let t = f64::from(i) / 4.0 - 1.0;
            outline.push(turn(dvec2(half * (0.9 + 0.1 * t * t), half * 0.62 * t)));
        }
        for i in 0..=8 {
            let t = 1.0 - f64::from(i) / 8.0;
            outline.push(turn(dvec2(
                half * (0.12 + 0.88 * t),
                half * (0.12 + 0.5 * t * t),
            )));
        }
    }
    vec![outline]
}

impl Line {
    /// Sets `text` with capitals `cap_mm` high. If `fill_mm` is given the letters
    /// are spaced out to fill exactly that length. `worn` gives wear (0 to 1) by
    /// character place; `bar` is a range of character places under one bar.
    pub fn set(
        text: &str,
        cap_mm: f64,
        fill_mm: Option<f64>,
        worn: &[(usize, f64)],
        bar: Option<[usize; 2]>,
    ) -> Result<Self, String> {
        let face = Face::parse(CAPITALS, 0).map_err(|e| format!("font of the lettering: {e}"))?;
        let cap_units = face.capital_height().filter(|h| *h > 0).unwrap_or(650);
        let scale = cap_mm / f64::from(cap_units);
        let mut shapes = BTreeMap::new();
        let mut widths = Vec::new();
        for letter in text.chars() {
            let width = if letter == ' ' {
                cap_mm * 0.16
            } else if let Some(shape) = shapes.get(&letter) {
                let Shape { width, .. } = shape;
                *width
            } else {
                let shape = shape_of(&face, letter, scale, cap_mm)?;
                let width = shape.width;
                shapes.insert(letter, shape);
                width
            };
            widths.push(width);
        }
        let natural: f64 = widths.iter().sum();
        let gap = fill_mm.map_or(cap_mm * 0.12, |fill| (fill - natural) / widths.len() as f64);
        let mut placed = Vec::new();
        let mut x = 0.0;
        for (i, letter) in text.chars().enumerate() {
            let wear = worn.iter().find(|w| w.0 == i).map_or(0.0, |w| w.1);
            placed.push(Placed {
                letter,
                x,
                worn: wear,
            });
            x += widths[i] + gap;
        }
        let bars = bar
            .iter()
            .map(|[a, b]| [placed[*a].x + 0.6, placed[*b].x + widths[*b] - 0.4])
            .collect();
        Ok(Self {
            placed,
            shapes,
            bars,
            length_mm: x,
            cap_mm,
        })
    }

    /// Distance inside the letters at `p` (x along the line, y up from the base line), and the wear there.
    pub fn inside(&self, p: DVec2) -> (f64, f64) {
        let mut best = (-4.0, 0.0);
        for placed in &self.placed {
            if p.x < placed.x - 2.0 || p.x > placed.x + self.cap_mm * 1.6 {
                continue;
            }
            if let Some(shape) = self.shapes.get(&placed.letter) {
                let d = shape.field.at(p - dvec2(placed.x, 0.0));
                if d > best.0 {
                    best = (d, placed.worn);
                }
            }
        }
        for bar in &self.bars {
            let y = self.cap_mm * 1.24;
            let d =
                0.07 * self.cap_mm - crate::field::segment(p, dvec2(bar[0], y), dvec2(bar[1], y)).0;
            if d > best.0 {
                best = (d, 0.0);
            }
        }
        best
    }

    /// Middle of the letter at a character place, on the line.
    pub fn middle(&self, place: usize) -> f64 {
        let p = &self.placed[place];
        p.x + self.shapes.get(&p.letter).map_or(0.0, |s| s.width * 0.5)
    }
}

fn shape_of(face: &Face, letter: char, scale: f64, cap_mm: f64) -> Result<Shape, String> {
    if letter == '✠' {
        let size = cap_mm * 0.96;
        return Ok(Shape {
            field: Field::of(&cross(size), cap_mm / 90.0, 1.0),
            width: size,
        });
    }
    let id = face
        .glyph_index(letter)
        .ok_or_else(|| format!("the font of the lettering has no glyph for {letter:?}"))?;
    let mut pen = Pen {
        scale,
        outlines: Vec::new(),
    };
    face.outline_glyph(id, &mut pen)
        .ok_or_else(|| format!("the glyph for {letter:?} has no outline"))?;
    let width = f64::from(face.glyph_hor_advance(id).unwrap_or(0)) * scale;
    Ok(Shape {
        field: Field::of(&pen.outlines, cap_mm / 90.0, 1.0),
        width,
    })
}
