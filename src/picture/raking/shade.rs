//! Light and shadow of a lamp that grazes a surface.

use super::run::Run;
use super::seen::Relief;
use glam::Vec3;
use rayon::prelude::*;
use std::ops::Range;

/// The side from which light comes, as the eye sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// As engravers have it.
    UpperLeft,
    /// From the top of the picture.
    Above,
    /// From the upper right.
    UpperRight,
    /// From the right.
    Right,
    /// From the lower right.
    LowerRight,
    /// From the foot of the picture.
    Below,
    /// From the lower left.
    LowerLeft,
    /// From the left.
    Left,
}

impl Side {
    /// All of them, clockwise from the upper left.
    pub const ALL: [Self; 8] = [
        Self::UpperLeft,
        Self::Above,
        Self::UpperRight,
        Self::Right,
        Self::LowerRight,
        Self::Below,
        Self::LowerLeft,
        Self::Left,
    ];

    /// Its name in the interface words and file names.
    pub fn word(self) -> &'static str {
        match self {
            Self::UpperLeft => "upper-left",
            Self::Above => "above",
            Self::UpperRight => "upper-right",
            Self::Right => "right",
            Self::LowerRight => "lower-right",
            Self::Below => "below",
            Self::LowerLeft => "lower-left",
            Self::Left => "left",
        }
    }

    /// One step toward the lamp: columns to the right, rows upward.
    pub fn step(self) -> [isize; 2] {
        match self {
            Self::UpperLeft => [-1, 1],
            Self::Above => [0, 1],
            Self::UpperRight => [1, 1],
            Self::Right => [1, 0],
            Self::LowerRight => [1, -1],
            Self::Below => [0, -1],
            Self::LowerLeft => [-1, -1],
            Self::Left => [-1, 0],
        }
    }
}

/// Where a lamp stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamp {
    /// Around the surface.
    pub side: Side,
    /// Above the surface, degrees.
    pub height_deg: f64,
}

impl Lamp {
    /// Toward the lamp: right, up, away from the surface.
    fn toward(self) -> Vec3 {
        let [right, up] = self.side.step().map(|n| n as f32);
        #[expect(clippy::cast_possible_truncation, reason = "an angle")]
        let (sin, cos) = (self.height_deg.to_radians() as f32).sin_cos();
        (Vec3::new(right, up, 0.0).normalize() * cos) + Vec3::Z * sin
    }
}

/// How tall a lamp looks from the surface, degrees: it is no point, so a shadow grows soft with its
/// length.
const TALL_DEG: f64 = 2.4;
/// For the combined picture the lamp is also carried up, to these times its height: a shadow that ends
/// sharply would be taken for an edge of the surface.
const CARRIED_UP: [f64; 3] = [1.0, 1.7, 2.6];
/// But no higher than this, degrees.
const UP_TO_DEG: f64 = 60.0;

/// A surface with its run taken out, ready for any lamp.
#[derive(Debug, Clone)]
pub struct Raked {
    relief: Relief,
    /// Height of the run toward the eye, millimetres: how far apart pixels lie on the surface.
    run_mm: Vec<f32>,
    /// Height above the run, at right angles to it, millimetres.
    rise_mm: Vec<f32>,
    /// Normals, turned as the run must be turned to face the eye.
    slope: Vec<Vec3>,
}

impl Raked {
    /// Takes the run out of a relief.
    pub fn new(relief: Relief, run: &Run) -> Self {
        let rise_mm = (relief.height_mm().iter())
            .zip(&run.height_mm)
            .zip(&run.normal)
            .map(|((height, under), normal)| (height - under) * normal.z)
            .collect();
        let slope = (relief.normal().iter())
            .zip(&run.normal)
            .map(|(own, under)| turned(*own, *under))
            .collect();
        Self {
            run_mm: run.height_mm.clone(),
            rise_mm,
            slope,
            relief,
        }
    }

    /// What the camera met.
    pub fn relief(&self) -> &Relief {
        &self.relief
    }

    /// Height above the run, millimetres.
    pub fn rise_mm(&self) -> &[f32] {
        &self.rise_mm
    }

    /// Light of a lamp, pixel by pixel, where flat ground has 1: Lambert's cosine, and shadow.
    pub fn lit(&self, lamp: Lamp) -> Vec<f32> {
        let toward = lamp.toward();
        let whole = self.window(f32::INFINITY);
        let mut light = self.reached(lamp, &whole);
        for (light, slope) in light.iter_mut().zip(&self.slope) {
            *light *= slope.dot(toward).max(0.0) / toward.z;
        }
        light
    }

    /// The same while the lamp is carried up from there.
    pub(super) fn lit_softly(&self, lamp: Lamp) -> Vec<f32> {
        let mut light = vec![0.0; self.slope.len()];
        for times in CARRIED_UP {
            let height_deg = (lamp.height_deg * times).min(UP_TO_DEG);
            let now = self.lit(Lamp { height_deg, ..lamp });
            for (sum, now) in light.iter_mut().zip(now) {
                *sum += now / CARRIED_UP.len() as f32;
            }
        }
        light
    }

    /// Light straight from the eye, where a surface that faces it has 1.
    pub fn even(&self) -> Vec<f32> {
        self.relief.normal().iter().map(|n| n.z.max(0.0)).collect()
    }

    /// Share of the surface within `radius` pixels of the middle that no light reaches, in the mean
    /// of all sides.
    pub fn in_shadow(&self, height_deg: f64, radius: f32) -> f64 {
        let inside = self.around_middle(radius);
        // What stands about throws its shadow in, too.
        let window = self.window(radius * 3.0);
        let of_side = |side: Side| {
            let lamp = Lamp { side, height_deg };
            let (toward, reached) = (lamp.toward(), self.reached(lamp, &window));
            let dark = |i: &&usize| reached[**i] < 0.5 || self.slope[**i].dot(toward) <= 0.0;
            inside.iter().filter(dark).count()
        };
        let dark: usize = Side::ALL.into_par_iter().map(of_side).sum();
        dark as f64 / (inside.len() * Side::ALL.len()).max(1) as f64
    }

    /// Pixels of the surface within so many pixels of the middle.
    pub(super) fn around_middle(&self, radius: f32) -> Vec<usize> {
        let [width, height] = self.relief.size_px().map(|n| n as f32);
        let across = self.relief.across().max(1);
        (0..self.slope.len())
            .filter(|i| {
                let (x, y) = ((i % across) as f32 + 0.5, (i / across) as f32 + 0.5);
                (x - width / 2.0).hypot(y - height / 2.0) <= radius && self.relief.cover()[*i] > 0.0
            })
            .collect()
    }

    /// Columns and rows within so many pixels of the middle.
    fn window(&self, radius: f32) -> [Range<isize>; 2] {
        [self.relief.across(), self.relief.down()].map(|length| {
            let middle = length as f32 / 2.0;
            #[expect(clippy::cast_possible_truncation, reason = "pixels of a picture")]
            let [from, to] = [middle - radius, middle + radius].map(|v| v as isize);
            from.max(0)..to.min(length.cast_signed())
        })
    }

    /// Share of a lamp's light that reaches each pixel of a window. From the lamp's side, a plane of
    /// shadow falls from everything that rises above it.
    fn reached(&self, lamp: Lamp, [columns, rows]: &[Range<isize>; 2]) -> Vec<f32> {
        let across = self.relief.across();
        let [right, up] = lamp.side.step();
        let mut reached = vec![0.0; self.slope.len()];
        let tan = |off: f64| (lamp.height_deg + off).to_radians().tan();
        let step = ((right * right + up * up) as f64).sqrt();
        #[expect(clippy::cast_possible_truncation, reason = "lengths in a picture")]
        let (fall, spread, step_mm) = (
            tan(0.0) as f32,
            (tan(TALL_DEG / 2.0) - tan(-TALL_DEG / 2.0)) as f32,
            (self.relief.pixel_mm() * step) as f32,
        );
        let inside = |x: isize, y: isize| columns.contains(&x) && rows.contains(&y);
        let edge = (rows.clone())
            .flat_map(|y| columns.clone().map(move |x| (x, y)))
            .filter(|(x, y)| !inside(x + right, y - up));
        for (mut x, mut y) in edge {
            // The plane's height, and how far back it began.
            let (mut shadow, mut length) = (f32::NEG_INFINITY, 0.0);
            let mut before = None;
            while inside(x, y) {
                let i = y.cast_unsigned() * across + x.cast_unsigned();
                if self.relief.cover()[i] > 0.0 {
                    let run = self.run_mm[i];
                    let climb = run - before.unwrap_or(run);
                    let apart = (step_mm * step_mm + climb * climb).sqrt();
                    shadow -= apart * fall;
                    length += apart;
                    let above = self.rise_mm[i] - shadow;
                    // A lamp's own height makes the edge soft, and beyond the next pixel the grid does.
                    let soft = length * spread + (1.0 - apart / length) * apart * fall;
                    reached[i] = (above / soft + 0.5).clamp(0.0, 1.0);
                    if above > 0.0 {
                        (shadow, length) = (self.rise_mm[i], 0.0);
                    }
                    before = Some(run);
                } else {
                    shadow = f32::NEG_INFINITY;
                    before = None;
                }
                x -= right;
                y += up;
            }
        }
        reached
    }
}

/// A normal, turned the shortest way by which `under` comes to face the eye.
fn turned(own: Vec3, under: Vec3) -> Vec3 {
    let about = under.cross(Vec3::Z);
    own * under.z + about.cross(own) + about * (about.dot(own) / (1.0 + under.z).max(1e-3))
}
