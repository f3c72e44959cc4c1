//! The turned profile of the mortar: half a cross-section, from the middle of
//! the underside out over the foot, up the body, over the lip, down the well.

use glam::{DVec2, dvec2};

/// A half cross-section sampled evenly along its length; x is the radius.
pub struct Profile {
    points: Vec<DVec2>,
    step_mm: f64,
}

/// Spacing of the samples kept along a profile.
const STEP_MM: f64 = 0.1;

/// Draws a profile from straight runs, arcs and curves.
pub struct Pen {
    points: Vec<DVec2>,
}

impl Pen {
    pub fn start(r: f64, y: f64) -> Self {
        Self {
            points: vec![dvec2(r, y)],
        }
    }

    fn last(&self) -> DVec2 {
        self.points[self.points.len() - 1]
    }

    /// A straight run to a point.
    pub fn to(mut self, r: f64, y: f64) -> Self {
        self.points.push(dvec2(r, y));
        self
    }

    /// A cubic curve with two handles.
    pub fn curve(mut self, a: [f64; 2], b: [f64; 2], end: [f64; 2]) -> Self {
        let (p0, p1, p2, p3) = (
            self.last(),
            DVec2::from(a),
            DVec2::from(b),
            DVec2::from(end),
        );
        for i in 1..=48 {
            let t = f64::from(i) / 48.0;
            let u = 1.0 - t;
            self.points.push(
                p0 * (u * u * u)
                    + p1 * (3.0 * u * u * t)
                    + p2 * (3.0 * u * t * t)
                    + p3 * (t * t * t),
            );
        }
        self
    }

    /// A half-round bead standing out to the right of the way to `end`.
    pub fn bead(mut self, r: f64, y: f64) -> Self {
        let (from, end) = (self.last(), dvec2(r, y));
        let middle = (from + end) * 0.5;
        let along = (end - from) * 0.5;
        let out = dvec2(along.y, -along.x);
        for i in 1..=24 {
            let a = std::f64::consts::PI * f64::from(i) / 24.0;
            self.points
                .push(middle - along * libm::cos(a) + out * libm::sin(a));
        }
        self
    }

    /// Rounds all corners a little (`soften_mm`) and samples evenly.
    pub fn finish(self, soften_mm: f64) -> Profile {
        let even = resample(&self.points);
        let width = (soften_mm / STEP_MM).max(1.0);
        let reach = (width * 2.5) as isize;
        let last = even.len() as isize - 1;
        let mut points = Vec::with_capacity(even.len());
        for i in 0..=last {
            // Ends lie on the axis and stay there: the window shrinks towards them.
            let reach = reach.min(i).min(last - i);
            let (mut sum, mut total) = (DVec2::ZERO, 0.0);
            for d in -reach..=reach {
                let w = libm::exp(-(d as f64 / width) * (d as f64 / width));
                sum += even[(i + d) as usize] * w;
                total += w;
            }
            points.push(sum / total);
        }
        Profile {
            points: resample(&points),
            step_mm: STEP_MM,
        }
    }
}

/// Walks a line and drops a point every [`STEP_MM`]; both ends are kept.
fn resample(line: &[DVec2]) -> Vec<DVec2> {
    let mut out = vec![line[0]];
    let mut due = STEP_MM;
    for pair in line.windows(2) {
        let length = pair[0].distance(pair[1]);
        while due <= length {
            out.push(pair[0].lerp(pair[1], due / length));
            due += STEP_MM;
        }
        due -= length;
    }
    out.push(line[line.len() - 1]);
    out
}

impl Profile {
    pub fn length_mm(&self) -> f64 {
        (self.points.len() - 1) as f64 * self.step_mm
    }

    /// The point at arc length `s`.
    pub fn at(&self, s: f64) -> DVec2 {
        let f = (s / self.step_mm).clamp(0.0, (self.points.len() - 1) as f64);
        let i = (f as usize).min(self.points.len() - 2);
        self.points[i].lerp(self.points[i + 1], f - i as f64)
    }

    /// Outward normal at `s` (to the right of the way along the profile).
    pub fn normal(&self, s: f64) -> DVec2 {
        let t = self.at(s + 0.25) - self.at(s - 0.25);
        dvec2(t.y, -t.x).normalize_or_zero()
    }

    /// The profile averaged over `width` either side: what a plate hammered over it does.
    pub fn hammered(&self, s: f64, width: f64) -> DVec2 {
        let (mut sum, mut total) = (DVec2::ZERO, 0.0);
        for i in -12..=12 {
            let d = f64::from(i) / 6.0;
            let w = libm::exp(-d * d);
            sum += self.at(s + d * width) * w;
            total += w;
        }
        sum / total
    }

    /// First arc length at which the outer side reaches height `y` going up, from `from`.
    pub fn rise_to(&self, y: f64, from: f64) -> f64 {
        let start = (from / self.step_mm) as usize;
        let found = self.points[start..].iter().position(|p| p.y >= y);
        (start + found.unwrap_or(0)) as f64 * self.step_mm
    }

    /// Arc length of the highest point.
    pub fn top(&self) -> f64 {
        let mut best = 0;
        for (i, p) in self.points.iter().enumerate() {
            if p.y > self.points[best].y {
                best = i;
            }
        }
        best as f64 * self.step_mm
    }

    /// Arc length of the point on the well side (after the top) at height `y`.
    pub fn fall_to(&self, y: f64) -> f64 {
        let start = (self.top() / self.step_mm) as usize;
        let found = self.points[start..].iter().position(|p| p.y <= y);
        (start + found.unwrap_or(0)) as f64 * self.step_mm
    }

    /// Bend at `s`: positive on an outward edge, negative in a hollow (1/mm).
    pub fn bend(&self, s: f64) -> f64 {
        let (a, b) = (self.normal(s - 0.6), self.normal(s + 0.6));
        (a.x * b.y - a.y * b.x) / 1.2
    }
}

/// The mortar: foot ring, ogee, astragals, frieze, plain zone, band, lip, well.
pub fn mortar() -> Profile {
    Pen::start(0.0, 15.5)
        .curve([14.0, 15.5], [30.0, 15.2], [40.0, 14.6])
        .curve([43.5, 14.2], [44.0, 11.4], [47.5, 11.2])
        .to(57.0, 11.2)
        .curve([61.8, 11.2], [62.6, 17.4], [59.6, 18.0])
        .to(59.6, 19.6)
        .to(58.2, 19.6)
        .curve([57.6, 24.6], [52.4, 23.4], [51.8, 29.4])
        .to(52.6, 29.4)
        .to(52.6, 30.4)
        .bead(52.6, 34.0)
        .to(52.6, 35.0)
        .to(50.9, 35.0)
        .curve([50.2, 44.0], [50.6, 54.0], [51.9, 63.0])
        .to(53.0, 63.0)
        .to(53.0, 63.9)
        .bead(53.3, 66.3)
        .to(53.3, 67.2)
        .to(52.3, 67.2)
        .curve([53.0, 73.0], [54.0, 79.0], [55.3, 84.0])
        .to(56.6, 84.0)
        .to(56.7, 84.9)
        .bead(57.2, 87.0)
        .to(57.3, 87.8)
        .to(56.2, 87.8)
        .curve([57.1, 93.0], [58.4, 98.5], [59.9, 103.0])
        .to(61.0, 103.0)
        .to(61.2, 103.8)
        .bead(62.1, 106.0)
        .to(62.3, 106.8)
        .to(61.4, 106.8)
        .curve([62.2, 114.0], [65.4, 119.6], [71.4, 121.0])
        .to(71.4, 122.4)
        .to(72.6, 122.4)
        .curve([76.4, 123.2], [76.6, 130.6], [72.6, 131.4])
        .curve([70.8, 132.4], [67.6, 132.4], [66.0, 130.4])
        .curve([63.6, 126.6], [59.0, 122.0], [56.2, 113.0])
        .curve([51.0, 95.0], [45.6, 76.0], [42.6, 56.0])
        .curve([40.4, 38.0], [28.0, 26.6], [0.0, 26.2])
        .finish(0.28)
}
