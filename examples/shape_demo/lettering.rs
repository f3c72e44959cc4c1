//! Raised Roman capitals: outlines of an open font, given sloping sides by their distance to
//! the outline.

use crate::maths::{TURN, cos, pow, sin};
use crate::relief::Relief;
use glam::DVec2;
use ttf_parser::{Face, GlyphId, OutlineBuilder};

/// The font beside this program (SIL Open Font License, see `font/OFL.txt`).
const FONT: &[u8] = include_bytes!("font/brackwater-capitals.otf");

/// One sign of a line of lettering, in millimetres along and above the line.
pub(crate) struct Sign {
    contours: Vec<Vec<DVec2>>,
    low: DVec2,
    high: DVec2,
}

/// A line of lettering that starts at 0 on its base line.
pub(crate) struct Line {
    pub(crate) signs: Vec<Sign>,
    /// From the start of the line to where the next sign would begin.
    pub(crate) width: f64,
}

impl Sign {
    fn new(contours: Vec<Vec<DVec2>>) -> Self {
        let all = || contours.iter().flatten();
        let low = all().fold(DVec2::INFINITY, |m, p| m.min(*p));
        let high = all().fold(DVec2::NEG_INFINITY, |m, p| m.max(*p));
        Self {
            contours,
            low,
            high,
        }
    }

    /// Middle of the sign's box.
    pub(crate) fn centre(&self) -> DVec2 {
        (self.low + self.high) * 0.5
    }

    /// Distance inward from the outline moved out by `swell`; nothing outside that.
    fn depth(&self, p: DVec2, swell: f64) -> Option<f64> {
        let room = DVec2::splat(swell);
        if p.cmplt(self.low - room).any() || p.cmpgt(self.high + room).any() {
            return None;
        }
        let (mut winding, mut nearest) = (0, f64::INFINITY);
        for contour in &self.contours {
            for i in 0..contour.len() {
                let (a, b) = (contour[i], contour[(i + 1) % contour.len()]);
                let along = b - a;
                let t = ((p - a).dot(along) / along.length_squared().max(1e-12)).clamp(0.0, 1.0);
                nearest = nearest.min(p.distance_squared(a + along * t));
                let left = along.perp_dot(p - a) > 0.0;
                if a.y <= p.y && b.y > p.y && left {
                    winding += 1;
                } else if a.y > p.y && b.y <= p.y && !left {
                    winding -= 1;
                }
            }
        }
        let inward = if winding == 0 {
            -nearest.sqrt()
        } else {
            nearest.sqrt()
        };
        Some(inward + swell).filter(|d| *d > 0.0)
    }
}

/// Sets `text` with capitals `cap_mm` high and `tracking_mm` between the signs.
///
/// `✠` is drawn as a cross pattée, `·` as a lozenge at half height; a sign followed by `\u{305}`
/// carries a bar, the mark of an abbreviation.
pub(crate) fn set(text: &str, cap_mm: f64, tracking_mm: f64) -> Line {
    let face = Face::parse(FONT, 0).expect("the font beside the program is sound");
    let cap = f64::from(face.capital_height().filter(|h| *h > 0).unwrap_or(650));
    let scale = cap_mm / cap;
    let mut line = Line {
        signs: Vec::new(),
        width: 0.0,
    };
    let mut bar_from = None;
    for letter in text.chars() {
        let start = line.width;
        let advance = match letter {
            ' ' => cap_mm * 0.16,
            '✠' => {
                line.signs.push(Sign::new(vec![cross(start, cap_mm)]));
                cap_mm
            }
            '·' => {
                let r = cap_mm * 0.12;
                line.signs
                    .push(Sign::new(vec![lozenge(start + r, cap_mm * 0.48, r)]));
                r * 2.0
            }
            // The bar stands over the sign before it and joins the bar before that one.
            '\u{305}' => {
                let from = bar_from.unwrap_or(start) + cap_mm * 0.02;
                line.signs
                    .push(Sign::new(vec![bar(from, start - tracking_mm, cap_mm)]));
                continue;
            }
            _ => {
                let glyph = face.glyph_index(letter).unwrap_or(GlyphId(0));
                let mut tracer = Tracer {
                    scale,
                    shift: DVec2::new(start, 0.0),
                    contours: Vec::new(),
                };
                face.outline_glyph(glyph, &mut tracer);
                line.signs.push(Sign::new(tracer.contours));
                f64::from(face.glyph_hor_advance(glyph).unwrap_or(0)) * scale
            }
        };
        bar_from = Some(start);
        line.width += advance + tracking_mm;
    }
    line
}

/// The relief of a line: `height_mm` high, with sides that slope over `slope_mm`.
pub(crate) fn raised(line: &Line, height_mm: f64, slope_mm: f64, cap_mm: f64, net: f64) -> Relief {
    let low = DVec2::new(-1.0, -cap_mm * 0.3);
    let high = DVec2::new(line.width + 1.0, cap_mm * 1.35);
    // Cast letters are sturdier than written ones.
    let swell = cap_mm * 0.02;
    Relief::sample(low, high, net, |p| {
        let deepest = line
            .signs
            .iter()
            .filter_map(|s| s.depth(p, swell))
            .fold(0.0, f64::max);
        height_mm * pow((deepest / slope_mm).min(1.0), 0.72)
    })
}

fn cross(x: f64, cap: f64) -> Vec<DVec2> {
    let centre = DVec2::new(x + cap * 0.5, cap * 0.5);
    let mut points = Vec::new();
    for arm in 0..4 {
        let turn = f64::from(arm) * TURN / 4.0;
        let (s, c) = (sin(turn), cos(turn));
        let mut put = |u: f64, v: f64| {
            points.push(centre + DVec2::new(u * c - v * s, u * s + v * c) * cap * 0.5);
        };
        // Each arm widens in a hollow curve to a slightly hollow end.
        put(0.13, -0.13);
        for i in 1..=6 {
            let t = f64::from(i) / 6.0;
            put(0.13 + 0.85 * t, -(0.1 + 0.34 * t * t));
        }
        put(0.9, 0.0);
        for i in (1..=6).rev() {
            let t = f64::from(i) / 6.0;
            put(0.13 + 0.85 * t, 0.1 + 0.34 * t * t);
        }
    }
    points
}

fn lozenge(x: f64, y: f64, r: f64) -> Vec<DVec2> {
    [(-r, 0.0), (0.0, -r), (r, 0.0), (0.0, r)]
        .map(|(dx, dy)| DVec2::new(x + dx, y + dy))
        .to_vec()
}

fn bar(from: f64, to: f64, cap: f64) -> Vec<DVec2> {
    let (low, high) = (cap * 1.1, cap * 1.24);
    vec![
        DVec2::new(from, low),
        DVec2::new(to, low),
        DVec2::new(to, high),
        DVec2::new(from, high),
    ]
}

/// Follows a glyph's outline, flattening its curves.
struct Tracer {
    scale: f64,
    shift: DVec2,
    contours: Vec<Vec<DVec2>>,
}

impl Tracer {
    fn point(&self, x: f32, y: f32) -> DVec2 {
        DVec2::new(f64::from(x), f64::from(y)) * self.scale + self.shift
    }

    fn push(&mut self, p: DVec2) {
        if let Some(contour) = self.contours.last_mut() {
            contour.push(p);
        }
    }

    fn last(&self) -> DVec2 {
        let point = self.contours.last().and_then(|c| c.last());
        point.copied().unwrap_or(self.shift)
    }
}

impl OutlineBuilder for Tracer {
    fn move_to(&mut self, x: f32, y: f32) {
        let p = self.point(x, y);
        self.contours.push(vec![p]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let p = self.point(x, y);
        self.push(p);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (a, b, c) = (self.last(), self.point(x1, y1), self.point(x, y));
        for i in 1..=6 {
            let t = f64::from(i) / 6.0;
            self.push(a.lerp(b, t).lerp(b.lerp(c, t), t));
        }
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (a, b) = (self.last(), self.point(x1, y1));
        let (c, d) = (self.point(x2, y2), self.point(x, y));
        for i in 1..=8 {
            let t = f64::from(i) / 8.0;
            let (ab, bc, cd) = (a.lerp(b, t), b.lerp(c, t), c.lerp(d, t));
            self.push(ab.lerp(bc, t).lerp(bc.lerp(cd, t), t));
        }
    }

    fn close(&mut self) {}
}
