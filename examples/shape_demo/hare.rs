//! The leaping hare of the frieze and the sprig between the hares, drawn as strokes.

use crate::relief::Relief;
use crate::stroke::{Stroke, cut, melted};
use glam::DVec2;

/// Millimetres between the net's points.
const NET: f64 = 0.1;

/// A hare at full stretch, running to the right, about 28 mm long; origin at its middle.
pub(crate) fn hare(softness: f64) -> Relief {
    let far_legs = [
        Stroke::new(
            0.75,
            &[
                [8.2, -1.4, 1.5],
                [10.6, -3.6, 0.95],
                [12.6, -4.3, 0.6],
                [14.2, -4.2, 0.55],
            ],
        ),
        Stroke::new(
            0.75,
            &[
                [-6.6, -1.6, 1.7],
                [-9.4, -4.4, 0.95],
                [-11.8, -4.7, 0.65],
                [-13.6, -5.6, 0.6],
            ],
        ),
    ];
    let near = [
        // Back and belly, arched like a drawn bow.
        Stroke::new(
            1.55,
            &[
                [-7.2, 0.1, 2.9],
                [-3.2, 1.7, 3.4],
                [1.0, 1.8, 3.05],
                [4.6, 0.7, 3.0],
                [7.4, 0.6, 2.5],
            ],
        ),
        // Neck and head.
        Stroke::new(
            1.5,
            &[
                [6.6, 1.2, 2.3],
                [8.7, 3.1, 1.75],
                [10.2, 4.3, 1.75],
                [11.7, 3.8, 1.4],
                [12.7, 3.3, 0.95],
            ],
        ),
        // Haunch, hock and long foot, kicked out behind.
        Stroke::new(
            1.65,
            &[
                [-4.6, 0.2, 2.6],
                [-6.6, -0.6, 2.9],
                [-8.6, -2.2, 1.5],
                [-11.0, -2.9, 0.85],
                [-13.0, -2.5, 0.7],
                [-15.2, -3.2, 0.6],
            ],
        ),
        // Fore leg, reaching.
        Stroke::new(
            1.35,
            &[
                [6.2, -0.4, 2.0],
                [8.8, -1.9, 1.25],
                [11.4, -2.1, 0.8],
                [13.6, -1.6, 0.65],
                [15.3, -1.9, 0.6],
            ],
        ),
        // Scut.
        Stroke::new(
            1.0,
            &[[-9.0, 1.6, 0.9], [-10.4, 2.9, 1.0], [-11.2, 3.9, 0.6]],
        ),
    ];
    let ears = [
        Stroke::new(
            0.9,
            &[
                [10.0, 5.0, 0.6],
                [8.0, 6.9, 0.95],
                [5.4, 8.2, 0.85],
                [3.0, 8.6, 0.3],
            ],
        ),
        Stroke::new(
            1.15,
            &[
                [9.6, 4.9, 0.7],
                [6.8, 5.9, 1.05],
                [4.0, 6.3, 0.95],
                [1.5, 5.9, 0.35],
            ],
        ),
    ];
    let graver = [
        // The turn of the haunch and of the shoulder.
        Stroke::new(
            1.0,
            &[
                [-3.4, -1.6, 0.22],
                [-2.7, 0.6, 0.36],
                [-3.9, 2.5, 0.32],
                [-5.8, 3.2, 0.2],
            ],
        ),
        Stroke::new(1.0, &[[4.4, -1.6, 0.2], [4.0, 0.0, 0.32], [4.9, 1.8, 0.2]]),
        // Inside of the ears.
        Stroke::new(1.0, &[[8.6, 5.3, 0.2], [6.4, 5.95, 0.4], [3.4, 6.15, 0.2]]),
        Stroke::new(
            1.0,
            &[[8.3, 6.7, 0.15], [5.6, 8.0, 0.32], [4.0, 8.35, 0.15]],
        ),
        // Mouth, and toes of the two near feet.
        Stroke::new(1.0, &[[13.1, 2.8, 0.18], [11.8, 2.85, 0.16]]),
        Stroke::new(1.0, &[[14.4, -1.75, 0.13], [15.5, -1.95, 0.13]]),
        Stroke::new(1.0, &[[-14.2, -2.9, 0.13], [-15.4, -3.3, 0.13]]),
    ];
    let ribs: Vec<Stroke> = (0..3)
        .map(|i| {
            let x = -0.6 + 1.5 * f64::from(i);
            Stroke::new(
                1.0,
                &[[x, 0.4, 0.12], [x - 0.5, 1.8, 0.24], [x - 0.2, 3.2, 0.12]],
            )
        })
        .collect();
    let eye = DVec2::new(10.9, 4.55);
    Relief::sample(DVec2::new(-17.0, -8.0), DVec2::new(17.0, 10.0), NET, |p| {
        let mut h = melted(&near, p, 0.5);
        h -= 0.5 * cut(&graver, p) + 0.22 * cut(&ribs, p);
        let ring = p.distance(eye);
        h -= 0.4 * crate::maths::bell(ring - 0.62, 0.2);
        h += 0.25 * crate::maths::bell(ring, 0.42);
        let behind = melted(&far_legs, p, 0.3);
        let above = melted(&ears, p, 0.2) - 0.45 * cut(&graver, p);
        h.max(behind).max(above).max(0.0)
    })
    .softened(softness)
}

/// A sprig with five leaves, 17 mm tall, to stand between two hares.
pub(crate) fn sprig(softness: f64) -> Relief {
    let mut parts = vec![Stroke::new(
        0.75,
        &[
            [0.3, -8.6, 0.5],
            [-0.3, -4.0, 0.45],
            [0.3, 0.5, 0.4],
            [0.0, 4.6, 0.35],
        ],
    )];
    let mut veins = Vec::new();
    for (x, y, rise, size) in [
        (1.0, -5.2, 1.7, 0.85),
        (-1.0, -2.8, 1.8, 0.9),
        (1.0, -0.4, 2.0, 0.85),
        (-1.0, 1.6, 2.0, 0.75),
    ] {
        let leaf = [
            [0.0, y - 0.6, 0.25],
            [x * 1.1, y + rise * 0.35, size],
            [x * 2.0, y + rise * 0.8, size * 0.75],
            [x * 2.7, y + rise * 1.5, 0.12],
        ];
        parts.push(Stroke::new(0.95, &leaf));
        veins.push(Stroke::new(1.0, &leaf.map(|k| [k[0], k[1], 0.17])));
    }
    // The bud at the top.
    parts.push(Stroke::new(
        1.1,
        &[[0.0, 4.2, 0.4], [0.0, 6.0, 1.05], [0.1, 8.4, 0.15]],
    ));
    Relief::sample(DVec2::new(-4.0, -9.5), DVec2::new(4.0, 9.5), NET, |p| {
        (melted(&parts, p, 0.3) - 0.3 * cut(&veins, p)).max(0.0)
    })
    .softened(softness)
}
