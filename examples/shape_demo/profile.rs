//! Turned profiles: half a section, drawn from moulding to moulding.

use crate::maths::{TURN, cos, sin};
use glam::DVec2;

/// A point of a profile made ready for turning: x is the radius, y the height.
#[derive(Clone, Copy)]
pub(crate) struct Station {
    pub(crate) point: DVec2,
    /// Outward normal in the plane of the section.
    pub(crate) normal: DVec2,
    /// Length along the profile from its start, millimetres.
    pub(crate) along: f64,
    /// The same place on a profile whose mouldings are smoothed away.
    pub(crate) bridged: DVec2,
}

/// A profile being drawn.
#[derive(Default)]
pub(crate) struct Pen {
    points: Vec<DVec2>,
}

impl Pen {
    pub(crate) fn at(r: f64, y: f64) -> Self {
        Self {
            points: vec![DVec2::new(r, y)],
        }
    }

    /// A straight run.
    pub(crate) fn line(mut self, r: f64, y: f64) -> Self {
        self.points.push(DVec2::new(r, y));
        self
    }

    /// An arc that stands `bulge` times its chord to the right of the way drawn
    /// (0.5 is half a circle); to the left when negative.
    pub(crate) fn arc(mut self, r: f64, y: f64, bulge: f64) -> Self {
        let (a, b) = (self.end(), DVec2::new(r, y));
        let chord = b - a;
        let side = DVec2::new(chord.y, -chord.x);
        for i in 1..=24 {
            let t = f64::from(i) / 24.0;
            // Half a wave stretched to a half ellipse: upright ends, full middle.
            let turn = t * TURN * 0.5;
            let along = 0.5 - 0.5 * cos(turn);
            self.points
                .push(a + chord * along + side * bulge * sin(turn));
        }
        self
    }

    /// A cavetto or ovolo: a curve leaving in the direction `lead` towards a corner point.
    pub(crate) fn sweep(mut self, corner: [f64; 2], r: f64, y: f64) -> Self {
        let (a, c, b) = (self.end(), DVec2::from(corner), DVec2::new(r, y));
        for i in 1..=32 {
            let t = f64::from(i) / 32.0;
            let s = 1.0 - t;
            self.points.push(a * s * s + c * 2.0 * s * t + b * t * t);
        }
        self
    }

    fn end(&self) -> DVec2 {
        *self.points.last().expect("a pen starts with a point")
    }

    /// Ready for turning: corners eased over `ease` millimetres, a station every `spacing(point)`.
    pub(crate) fn turned(self, ease: f64, spacing: impl Fn(DVec2) -> f64) -> Vec<Station> {
        const FINE: f64 = 0.05;
        let fine = resample(&self.points, |_| FINE);
        let eased = smoothed(&fine, (ease / FINE) as usize);
        let bridged = smoothed(&fine, (3.5 / FINE) as usize);
        let mut stations = Vec::new();
        let (mut along, mut due) = (0.0, 0.0);
        for i in 0..eased.len() {
            if i > 0 {
                along += eased[i].distance(eased[i - 1]);
            }
            if along >= due || i + 1 == eased.len() {
                let (a, b) = (
                    eased[i.saturating_sub(2)],
                    eased[(i + 2).min(eased.len() - 1)],
                );
                let way = (b - a).normalize_or_zero();
                stations.push(Station {
                    point: eased[i],
                    normal: DVec2::new(way.y, -way.x),
                    along,
                    bridged: bridged[i],
                });
                due = along + spacing(eased[i]);
            }
        }
        stations
    }
}

fn resample(points: &[DVec2], spacing: impl Fn(DVec2) -> f64) -> Vec<DVec2> {
    let mut out = vec![points[0]];
    for pair in points.windows(2) {
        let length = pair[0].distance(pair[1]);
        let n = (length / spacing(pair[0])).ceil().max(1.0) as usize;
        out.extend((1..=n).map(|i| pair[0].lerp(pair[1], i as f64 / n as f64)));
    }
    out
}

/// Three passes of a moving mean; the ends stay where they are.
fn smoothed(points: &[DVec2], reach: usize) -> Vec<DVec2> {
    let mut now = points.to_vec();
    for _ in 0..3 {
        let mut sums = vec![DVec2::ZERO];
        for p in &now {
            sums.push(*sums.last().expect("starts with one") + *p);
        }
        let last = now.len() - 1;
        now = (0..now.len())
            .map(|i| {
                let k = reach.min(i).min(last - i);
                (sums[i + k + 1] - sums[i - k]) / (2 * k + 1) as f64
            })
            .collect();
    }
    now
}
