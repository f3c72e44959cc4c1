//! The body of the mortar: the turned profile with everything that stands on it.

use std::f64::consts::{PI, TAU};

use glam::{DVec2, DVec3, dvec2, dvec3};

use crate::field::{Stroke, heap};
use crate::hare::{Hare, sprig};
use crate::letters::Line;
use crate::noise::{bell, fractal, mix, smooth};
use crate::profile::{self, Profile};
use crate::solid::Solid;
use crate::turned::turned;

/// Columns round the axis before thinning.
const COLUMNS: usize = 2048;
/// Angles (degrees of azimuth) at which things stand.
pub const SEAMS_DEG: [f64; 2] = [104.5, 284.5];
pub const PLUG_DEG: f64 = 333.0;
pub const PATCH_DEG: f64 = 318.0;
pub const DENT_DEG: f64 = 45.0;
pub const BEAD_DEG: f64 = 176.0;
/// Height of the plug's middle, the wax bead and the hares' middle.
pub const PLUG_Y: f64 = 75.6;
pub const BEAD_Y: f64 = 112.0;
pub const HARE_Y: f64 = 49.2;
/// Radius at which arc lengths of the letters and hares are counted.
const BAND_R: f64 = 58.1;
const FRIEZE_R: f64 = 51.0;
pub const TEXT: &str = "✠ TOMAS · FVSOR · ME · FECIT · ANNO · DNI · 1647 ";

/// What the surface is at a point; drives the colour.
#[derive(Clone, Copy, Default)]
pub struct Skin {
    pub copper: f64,
    pub plug: f64,
    pub worn: f64,
    pub inside: f64,
}

/// Which of the two bodies is being shaped.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Body {
    Original,
    Replica,
}

/// All drawings of the mortar, ready to be laid on the profile.
pub struct Mortar {
    pub profile: Profile,
    line: Line,
    hare: Hare,
    sprig: Vec<Stroke>,
    base_s: f64,
    hare_s: f64,
    plug_s: f64,
    pub bead_s: f64,
    top_s: f64,
    patch: [f64; 2],
}

/// Azimuths of the eight hares: four in front between the handles, four behind.
pub fn hares_deg() -> [f64; 8] {
    let mut out = [0.0; 8];
    for (i, a) in out.iter_mut().enumerate() {
        let side = if i < 4 { 0.0 } else { 180.0 };
        *a = side + (f64::from((i % 4) as u32) - 1.5) * PITCH_DEG;
    }
    out
}

const PITCH_DEG: f64 = 37.6;

/// Factor on the radius at azimuth `a`: the mortar is a little oval.
pub fn roundness(a: f64) -> f64 {
    1.0 + 0.0055 * libm::cos(2.0 * (a - 0.6)) + 0.0025 * libm::cos(3.0 * a + 1.0)
}

/// Difference of two azimuths, −π to π.
pub fn turn(a: f64, b_deg: f64) -> f64 {
    let mut d = a - b_deg.to_radians();
    while d > PI {
        d -= TAU;
    }
    while d < -PI {
        d += TAU;
    }
    d
}

impl Mortar {
    pub fn new() -> Result<Self, String> {
        let profile = profile::mortar();
        let band = profile.rise_to(88.2, profile.rise_to(86.0, 90.0));
        let line = Line::set(TEXT, 9.8, Some(TAU * BAND_R), &[(33, 0.9)], Some([38, 40]))?;
        let hare_s = profile.rise_to(HARE_Y, 80.0);
        let plug_s = profile.rise_to(PLUG_Y, 80.0);
        let bead_s = profile.fall_to(BEAD_Y);
        let top_s = profile.top();
        let patch = [profile.rise_to(112.5, 80.0), profile.fall_to(118.0)];
        Ok(Self {
            line,
            hare: Hare::draw(),
            sprig: sprig(),
            base_s: band + 1.7,
            hare_s,
            plug_s,
            bead_s,
            top_s,
            patch,
            profile,
        })
    }

    fn letters(&self, a: f64, s: f64, p: DVec3) -> f64 {
        let y = s - self.base_s;
        if !(-2.0..14.5).contains(&y) {
            return 0.0;
        }
        let start = self.line.middle(0);
        let x = (a * BAND_R + start).rem_euclid(self.line.length_mm);
        let at = |x: f64| self.line.inside(dvec2(x, y));
        let (d, worn) = [
            at(x),
            at(x - self.line.length_mm),
            at(x + self.line.length_mm),
        ]
        .into_iter()
        .fold((-9.0, 0.0), |best, d| if d.0 > best.0 { d } else { best });
        let left = 1.0 - worn * smooth(-0.9, -0.1, fractal(p * 0.3, 2, 77));
        1.25 * smooth(-0.42, 0.1, d) * left
    }

    fn frieze(&self, a: f64, s: f64) -> f64 {
        let y = s - self.hare_s;
        if y.abs() > 14.0 {
            return 0.0;
        }
        let mut h: f64 = 0.0;
        for (i, at) in hares_deg().into_iter().enumerate() {
            // Hand-pressed stamps: each sits a touch differently.
            let lean = [0.02, -0.03, 0.015, -0.01, 0.03, -0.02, 0.0, 0.025][i];
            let d = turn(a, at) * FRIEZE_R;
            let p = dvec2(d + lean * y, y - lean * d) * 1.04;
            h = h.max(self.hare.height(p));
            if i % 4 < 3 {
                let d = turn(a, at + PITCH_DEG * 0.5) * FRIEZE_R;
                h = h.max(heap(&self.sprig, dvec2(d, y), 0.3));
            }
        }
        h
    }

    fn seam(&self, a: f64, s: f64, p: DVec3, body: Body) -> f64 {
        let mut h: f64 = 0.0;
        for (i, deg) in SEAMS_DEG.into_iter().enumerate() {
            let wander = 0.35 * fractal(dvec3(0.0, s * 0.08, f64::from(i as u32) * 9.0), 2, 5);
            let d = turn(a, deg) * dvec2(p.x, p.z).length() + wander;
            let strength =
                0.75 + 0.35 * fractal(dvec3(s * 0.2, f64::from(i as u32) * 7.0, 0.0), 2, 9);
            h = h.max(0.85 * strength * (1.0 - smooth(0.12, 0.85, d.abs())));
        }
        let outer = smooth(58.0, 61.0, s) * (1.0 - smooth(self.top_s - 9.0, self.top_s - 4.0, s));
        h * outer * if body == Body::Original { 1.0 } else { 0.22 }
    }

    /// Plate, rivets, plug, bead: height and skin.
    fn mends(&self, a: f64, s: f64, body: Body, skin: &mut Skin) -> f64 {
        let mut h = 0.0;
        let plug = dvec2(turn(a, PLUG_DEG) * 54.0, s - self.plug_s).length();
        skin.plug = 1.0 - smooth(4.1, 4.5, plug);
        h += 0.42 * skin.plug - 0.55 * (1.0 - smooth(0.12, 0.5, (plug - 4.75).abs()));
        let m = self.plate(a, s);
        h += 1.15 * smooth(0.25, 0.7, m);
        skin.copper = smooth(0.2, 0.4, m);
        for (x, along) in [(-8.2, 3.2), (8.2, 3.2), (-8.2, 13.4), (8.2, 13.4)] {
            let d = dvec2(turn(a, PATCH_DEG) * 70.0 - x, s - self.patch[0] - along).length();
            if d < 2.1 {
                h += 1.15 * (1.0 - (d / 2.1) * (d / 2.1)).sqrt();
            }
            h -= 0.3 * bell(d - 2.45, 0.3);
        }
        if body == Body::Replica {
            let d = dvec2(
                turn(a, BEAD_DEG) * self.profile.at(self.bead_s).x,
                s - self.bead_s,
            )
            .length();
            if d < 2.5 {
                h += 2.0 * (1.0 - (d / 2.5) * (d / 2.5)).sqrt();
            }
        }
        h
    }

    /// How far inside the edge of the plate, mm, capped at 1; 0 outside.
    fn plate(&self, a: f64, s: f64) -> f64 {
        let x = turn(a, PATCH_DEG) * 70.0;
        let middle = (self.patch[0] + self.patch[1]) * 0.5;
        let half = (self.patch[1] - self.patch[0]) * 0.5;
        let wobble = 0.4 * fractal(dvec3(x * 0.25, s * 0.25, 3.0), 2, 41);
        let q = dvec2(x.abs() - 9.6, (s - middle).abs() - (half - 2.0));
        let d = q.max(DVec2::ZERO).length() + q.x.max(q.y).min(0.0) - 2.2 + wobble;
        (-d).clamp(0.0, 1.0)
    }

    fn crack(&self, a: f64, s: f64) -> f64 {
        let along = self.patch[0] + 2.0 - s;
        if !(0.0..19.0).contains(&along) {
            return 0.0;
        }
        let way = 1.6 * fractal(dvec3(along * 0.22, 1.0, 0.0), 3, 61) + 0.10 * along;
        let d = (turn(a, PATCH_DEG) * 62.0 - way).abs();
        -0.5 * (1.0 - smooth(0.05, 0.4, d)) * (1.0 - smooth(9.0, 19.0, along))
    }

    fn scars(&self, a: f64, r: f64, s: f64) -> f64 {
        if s > 46.0 {
            return 0.0;
        }
        let p = dvec2(libm::sin(a), libm::cos(a)) * r;
        let mut h: f64 = 0.0;
        for ring in [0, 1, 2] {
            let count = [5, 11, 17][ring];
            for k in 0..count {
                let jitter = fractal(dvec3(f64::from(k) * 3.7, ring as f64 * 11.3, 0.5), 1, 83);
                let b = TAU * (f64::from(k) + 0.25 * jitter) / f64::from(count) + ring as f64;
                let at = dvec2(libm::sin(b), libm::cos(b)) * [11.0, 23.0, 35.0][ring];
                let d = p.distance(at);
                if d < 2.2 {
                    let rough = 0.6 + 0.5 * fractal(dvec3(p.x * 2.2, p.y * 2.2, 0.0), 2, 87);
                    h = h.max(0.75 * rough * (1.0 - smooth(0.8, 1.6, d)));
                }
            }
        }
        h
    }

    /// The point of the surface at azimuth `a` and arc length `s`.
    pub fn point(&self, a: f64, s: f64, body: Body) -> (DVec3, Skin) {
        let mut skin = Skin::default();
        let normal = self.profile.normal(s);
        let mut base = self.profile.at(s);
        let plate = self.plate(a, s);
        if plate > 0.0 {
            base = base.lerp(self.profile.hammered(s, 1.6), smooth(0.0, 1.0, plate));
        }
        let (sin, cos) = (libm::sin(a), libm::cos(a));
        let place = |q: DVec2| dvec3(q.x * sin, q.y, q.x * cos);
        let p = place(base);
        let outer = s < self.top_s;
        let mut h = self.mends(a, s, body, &mut skin);
        let bare = 1.0 - skin.copper;
        if outer {
            h += self.letters(a, s, p) + self.frieze(a, s);
            h += bare * (self.seam(a, s, p, body) + self.crack(a, s));
            if body == Body::Replica {
                h += self.scars(a, base.x, s);
            }
        }
        h += 0.06 * fractal(p * 0.22, 3, 11) + 0.03 * fractal(p * 1.1, 2, 12);
        h += 0.16 * fractal(p * 0.05, 2, 13);
        // Pits of the casting, sparse and shallow.
        h -= 0.22 * smooth(0.62, 0.86, fractal(p * 0.62, 2, 17)) * bare;
        let mut q = base + normal * (h * smooth(0.0, 4.0, base.x));
        // Neither founder nor four centuries leave a true circle.
        q.x *= roundness(a);
        let lean = bell(turn(a, DENT_DEG) * 72.0, 9.0) * smooth(118.0, 131.0, q.y);
        q.x -= 4.2 * lean * if outer { 1.0 } else { 0.8 };
        q.y -= 2.6 * lean * smooth(125.0, 131.0, q.y);
        skin.inside = if outer {
            0.0
        } else {
            smooth(self.top_s, self.top_s + 8.0, s)
        };
        skin.worn = smooth(128.5, 131.5, base.y) * 0.7 + bell(s - (self.top_s - 7.5), 3.0) * 0.35;
        (place(q), skin)
    }

    /// Arc length, going up the outside, of height `y`.
    pub fn outside(&self, y: f64) -> f64 {
        self.profile.rise_to(y, 80.0)
    }

    /// Azimuth in degrees of the middle of a character of the inscription.
    pub fn letter_deg(&self, place: usize) -> f64 {
        ((self.line.middle(place) - self.line.middle(0)) / BAND_R).to_degrees()
    }

    /// Rows along the profile, closer where the relief is.
    fn rows(&self) -> Vec<f64> {
        let length = self.profile.length_mm();
        let (mut rows, mut s) = (Vec::new(), 0.35);
        while s < length - 0.35 {
            rows.push(s);
            let y = self.profile.at(s).y;
            let relief = s < self.top_s && y > 34.0;
            s += if relief {
                0.24
            } else {
                mix(0.34, 0.5, smooth(self.top_s + 20.0, self.top_s + 50.0, s))
            };
        }
        rows
    }

    /// The whole surface, closed, before thinning.
    pub fn surface(&self, body: Body) -> (Solid, Vec<Skin>) {
        let rows = self.rows();
        turned(&rows, [0.0, self.profile.length_mm()], COLUMNS, |a, s| {
            self.point(a, s, body)
        })
    }
}
