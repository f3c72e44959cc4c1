//! Flat drawings and the heights made from them: outlines become distance
//! fields, brush strokes of changing width become rounded limbs.

use glam::{DVec2, dvec2};
use rayon::prelude::*;

/// Signed distance to an outline on a grid, in mm; positive inside.
pub struct Field {
    low: DVec2,
    step: f64,
    columns: usize,
    rows: usize,
    values: Vec<f64>,
}

/// Distance returned beyond the grid: clearly outside.
const FAR_MM: f64 = -4.0;

impl Field {
    /// Measures closed outlines (non-zero winding) with a margin round them.
    pub fn of(outlines: &[Vec<DVec2>], step: f64, margin: f64) -> Self {
        let points = outlines.iter().flatten();
        let (mut low, mut high) = (DVec2::splat(f64::MAX), DVec2::splat(f64::MIN));
        for p in points {
            low = low.min(*p);
            high = high.max(*p);
        }
        low -= margin;
        high += margin;
        let columns = ((high.x - low.x) / step) as usize + 2;
        let rows = ((high.y - low.y) / step) as usize + 2;
        let values = (0..rows * columns)
            .into_par_iter()
            .map(|i| {
                let p = low + dvec2((i % columns) as f64, (i / columns) as f64) * step;
                signed_distance(outlines, p)
            })
            .collect();
        Self {
            low,
            step,
            columns,
            rows,
            values,
        }
    }

    /// Distance at a point, positive inside.
    pub fn at(&self, p: DVec2) -> f64 {
        let g = (p - self.low) / self.step;
        if g.x < 0.0 || g.y < 0.0 {
            return FAR_MM;
        }
        let (x, y) = (g.x as usize, g.y as usize);
        if x + 1 >= self.columns || y + 1 >= self.rows {
            return FAR_MM;
        }
        let (tx, ty) = (g.x - x as f64, g.y - y as f64);
        let v = |x: usize, y: usize| self.values[y * self.columns + x];
        let a = v(x, y) * (1.0 - tx) + v(x + 1, y) * tx;
        let b = v(x, y + 1) * (1.0 - tx) + v(x + 1, y + 1) * tx;
        a * (1.0 - ty) + b * ty
    }
}

fn signed_distance(outlines: &[Vec<DVec2>], p: DVec2) -> f64 {
    let mut nearest = f64::MAX;
    let mut winding = 0;
    for outline in outlines {
        for i in 0..outline.len() {
            let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
            nearest = nearest.min(segment(p, a, b).0);
            let side = (b - a).perp_dot(p - a);
            if a.y <= p.y && b.y > p.y && side > 0.0 {
                winding += 1;
            } else if a.y > p.y && b.y <= p.y && side < 0.0 {
                winding -= 1;
            }
        }
    }
    if winding == 0 { -nearest } else { nearest }
}

/// Distance from `p` to a segment, and how far along it (0 to 1) the foot lies.
pub fn segment(p: DVec2, a: DVec2, b: DVec2) -> (f64, f64) {
    let along = b - a;
    let t = ((p - a).dot(along) / along.length_squared().max(1e-12)).clamp(0.0, 1.0);
    (p.distance(a + along * t), t)
}

/// A brush stroke along a smooth line, with a half width at each given point.
pub struct Stroke {
    line: Vec<(DVec2, f64)>,
    /// How high a fully wide stroke stands, per mm of half width.
    pub swell: f64,
    /// Height of the ground the stroke lies on.
    pub lift: f64,
    reach: (DVec2, f64),
}

impl Stroke {
    /// `through`: x, y, half width of each point the stroke passes.
    pub fn new(through: &[[f64; 3]], swell: f64, lift: f64) -> Self {
        let line = spline(through);
        let middle = line.iter().map(|p| p.0).sum::<DVec2>() / line.len() as f64;
        let far = line
            .iter()
            .map(|(p, r)| p.distance(middle) + r)
            .fold(0.0, f64::max);
        Self {
            line,
            swell,
            lift,
            reach: (middle, far),
        }
    }

    /// Distance to the spine and the half width there.
    pub fn near(&self, p: DVec2) -> (f64, f64) {
        if p.distance(self.reach.0) > self.reach.1 + 1.0 {
            return (f64::MAX, 1.0);
        }
        let mut best = (f64::MAX, 1.0);
        for pair in self.line.windows(2) {
            let (d, t) = segment(p, pair[0].0, pair[1].0);
            let r = pair[0].1 + (pair[1].1 - pair[0].1) * t;
            if d - r < best.0 - best.1 {
                best = (d, r);
            }
        }
        best
    }

    /// Rounded height at `p`; 0 outside.
    pub fn height(&self, p: DVec2) -> f64 {
        let (d, r) = self.near(p);
        if d >= r {
            return 0.0;
        }
        let q = d / r;
        let round = (1.0 - q * q).sqrt();
        // A short shoulder keeps the edge crisp yet not undercut.
        let shoulder = ((r - d) / 0.35).min(1.0);
        shoulder * (self.lift + self.swell * r * round)
    }
}

/// A smooth line through points (Catmull–Rom), eight steps a span.
fn spline(through: &[[f64; 3]]) -> Vec<(DVec2, f64)> {
    let last = through.len() - 1;
    let mut out = Vec::new();
    for i in 0..last {
        let p0 = through[i.saturating_sub(1)];
        let (p1, p2) = (through[i], through[i + 1]);
        let p3 = through[(i + 2).min(last)];
        for k in 0..8 {
            let t = f64::from(k) / 8.0;
            let v = |j: usize| {
                0.5 * (2.0 * p1[j]
                    + (p2[j] - p0[j]) * t
                    + (2.0 * p0[j] - 5.0 * p1[j] + 4.0 * p2[j] - p3[j]) * t * t
                    + (3.0 * p1[j] - p0[j] - 3.0 * p2[j] + p3[j]) * t * t * t)
            };
            out.push((dvec2(v(0), v(1)), v(2).max(0.02)));
        }
    }
    let end = through[last];
    out.push((dvec2(end[0], end[1]), end[2]));
    out
}

/// Union of heights with a soft crease between neighbours.
pub fn heap(strokes: &[Stroke], p: DVec2, crease: f64) -> f64 {
    let mut top: f64 = 0.0;
    for s in strokes {
        let h = s.height(p);
        if h > 0.0 {
            top = if top > 0.0 {
                -crate::noise::blend_min(-top, -h, crease)
            } else {
                h
            };
        }
    }
    top
}
