//! The grotesque of the handles: a bearded face with flame-like hair and beast's ears.

use crate::maths::{bell, half_round, pow, smooth_max, smoothstep};
use crate::relief::Relief;
use crate::stroke::{Stroke, cut, melted};
use glam::DVec2;

/// Half the size of the net the face is kept on, millimetres.
pub(crate) const HALF_WIDTH: f64 = 20.0;
/// The lowest and highest edge of that net.
pub(crate) const REACH: [f64; 2] = [-30.0, 23.0];

struct Features {
    locks: Vec<Stroke>,
    beard: Vec<Stroke>,
    brows: Vec<Stroke>,
    nose: Vec<Stroke>,
    lids: Vec<Stroke>,
    whiskers: Vec<Stroke>,
    lip: Stroke,
    ears: Vec<Stroke>,
    ear_hollows: Vec<Stroke>,
    furrows: Vec<Stroke>,
}

/// The face as heights above the wall, origin between eyes and mouth.
pub(crate) fn face(softness: f64) -> Relief {
    let features = Features::new();
    let low = DVec2::new(-HALF_WIDTH, REACH[0]);
    let high = DVec2::new(HALF_WIDTH, REACH[1]);
    Relief::sample(low, high, 0.12, |p| features.height(p)).softened(softness)
}

/// A stroke and its mirror image.
fn pair(height: f64, knots: &[[f64; 3]], strands: f64) -> [Stroke; 2] {
    let one = Stroke::new(height, knots).combed(strands);
    [one.mirrored(), one]
}

impl Features {
    fn new() -> Self {
        Self {
            locks: hair(),
            beard: beard(),
            brows: pair(
                2.9,
                &[
                    [1.0, 6.6, 1.5],
                    [3.6, 8.9, 1.9],
                    [7.6, 10.2, 2.0],
                    [11.2, 8.9, 1.5],
                    [13.3, 5.6, 0.7],
                ],
                4.0,
            )
            .to_vec(),
            nose: [
                &pair(2.6, &[[2.1, -0.9, 1.5], [3.3, -1.5, 1.55]], 0.0)[..],
                &[
                    Stroke::new(3.6, &[[0.0, 8.6, 1.5], [0.0, 5.2, 1.55], [0.0, 2.0, 2.1]]),
                    Stroke::new(5.0, &[[0.0, 2.6, 1.8], [0.0, 0.2, 2.5], [0.0, -1.2, 2.3]]),
                ],
            ]
            .concat(),
            lids: [
                pair(
                    1.5,
                    &[
                        [2.6, 4.4, 0.4],
                        [4.4, 6.5, 0.75],
                        [6.8, 7.0, 0.85],
                        [9.6, 4.9, 0.45],
                    ],
                    0.0,
                ),
                pair(
                    1.0,
                    &[
                        [2.7, 4.1, 0.4],
                        [5.0, 2.6, 0.6],
                        [7.6, 2.7, 0.6],
                        [9.7, 4.5, 0.4],
                    ],
                    0.0,
                ),
            ]
            .concat(),
            whiskers: pair(
                3.4,
                &[
                    [0.6, -3.9, 1.4],
                    [3.6, -4.7, 2.0],
                    [7.6, -7.2, 2.1],
                    [11.4, -7.9, 1.5],
                    [13.6, -5.8, 1.1],
                    [12.9, -3.8, 0.75],
                    [11.4, -4.3, 0.5],
                ],
                3.0,
            )
            .to_vec(),
            lip: Stroke::new(
                2.2,
                &[
                    [-3.9, -9.3, 0.7],
                    [-1.8, -11.1, 1.2],
                    [1.8, -11.1, 1.2],
                    [3.9, -9.3, 0.7],
                ],
            ),
            ears: pair(
                5.5,
                &[
                    [13.0, 1.0, 1.5],
                    [15.4, 4.6, 2.3],
                    [17.2, 9.0, 1.7],
                    [18.4, 13.6, 0.4],
                ],
                0.0,
            )
            .to_vec(),
            ear_hollows: pair(
                1.0,
                &[
                    [14.4, 2.6, 0.5],
                    [15.8, 5.2, 1.2],
                    [17.2, 9.4, 0.8],
                    [18.0, 12.0, 0.2],
                ],
                0.0,
            )
            .to_vec(),
            furrows: [
                pair(1.0, &[[0.75, 9.6, 0.3], [0.6, 11.8, 0.3]], 0.0),
                pair(
                    1.0,
                    &[[3.0, 12.1, 0.2], [6.2, 12.9, 0.38], [9.2, 12.2, 0.2]],
                    0.0,
                ),
                pair(
                    1.0,
                    &[[4.2, -1.4, 0.25], [5.9, -3.2, 0.5], [6.6, -5.2, 0.3]],
                    0.0,
                ),
            ]
            .concat(),
        }
    }

    fn height(&self, p: DVec2) -> f64 {
        let q = DVec2::new(p.x.abs(), p.y);
        let ball =
            |x: f64, y: f64, r: f64, h: f64| h * half_round(q.distance(DVec2::new(x, y)) / r);
        let head = dome(p, DVec2::new(0.0, 3.0), DVec2::new(14.2, 16.6), 10.5);
        let mut h = head;
        if head > 0.0 {
            h -= 2.6 * bell((q - DVec2::new(6.2, 4.6)).length(), 3.6);
            h += 1.7 * bell((q - DVec2::new(8.6, -0.6)).length(), 3.4);
            let socket = h;
            h = h.max(socket + ball(6.2, 4.6, 2.7, 2.5));
            h += melted(&self.lids, p, 0.3);
            // A drilled pupil makes a cast eye look at you.
            h -= 1.3 * bell(q.distance(DVec2::new(5.9, 4.5)), 0.75);
            h += melted(&self.brows, p, 0.6);
            let nose = melted(&self.nose, p, 0.8);
            h += nose;
            h -= 1.2 * bell(q.distance(DVec2::new(1.7, -2.6)), 0.6);
            h -= 0.8 * cut(&self.furrows, p);
        }
        let mut hair = 0.0f64;
        for lock in self.locks.iter().chain(&self.beard) {
            hair = hair.max(lock.relief(p));
        }
        let chin = dome(p, DVec2::new(0.0, -12.0), DVec2::new(12.0, 13.5), 6.6);
        let behind = if chin > 0.0 { chin + 0.0 } else { 0.0 };
        let mass = if hair > 0.0 {
            let bed = behind
                .max(head * 0.72)
                .max(3.0 * smoothstep(0.0, 1.2, hair));
            bed + hair
        } else {
            behind
        };
        h = smooth_max(h, mass, if h > 0.0 && mass > 0.0 { 0.5 } else { 1e-6 });
        let mouth = (p - DVec2::new(0.0, -8.3)) / DVec2::new(3.9, 2.0);
        h -= 4.2 * smoothstep(1.0, 0.35, mouth.length());
        if h > 0.0 {
            h += self.lip.relief(p) * 0.9;
        }
        let whisker = melted(&self.whiskers, p, 0.3);
        if whisker > 0.0 {
            let bed = (head * 0.85).max(7.4 * smoothstep(15.5, 10.0, q.x));
            h = h.max(bed + whisker);
        }
        let ear = melted(&self.ears, p, 0.3);
        if ear > 0.0 {
            h = h.max(1.5 + ear - 2.4 * cut(&self.ear_hollows, p));
        }
        h.max(0.0)
    }
}

/// A low dome over an oval, with a steep edge.
fn dome(p: DVec2, centre: DVec2, radii: DVec2, height: f64) -> f64 {
    let q = ((p - centre) / radii).length();
    if q >= 1.0 {
        return 0.0;
    }
    height * pow(1.0 - pow(q, 2.4), 0.55)
}

/// Flame-like locks that stand up from the brow.
fn hair() -> Vec<Stroke> {
    let mut locks = vec![
        Stroke::new(
            3.0,
            &[
                [0.0, 11.0, 1.6],
                [-0.7, 14.8, 2.3],
                [0.7, 18.2, 1.7],
                [0.0, 21.6, 0.5],
            ],
        )
        .combed(3.0),
    ];
    locks.extend(pair(
        2.9,
        &[
            [4.0, 11.6, 1.7],
            [5.0, 15.4, 2.2],
            [3.8, 18.4, 1.5],
            [5.2, 20.9, 0.5],
        ],
        3.0,
    ));
    locks.extend(pair(
        2.8,
        &[
            [8.0, 11.0, 1.7],
            [9.8, 14.2, 2.1],
            [8.9, 17.0, 1.4],
            [10.8, 19.2, 0.5],
        ],
        3.0,
    ));
    locks.extend(pair(
        2.6,
        &[
            [11.4, 7.6, 1.5],
            [13.2, 11.2, 1.8],
            [12.6, 13.8, 1.2],
            [14.6, 15.8, 0.5],
        ],
        3.0,
    ));
    locks
}

/// Locks that part from the chin and curl at their ends.
fn beard() -> Vec<Stroke> {
    let mut locks = Vec::new();
    locks.extend(pair(
        2.6,
        &[
            [11.6, -4.5, 1.5],
            [13.4, -9.0, 2.1],
            [12.4, -13.0, 1.9],
            [14.2, -16.0, 1.3],
            [16.2, -15.2, 0.9],
            [15.9, -13.4, 0.5],
        ],
        3.0,
    ));
    locks.extend(pair(
        3.0,
        &[
            [8.0, -8.4, 1.7],
            [10.0, -12.6, 2.3],
            [8.9, -17.2, 2.1],
            [10.2, -20.8, 1.5],
            [12.7, -21.0, 1.0],
            [12.9, -19.0, 0.5],
        ],
        3.0,
    ));
    locks.extend(pair(
        3.3,
        &[
            [3.8, -10.6, 1.7],
            [5.6, -15.2, 2.4],
            [4.6, -20.2, 2.2],
            [5.6, -24.2, 1.6],
            [8.2, -25.2, 1.1],
            [8.9, -23.2, 0.6],
        ],
        3.0,
    ));
    locks.push(
        Stroke::new(
            3.6,
            &[
                [0.0, -11.6, 1.5],
                [0.7, -16.0, 2.3],
                [-0.6, -20.6, 2.2],
                [0.5, -25.0, 1.6],
                [-0.2, -28.4, 0.5],
            ],
        )
        .combed(3.0),
    );
    locks
}
