//! The heron of the token among its reeds, drawn as strokes; origin at the token's middle.

use crate::relief::Relief;
use crate::stroke::{Stroke, cut, melted};
use glam::DVec2;

pub(crate) fn heron(softness: f64) -> Relief {
    let bird = [
        // Body, from breast to tail.
        Stroke::new(
            1.0,
            &[
                [-1.5, 2.0, 1.2],
                [-0.3, 0.9, 1.9],
                [1.5, -0.5, 1.7],
                [3.4, -2.2, 0.9],
                [4.8, -3.6, 0.25],
            ],
        ),
        // Neck in its bend, and the head.
        Stroke::new(
            0.9,
            &[
                [-1.3, 1.9, 1.1],
                [-2.5, 3.1, 0.8],
                [-2.0, 4.4, 0.62],
                [-0.7, 5.4, 0.58],
                [-0.7, 6.8, 0.62],
                [-1.7, 7.5, 0.8],
                [-2.6, 7.4, 0.5],
            ],
        ),
        // Bill.
        Stroke::new(
            0.75,
            &[[-2.2, 7.45, 0.5], [-4.2, 6.9, 0.34], [-6.4, 6.1, 0.14]],
        ),
        // Crest.
        Stroke::new(0.6, &[[-1.5, 8.0, 0.32], [0.2, 8.2, 0.3], [2.2, 7.5, 0.12]]),
        // Legs; the second is drawn up.
        Stroke::new(
            0.7,
            &[
                [0.5, -0.8, 0.7],
                [0.6, -3.0, 0.36],
                [0.5, -5.2, 0.34],
                [0.4, -8.0, 0.3],
            ],
        ),
        Stroke::new(
            0.65,
            &[
                [1.4, -1.0, 0.7],
                [0.2, -3.1, 0.36],
                [-1.4, -4.0, 0.32],
                [-0.6, -5.4, 0.3],
            ],
        ),
        Stroke::new(
            0.55,
            &[[-1.4, -8.3, 0.22], [0.4, -7.9, 0.32], [2.2, -8.4, 0.2]],
        ),
    ];
    let mut reeds = Vec::new();
    for (x, top, lean) in [
        (-7.2, 2.6, 0.5),
        (-5.2, 4.2, -0.5),
        (5.4, 5.0, 0.4),
        (7.4, 2.2, -0.4),
    ] {
        reeds.push(Stroke::new(
            0.5,
            &[
                [x, -6.6, 0.26],
                [x + lean * 0.4, -2.0, 0.24],
                [x + lean, top - 2.2, 0.22],
            ],
        ));
        reeds.push(Stroke::new(
            0.8,
            &[
                [x + lean, top - 2.2, 0.55],
                [x + lean * 1.2, top - 0.8, 0.62],
                [x + lean * 1.3, top + 0.2, 0.4],
            ],
        ));
        reeds.push(Stroke::new(
            0.4,
            &[
                [x + lean * 1.3, top + 0.2, 0.18],
                [x + lean * 1.4, top + 1.2, 0.14],
            ],
        ));
        let bend = if x < 0.0 { 1.0 } else { -1.0 };
        reeds.push(Stroke::new(
            0.45,
            &[
                [x, -6.6, 0.3],
                [x + bend * 0.8, -3.0, 0.34],
                [x + bend * 1.9, -0.6, 0.12],
            ],
        ));
    }
    // Water.
    for (y, from, to) in [(-7.2, -6.2, -1.6), (-7.2, 2.6, 6.2), (-8.7, -4.4, 4.4)] {
        let knots: Vec<[f64; 3]> = (0..=6)
            .map(|i| {
                let t = f64::from(i) / 6.0;
                let wave = if i % 2 == 0 { 0.22 } else { -0.22 };
                [from + (to - from) * t, y + wave, 0.24]
            })
            .collect();
        reeds.push(Stroke::new(0.4, &knots));
    }
    let graver = [
        // Edge of the wing and its feathers.
        Stroke::new(
            1.0,
            &[
                [-1.0, 1.3, 0.14],
                [0.8, 1.6, 0.26],
                [2.6, 0.0, 0.2],
                [4.2, -2.6, 0.12],
            ],
        ),
        Stroke::new(
            1.0,
            &[[-0.6, 0.2, 0.14], [1.2, -0.9, 0.24], [3.4, -2.8, 0.12]],
        ),
        Stroke::new(
            1.0,
            &[[0.0, 0.9, 0.12], [1.6, 0.0, 0.22], [3.6, -2.2, 0.12]],
        ),
    ];
    let eye = DVec2::new(-1.9, 7.6);
    Relief::sample(DVec2::new(-9.5, -10.0), DVec2::new(9.5, 9.5), 0.05, |p| {
        let mut h = melted(&bird, p, 0.35) - 0.35 * cut(&graver, p);
        h -= 0.35 * crate::maths::bell(p.distance(eye) - 0.3, 0.13);
        h.max(melted(&reeds, p, 0.15)).max(0.0)
    })
    .softened(softness)
}
