//! A relief kept as heights on a fine square net.

use glam::DVec2;
use rayon::prelude::*;

/// Heights in millimetres over a rectangle; nothing stands outside it.
pub(crate) struct Relief {
    low: DVec2,
    step: f64,
    columns: usize,
    rows: usize,
    heights: Vec<f64>,
}

impl Relief {
    /// Samples `height` over the rectangle from `low` to `high` every `step` millimetres.
    pub(crate) fn sample(
        low: DVec2,
        high: DVec2,
        step: f64,
        height: impl Fn(DVec2) -> f64 + Sync,
    ) -> Self {
        let size = ((high - low) / step).ceil();
        let (columns, rows) = (size.x as usize + 1, size.y as usize + 1);
        let heights = (0..columns * rows)
            .into_par_iter()
            .map(|i| height(low + DVec2::new((i % columns) as f64, (i / columns) as f64) * step))
            .collect();
        Self {
            low,
            step,
            columns,
            rows,
            heights,
        }
    }

    /// Softened over about `radius` millimetres, as handling or finishing softens an edge.
    pub(crate) fn softened(mut self, radius: f64) -> Self {
        let reach = (radius / self.step).round() as isize;
        if reach < 1 {
            return self;
        }
        // Two passes of a box in each direction come near a bell.
        for _ in 0..2 {
            for (dx, dy) in [(1, 0), (0, 1)] {
                self.heights = (0..self.heights.len())
                    .into_par_iter()
                    .map(|i| {
                        let (x, y) = ((i % self.columns) as isize, (i / self.columns) as isize);
                        let sum: f64 = (-reach..=reach)
                            .map(|k| self.cell(x + dx * k, y + dy * k))
                            .sum();
                        sum / (2 * reach + 1) as f64
                    })
                    .collect();
            }
        }
        self
    }

    /// The height at a point, interpolated.
    pub(crate) fn at(&self, p: DVec2) -> f64 {
        let q = (p - self.low) / self.step;
        let base = q.floor();
        if base.x < -1.0
            || base.y < -1.0
            || base.x > self.columns as f64
            || base.y > self.rows as f64
        {
            return 0.0;
        }
        let f = q - base;
        let (x, y) = (base.x as isize, base.y as isize);
        let lower = self.cell(x, y) * (1.0 - f.x) + self.cell(x + 1, y) * f.x;
        let upper = self.cell(x, y + 1) * (1.0 - f.x) + self.cell(x + 1, y + 1) * f.x;
        lower * (1.0 - f.y) + upper * f.y
    }

    fn cell(&self, x: isize, y: isize) -> f64 {
        if x < 0 || y < 0 || x >= self.columns as isize || y >= self.rows as isize {
            return 0.0;
        }
        self.heights[y as usize * self.columns + x as usize]
    }
}
