//! Drawn paths with a breadth: a spline through knots, each with its own half-width.

use crate::maths::{half_round, smooth_max};
use glam::DVec2;

/// Points of the spline between two knots.
const STEPS: usize = 10;

/// A stroke that swells and tapers along its path.
#[derive(Clone)]
pub(crate) struct Stroke {
    points: Vec<(DVec2, f64)>,
    low: DVec2,
    high: DVec2,
    /// Relief of the ridge, millimetres.
    height: f64,
    /// Grooves across half the breadth, as in hair; 0 for none.
    strands: f64,
}

/// Where a point lies against a stroke.
#[derive(Clone, Copy)]
pub(crate) struct Hit {
    /// Distance over half-width: 0 on the path, 1 at the edge.
    pub(crate) ratio: f64,
    /// The same with a sign: negative to the right of the path.
    pub(crate) side: f64,
    /// Half-width there.
    pub(crate) half_width: f64,
}

impl Stroke {
    /// A stroke through `[x, y, half-width]` knots (Catmull–Rom spline).
    pub(crate) fn new(height: f64, knots: &[[f64; 3]]) -> Self {
        let knot = |i: isize| knots[i.clamp(0, knots.len() as isize - 1) as usize];
        let mut points = Vec::new();
        for i in 0..knots.len() as isize - 1 {
            let last = i == knots.len() as isize - 2;
            for step in 0..STEPS + usize::from(last) {
                let t = step as f64 / STEPS as f64;
                let v: [f64; 3] = std::array::from_fn(|c| {
                    spline(
                        [knot(i - 1)[c], knot(i)[c], knot(i + 1)[c], knot(i + 2)[c]],
                        t,
                    )
                });
                points.push((DVec2::new(v[0], v[1]), v[2].max(0.05)));
            }
        }
        let mut low = DVec2::INFINITY;
        let mut high = DVec2::NEG_INFINITY;
        for (p, r) in &points {
            low = low.min(*p - DVec2::splat(*r));
            high = high.max(*p + DVec2::splat(*r));
        }
        Self {
            points,
            low,
            high,
            height,
            strands: 0.0,
        }
    }

    /// The same stroke combed with grooves.
    pub(crate) fn combed(mut self, strands: f64) -> Self {
        self.strands = strands;
        self
    }

    /// The stroke mirrored left to right.
    pub(crate) fn mirrored(&self) -> Self {
        let mut other = self.clone();
        for (p, _) in &mut other.points {
            p.x = -p.x;
        }
        (other.low.x, other.high.x) = (-self.high.x, -self.low.x);
        other
    }

    /// Where `p` lies, when it is within `margin` of the stroke's box.
    pub(crate) fn hit(&self, p: DVec2, margin: f64) -> Option<Hit> {
        let m = DVec2::splat(margin);
        if p.cmplt(self.low - m).any() || p.cmpgt(self.high + m).any() {
            return None;
        }
        let mut best = Hit {
            ratio: f64::INFINITY,
            side: 0.0,
            half_width: 1.0,
        };
        for pair in self.points.windows(2) {
            let ((a, ra), (b, rb)) = (pair[0], pair[1]);
            let along = b - a;
            let t = ((p - a).dot(along) / along.length_squared().max(1e-12)).clamp(0.0, 1.0);
            let away = p - (a + along * t);
            let half_width = ra + (rb - ra) * t;
            let ratio = away.length() / half_width;
            if ratio < best.ratio {
                let side = if along.perp_dot(away) < 0.0 {
                    -ratio
                } else {
                    ratio
                };
                best = Hit {
                    ratio,
                    side,
                    half_width,
                };
            }
        }
        Some(best)
    }

    /// Relief at a point: half round, lower where the stroke is thin.
    pub(crate) fn relief(&self, p: DVec2) -> f64 {
        let Some(hit) = self.hit(p, 0.0).filter(|h| h.ratio < 1.0) else {
            return 0.0;
        };
        let thin = (hit.half_width * 1.15 / self.height).min(1.0);
        let mut h = self.height * thin * half_round(hit.ratio);
        if self.strands > 0.0 {
            let wave = crate::maths::cos(hit.side * self.strands * std::f64::consts::PI);
            h *= 1.0 - 0.16 * (1.0 - wave) * (1.0 - hit.ratio * hit.ratio);
        }
        h
    }
}

/// The relief of several strokes melted into one another over a width `k`.
pub(crate) fn melted(strokes: &[Stroke], p: DVec2, k: f64) -> f64 {
    strokes.iter().fold(0.0, |sum, s| {
        let h = s.relief(p);
        if h > 0.0 && sum > 0.0 {
            smooth_max(sum, h, k.min(h).min(sum))
        } else {
            sum.max(h)
        }
    })
}

/// How deep strokes used as a graver cut at `p`, 0 to 1.
pub(crate) fn cut(strokes: &[Stroke], p: DVec2) -> f64 {
    strokes.iter().fold(0.0, |deep: f64, s| {
        let ratio = s.hit(p, 0.0).map_or(1.0, |h| h.ratio.min(1.0));
        deep.max(1.0 - ratio * ratio)
    })
}

fn spline([a, b, c, d]: [f64; 4], t: f64) -> f64 {
    0.5 * (2.0 * b
        + (c - a) * t
        + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t
        + (3.0 * b - a - 3.0 * c + d) * t * t * t)
}
