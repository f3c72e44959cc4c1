//! The hare of the frieze, leaping to the right, and the sprig between hares.
//! Drawn by hand as strokes: x, y and half width in mm, about the body's middle.

use glam::{DVec2, dvec2};

use crate::field::{Stroke, heap};
use crate::noise::smooth;

pub struct Hare {
    far: Vec<Stroke>,
    near: Vec<Stroke>,
    over: Vec<Stroke>,
    incised: Vec<Stroke>,
}

impl Hare {
    pub fn draw() -> Self {
        let s = |points: &[[f64; 3]], swell: f64, lift: f64| Stroke::new(points, swell, lift);
        Self {
            far: vec![
                s(
                    &[
                        [-5.2, -1.8, 1.5],
                        [-7.4, -4.4, 1.2],
                        [-10.2, -5.6, 0.75],
                        [-12.6, -8.2, 0.6],
                        [-13.4, -8.6, 0.4],
                    ],
                    0.45,
                    0.2,
                ),
                s(
                    &[
                        [4.6, -0.6, 1.3],
                        [6.6, -3.6, 0.95],
                        [9.0, -6.2, 0.65],
                        [10.6, -8.0, 0.62],
                        [11.5, -8.2, 0.4],
                    ],
                    0.45,
                    0.2,
                ),
                s(
                    &[
                        [8.6, 5.6, 0.7],
                        [7.3, 8.6, 1.15],
                        [5.0, 11.2, 1.15],
                        [3.0, 12.4, 0.75],
                        [2.2, 12.7, 0.2],
                    ],
                    0.42,
                    0.25,
                ),
            ],
            near: vec![
                // Back and belly: high over the loins, drawn in at the flank, deep in the chest.
                s(
                    &[
                        [-7.0, 0.4, 2.9],
                        [-4.4, 2.6, 3.4],
                        [-0.6, 3.7, 3.0],
                        [3.0, 2.6, 3.1],
                        [5.2, 1.2, 2.7],
                    ],
                    0.52,
                    0.12,
                ),
                s(
                    &[[5.0, 1.6, 2.4], [7.0, 3.4, 1.9], [8.6, 4.6, 1.6]],
                    0.56,
                    0.12,
                ),
                s(
                    &[[-9.0, 2.0, 1.2], [-10.5, 3.6, 1.2], [-10.9, 5.0, 0.5]],
                    0.7,
                    0.2,
                ),
            ],
            over: vec![
                // Thigh, then the long hind foot stretched out behind.
                s(
                    &[[-5.4, 0.4, 2.9], [-7.4, -1.2, 2.6], [-9.4, -2.6, 1.3]],
                    0.62,
                    0.2,
                ),
                s(
                    &[
                        [-9.0, -2.4, 1.35],
                        [-11.4, -2.9, 0.9],
                        [-12.8, -4.8, 0.75],
                        [-14.2, -6.6, 0.75],
                        [-15.2, -7.4, 0.45],
                    ],
                    0.6,
                    0.25,
                ),
                // Shoulder and foreleg reaching forward.
                s(
                    &[
                        [4.6, 1.2, 1.9],
                        [6.6, -1.0, 1.45],
                        [9.4, -2.6, 0.9],
                        [12.2, -4.0, 0.7],
                        [14.0, -4.9, 0.72],
                        [14.9, -5.0, 0.4],
                    ],
                    0.6,
                    0.2,
                ),
                // Head: skull to muzzle.
                s(
                    &[
                        [8.3, 4.7, 1.9],
                        [9.6, 4.3, 1.75],
                        [10.9, 3.5, 1.3],
                        [11.6, 3.0, 1.05],
                    ],
                    0.66,
                    0.2,
                ),
                // Ear laid back on the wind.
                s(
                    &[
                        [8.0, 5.6, 0.8],
                        [6.2, 7.6, 1.3],
                        [3.2, 9.2, 1.4],
                        [0.6, 9.8, 0.95],
                        [-0.6, 9.9, 0.25],
                    ],
                    0.42,
                    0.4,
                ),
            ],
            incised: vec![
                s(
                    &[
                        [7.0, 6.8, 0.2],
                        [5.2, 8.2, 0.42],
                        [3.0, 9.2, 0.45],
                        [0.9, 9.7, 0.2],
                    ],
                    1.0,
                    0.0,
                ),
                s(
                    &[
                        [-3.4, 2.6, 0.15],
                        [-3.0, 0.4, 0.24],
                        [-4.4, -1.8, 0.22],
                        [-6.2, -3.0, 0.12],
                    ],
                    1.0,
                    0.0,
                ),
                s(
                    &[[-0.6, 0.9, 0.1], [0.2, 1.9, 0.2], [0.2, 3.2, 0.1]],
                    1.0,
                    0.0,
                ),
                s(
                    &[[1.2, 0.7, 0.1], [2.0, 1.7, 0.2], [2.0, 3.0, 0.1]],
                    1.0,
                    0.0,
                ),
                s(
                    &[[10.4, 2.6, 0.1], [11.4, 2.5, 0.2], [12.2, 2.5, 0.1]],
                    1.0,
                    0.0,
                ),
                s(&[[-14.3, -6.6, 0.1], [-15.1, -7.2, 0.15]], 1.0, 0.0),
            ],
        }
    }

    /// Height of the relief at `p` (mm from the hare's middle), about 1.8 mm at most.
    pub fn height(&self, p: DVec2) -> f64 {
        if p.x.abs() > 18.0 || p.y.abs() > 13.0 {
            return 0.0;
        }
        let far = heap(&self.far, p, 0.3);
        let near = heap(&self.near, p, 0.7);
        let over = heap(&self.over, p, 0.45);
        let mut h = far.max(near).max(0.0);
        if over > 0.0 {
            // Limbs in front ride half on what lies behind them.
            h = -crate::noise::blend_min(-h, -(over + 0.3 * near.min(over)), 0.35);
        }
        let mut cut: f64 = 0.0;
        for line in &self.incised {
            let (d, r) = line.near(p);
            cut = cut.max(0.3 * (1.0 - smooth(0.1 * r, 1.6 * r, d)) * (r / 0.22).min(1.3));
        }
        let eye = p.distance(dvec2(9.55, 5.0));
        cut = cut.max(0.5 * (1.0 - smooth(0.1, 0.22, (eye - 0.52).abs())));
        (h - cut.min(h)).max(0.0) * 0.92
    }
}

/// A sprig of three leaves on a bent stem, growing from the ground line.
pub fn sprig() -> Vec<Stroke> {
    let s = |points: &[[f64; 3]], swell: f64, lift: f64| Stroke::new(points, swell, lift);
    vec![
        s(
            &[
                [0.6, -11.0, 0.45],
                [0.0, -7.0, 0.4],
                [0.4, -2.0, 0.36],
                [0.0, 2.5, 0.3],
            ],
            0.7,
            0.25,
        ),
        s(
            &[
                [0.0, 1.8, 0.3],
                [-0.2, 4.0, 1.15],
                [0.1, 6.2, 0.8],
                [0.3, 7.6, 0.1],
            ],
            0.55,
            0.2,
        ),
        s(
            &[
                [0.3, -2.8, 0.25],
                [-1.5, -1.0, 0.85],
                [-2.5, 1.0, 0.6],
                [-2.7, 2.2, 0.1],
            ],
            0.6,
            0.2,
        ),
        s(
            &[
                [0.2, -5.0, 0.25],
                [1.8, -3.6, 0.85],
                [2.7, -1.6, 0.6],
                [2.9, -0.4, 0.1],
            ],
            0.6,
            0.2,
        ),
    ]
}
