//! The pilgrim token: a thin lead disc with a heron among reeds.
//!
//! Frame of the drawing: x right, y up, the disc's middle at the origin (mm).
//! The finished token stands in the XY plane and faces +Z.

use std::f64::consts::{PI, TAU};

use glam::{DVec2, DVec3, dvec2, dvec3};

use crate::field::{Stroke, heap};
use crate::letters::Line;
use crate::noise::{bell, fractal, noise, smooth};
use crate::patina::{lead, relief};
use crate::solid::Solid;
use crate::turned::turned;

const RADIUS_MM: f64 = 17.0;
/// Half the thickness of the bare plate.
const HALF_MM: f64 = 0.78;
/// Triangles after thinning.
const TRIANGLES: usize = 60_000;
/// The fold: its direction from the middle, and how far out it begins.
const FOLD_DEG: f64 = -33.0;
const FOLD_FROM_MM: f64 = 13.1;
/// Radius of the fold's middle line, and the sharpest it turns.
const FOLD_R: f64 = 1.55;
const FOLD_MOST: f64 = 2.2;
/// Base line of the letters, and the angle (counted as on a compass) of the first.
const BASE_R: f64 = 11.55;
const TEXT: &str = "SIGN  ·  S  ·  T   ECA ";
const FIRST_DEG: f64 = -100.0;

pub struct Token {
    line: Line,
    heron: Vec<Stroke>,
    legs: Vec<Stroke>,
    reeds: Vec<Stroke>,
    cuts: Vec<Stroke>,
}

impl Token {
    pub fn new() -> Result<Self, String> {
        let worn = [(19, 0.93), (20, 0.96), (21, 0.98)];
        let line = Line::set(TEXT, 2.8, Some(TAU * BASE_R), &worn, None)?;
        let s = |points: &[[f64; 3]], swell: f64, lift: f64| Stroke::new(points, swell, lift);
        let heron = vec![
            s(
                &[
                    [6.6, -3.4, 0.2],
                    [4.6, -1.6, 1.2],
                    [2.0, 0.2, 2.1],
                    [-0.4, 1.0, 1.7],
                    [-1.4, 1.6, 1.2],
                ],
                0.36,
                0.12,
            ),
            s(
                &[
                    [-0.8, 1.5, 1.2],
                    [-2.3, 3.0, 0.85],
                    [-1.6, 4.7, 0.72],
                    [-0.5, 6.0, 0.66],
                    [-1.2, 7.4, 0.66],
                    [-2.6, 7.7, 0.7],
                ],
                0.5,
                0.16,
            ),
            s(
                &[[-2.3, 7.7, 0.8], [-3.4, 7.4, 0.72], [-4.4, 6.8, 0.4]],
                0.5,
                0.16,
            ),
            s(
                &[[-3.9, 7.1, 0.42], [-5.6, 6.0, 0.28], [-7.4, 4.7, 0.07]],
                0.6,
                0.2,
            ),
            s(
                &[[-2.4, 8.2, 0.3], [-0.8, 8.6, 0.24], [0.9, 7.8, 0.06]],
                0.6,
                0.14,
            ),
            // Wing folded over the back.
            s(
                &[
                    [-0.2, 1.2, 0.7],
                    [2.0, 0.3, 1.35],
                    [4.6, -1.8, 0.8],
                    [6.9, -4.0, 0.12],
                ],
                0.42,
                0.42,
            ),
        ];
        let legs = vec![
            s(
                &[
                    [1.4, -1.3, 0.55],
                    [0.9, -3.6, 0.3],
                    [1.2, -4.2, 0.36],
                    [0.6, -8.2, 0.28],
                ],
                0.6,
                0.15,
            ),
            s(
                &[
                    [2.6, -1.5, 0.5],
                    [3.4, -3.7, 0.3],
                    [2.8, -4.5, 0.36],
                    [2.9, -8.4, 0.26],
                ],
                0.6,
                0.1,
            ),
            s(&[[0.6, -8.1, 0.28], [-0.9, -8.7, 0.2]], 0.6, 0.1),
            s(&[[0.6, -8.1, 0.26], [1.7, -8.7, 0.18]], 0.6, 0.1),
            s(&[[2.9, -8.3, 0.26], [4.0, -8.7, 0.18]], 0.6, 0.1),
        ];
        let reeds = vec![
            s(
                &[[-6.0, -8.0, 0.3], [-6.6, -3.0, 0.26], [-6.2, 1.6, 0.2]],
                0.5,
                0.12,
            ),
            s(
                &[[-6.2, 0.2, 0.3], [-6.1, 1.6, 0.62], [-6.0, 3.2, 0.3]],
                0.5,
                0.2,
            ),
            s(
                &[[-4.2, -8.6, 0.3], [-4.0, -4.0, 0.24], [-4.4, -0.6, 0.2]],
                0.5,
                0.12,
            ),
            s(
                &[[-4.4, -1.6, 0.25], [-4.5, -0.4, 0.55], [-4.6, 0.9, 0.25]],
                0.5,
                0.2,
            ),
            s(
                &[[-5.0, -8.6, 0.3], [-7.2, -5.0, 0.42], [-8.6, -2.6, 0.08]],
                0.4,
                0.1,
            ),
            s(
                &[[6.2, -7.8, 0.3], [6.9, -2.0, 0.26], [6.2, 4.0, 0.2]],
                0.5,
                0.12,
            ),
            s(
                &[[6.3, 2.6, 0.3], [6.1, 4.2, 0.66], [5.9, 6.0, 0.3]],
                0.5,
                0.2,
            ),
            s(
                &[[5.4, -8.4, 0.3], [4.9, -4.6, 0.24], [5.0, -3.4, 0.1]],
                0.5,
                0.1,
            ),
            s(
                &[[6.6, -7.6, 0.3], [8.2, -3.4, 0.42], [9.0, 0.2, 0.08]],
                0.4,
                0.1,
            ),
            s(
                &[[7.0, 0.5, 0.2], [4.6, 2.8, 0.36], [3.2, 5.6, 0.06]],
                0.4,
                0.08,
            ),
            // Water.
            s(
                &[
                    [-7.0, -7.6, 0.1],
                    [-5.2, -7.1, 0.24],
                    [-3.0, -7.7, 0.22],
                    [-0.8, -7.1, 0.2],
                ],
                0.5,
                0.05,
            ),
            s(
                &[[4.2, -7.5, 0.15], [5.8, -7.0, 0.24], [7.4, -7.4, 0.1]],
                0.5,
                0.05,
            ),
            s(
                &[
                    [-4.6, -9.3, 0.1],
                    [-2.4, -8.9, 0.24],
                    [0.0, -9.5, 0.24],
                    [2.4, -9.0, 0.24],
                    [4.6, -9.4, 0.1],
                ],
                0.5,
                0.05,
            ),
        ];
        let cuts = vec![
            s(
                &[[0.4, 0.8, 0.1], [2.6, -0.6, 0.16], [5.4, -2.9, 0.1]],
                1.0,
                0.0,
            ),
            s(
                &[[0.8, 1.5, 0.1], [3.0, 0.2, 0.16], [5.2, -1.7, 0.1]],
                1.0,
                0.0,
            ),
            s(
                &[[0.6, 0.0, 0.1], [2.2, -1.0, 0.16], [4.0, -2.4, 0.1]],
                1.0,
                0.0,
            ),
        ];
        Ok(Self {
            line,
            heron,
            legs,
            reeds,
            cuts,
        })
    }

    /// Height of the front above the plain plate.
    fn front(&self, p: DVec2) -> f64 {
        let r = p.length();
        let compass = libm::atan2(p.x, p.y);
        // Letters stand with their heads outwards and run clockwise.
        let x = ((compass - FIRST_DEG.to_radians()) * BASE_R).rem_euclid(self.line.length_mm);
        let here = dvec2(x, r - BASE_R);
        let (d, worn) = [here, here - dvec2(self.line.length_mm, 0.0)]
            .map(|q| self.line.inside(q))
            .into_iter()
            .fold((-9.0, 0.0), |best, d| if d.0 > best.0 { d } else { best });
        let letters = 0.52 * smooth(-0.17, 0.1, d) * (1.0 - worn);
        let ring = |at: f64, width: f64| 1.0 - smooth(width * 0.4, width, (r - at).abs());
        let beads = {
            let count = 46.0;
            let k = (compass / TAU * count).round() * TAU / count;
            let d = p.distance(dvec2(libm::sin(k), libm::cos(k)) * 15.75);
            if d < 0.78 {
                0.62 * (1.0 - (d / 0.78) * (d / 0.78)).sqrt()
            } else {
                0.0
            }
        };
        let border = (0.42 * ring(14.75, 0.3))
            .max(0.42 * ring(10.85, 0.3))
            .max(0.5 * smooth(16.25, 16.7, r));
        let bird = heap(&self.heron, p, 0.15).max(heap(&self.legs, p, 0.1));
        let mut cut: f64 = 0.0;
        for line in &self.cuts {
            let (d, w) = line.near(p);
            cut = cut.max(0.16 * (1.0 - smooth(0.3 * w, 1.4 * w, d)));
        }
        let eye = 0.2 * (1.0 - smooth(0.1, 0.26, p.distance(dvec2(-3.1, 7.6))));
        let bird = (bird - cut.max(eye)).max(0.0);
        let picture = if r < 10.9 {
            bird.max(0.85 * heap(&self.reeds, p, 0.15))
        } else {
            0.0
        };
        // Rubbing in the river wore the lower right more than the rest.
        let rub = 1.0 - 0.42 * smooth(-0.2, 0.9, p.dot(dvec2(0.75, -0.65)) / RADIUS_MM);
        letters.max(border).max(beads).max(picture) * rub
    }

    /// Height of the back: hammered flat, with the stump of the pin.
    fn back(&self, p: DVec2) -> f64 {
        let stump = p.distance(dvec2(0.4, 3.0));
        let torn = 1.15 + 0.5 * fractal(dvec3(p.x * 1.3, p.y * 1.3, 8.0), 2, 71);
        let pin = torn * (1.0 - smooth(0.85, 1.35, stump)) + 0.3 * bell(stump, 2.4);
        // Where the lower end of the pin was caught: a scar.
        let scar = p.distance(dvec2(0.2, -4.6));
        pin + 0.18 * bell(scar - 1.0, 0.4) - 0.12 * bell(scar, 0.7)
    }

    /// A place on the token: polar angle `a`, then `s` from the middle of the
    /// back (−1) over the edge (0) to the middle of the front (1).
    fn place(&self, a: f64, s: f64) -> DVec3 {
        let edge =
            RADIUS_MM + 0.22 * fractal(dvec3(libm::cos(a) * 2.0, libm::sin(a) * 2.0, 4.0), 2, 51);
        let dir = dvec2(libm::cos(a), libm::sin(a));
        // The last stretch to the edge is a quarter round on either face.
        let flat = 1.0 - s.abs();
        let round = smooth_quarter(flat, edge);
        let p = dir * round.0;
        let face = if s >= 0.0 {
            self.front(p)
        } else {
            self.back(p)
        };
        let texture = 0.05 * fractal(dvec3(p.x * 0.6, p.y * 0.6, s.signum()), 3, 52)
            + 0.02 * noise(dvec3(p.x * 3.0, p.y * 3.0, s.signum() * 3.0), 53);
        let z = s.signum() * (HALF_MM + face + texture) * round.1;
        bend(p, z)
    }

    /// A point of the finished front at a place of the drawing.
    pub fn on_front(&self, p: DVec2) -> DVec3 {
        bend(p, HALF_MM + self.front(p)) + dvec3(0.0, RADIUS_MM, 0.0)
    }

    /// A point of the finished back.
    pub fn on_back(&self, p: DVec2) -> DVec3 {
        bend(p, -HALF_MM - self.back(p)) + dvec3(0.0, RADIUS_MM, 0.0)
    }

    /// The crest of the fold.
    pub fn fold(&self) -> DVec3 {
        self.on_back(fold_dir() * (FOLD_FROM_MM + FOLD_R * 1.15))
    }

    /// Where a letter of the inscription stands.
    pub fn letter(&self, number: usize) -> DVec3 {
        let a = FIRST_DEG.to_radians() + self.line.middle(number) / BASE_R;
        self.on_front(dvec2(libm::sin(a), libm::cos(a)) * (BASE_R + 1.2))
    }

    /// The whole token, thinned and coloured, its lowest point at y = 0.
    pub fn body(&self) -> Solid {
        let mut rows = Vec::new();
        let steps = 190;
        for i in 1..=2 * steps - 1 {
            let t = f64::from(i) / f64::from(steps) - 1.0;
            rows.push(t);
        }
        let columns = 1080;
        let (mut solid, _) = turned(&rows, [-1.0, 1.0], columns, |a, s| (self.place(-a, s), ()));
        if solid.volume_mm3() < 0.0 {
            for t in &mut solid.triangles {
                t.swap(1, 2);
            }
        }
        let stands = relief(&solid, 10);
        solid.colours = solid
            .points
            .iter()
            .zip(&stands)
            .map(|(p, s)| lead(*p, *s))
            .collect();
        let mut thin = solid.thin(TRIANGLES);
        let low = thin.points.iter().map(|p| p.y).fold(f64::MAX, f64::min);
        let normals = thin.normals();
        for (p, n) in thin.points.iter_mut().zip(normals) {
            *p += n * (0.012 * noise(*p * 9.1, 410)) - DVec3::Y * low;
        }
        thin
    }
}

/// Radius and share of the thickness at `t` (0 middle, 1 edge).
fn smooth_quarter(t: f64, edge: f64) -> (f64, f64) {
    let round = 0.06;
    if t < 1.0 - round {
        let flat = edge - HALF_MM;
        return (flat * t / (1.0 - round), 1.0);
    }
    let q = (t - (1.0 - round)) / round * PI * 0.5;
    (edge - HALF_MM + HALF_MM * libm::sin(q), libm::cos(q))
}

fn fold_dir() -> DVec2 {
    let a = FOLD_DEG.to_radians();
    dvec2(libm::cos(a), libm::sin(a))
}

/// Lays a flat place and its height into the bent plate.
fn bend(p: DVec2, z: f64) -> DVec3 {
    // A slight general bow, then the fold forwards over the front.
    let bow = 0.0022 * p.length_squared() * (0.6 + 0.4 * p.x / RADIUS_MM);
    let dir = fold_dir();
    let past = p.dot(dir) - FOLD_FROM_MM - 0.02 * p.perp_dot(dir) * p.perp_dot(dir);
    if past <= 0.0 {
        return dvec3(p.x, p.y, z - bow);
    }
    let turn = (past / FOLD_R).min(FOLD_MOST);
    let rest = past - turn * FOLD_R;
    let (sin, cos) = (libm::sin(turn), libm::cos(turn));
    let along = FOLD_R * sin + rest * cos - z * sin;
    let up = FOLD_R * (1.0 - cos) + rest * sin + z * cos;
    let flat = p + dir * (along - past);
    dvec3(flat.x, flat.y, up - bow)
}
