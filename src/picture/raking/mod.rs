//! Raking light: lamps all round a detail, so low that they graze it, and one picture that takes the
//! best of them all.
//!
//! What the camera meets is found once, by rays ([`Relief`]), and shared by all lamps. The smooth run
//! of the surface is taken out of it ([`Run`]), as if the wall of a vessel were rolled out flat: so
//! a lamp grazes the whole of the picture and not only the strip that happens to lie right, as when
//! a keeper walks round the object with the lamp in hand. Above that run stand heights and slopes
//! ([`Raked`]); their shadows come from one pass along the rows, columns or diagonals, since eight
//! lamps lie in just those directions. Only what the camera sees throws a shadow.

mod blend;
mod pyramid;
mod run;
mod seen;
mod shade;
mod soften;

pub use run::Run;
pub use seen::Relief;
pub use shade::{Lamp, Raked, Side};

use super::files::one;
use super::{Camera, PictureError, Scene, Sized};
use crate::mesh::{linear_to_srgb, to_byte};
use glam::Vec3;
use image::{Rgba, RgbaImage};
use rayon::prelude::*;

/// Changes whenever the same scene and camera would give other pictures.
pub const RAKING_METHOD: &str = "raking light 6";

/// Heights above the surface at which a lamp may stand, degrees, lowest first.
const HEIGHTS_DEG: [f64; 9] = [6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 21.0, 24.0];
/// A lamp is too low when, in the mean of all sides, more than this share of the detail's middle lies
/// in shadow: then letters drown one another.
const MOST_SHADOW: f64 = 0.25;
/// That middle, as a share of the detail's radius: mouldings at its edge have no say.
const MIDDLE: f32 = 0.6;
/// The run of the surface is taken over this share of the detail's radius: wider than the stroke of
/// a letter, narrower than the vessel's curve.
const REACH: f64 = 0.4;
/// Pixels looked at beyond every edge of the picture, for what throws a shadow into it.
const BEYOND: u32 = 32;

/// Exposure of flat ground under a lamp, as film answers light (see [`shown`]).
const GROUND: f32 = 0.30;
/// Light from all around, of what flat ground gets from the lamp: shadows are deep and not black.
const AROUND: f32 = 0.14;
/// Exposure of a surface that faces the eye, under light from there.
const FROM_EYE: f32 = 0.62;
/// Grey-warm, linear: the same for every body and all matter, since patina would drown the relief.
const TINT: Vec3 = Vec3::new(1.0, 0.952, 0.875);
/// Paper around the object, sRGB.
const PAPER: [u8; 3] = [246, 241, 230];

/// All pictures of one detail on one body.
#[derive(Debug, Clone, PartialEq)]
pub struct RakedPictures {
    /// By the side from which the light comes, in the order of [`Side::ALL`].
    pub sides: Vec<RgbaImage>,
    /// The best of all sides.
    pub combined: RgbaImage,
    /// Light from the eye, for comparison.
    pub even: RgbaImage,
}

/// The surface around a detail, ready to be raked.
pub struct RakedDetail {
    raked: Raked,
    /// Pixels.
    radius: f32,
    reach_px: f32,
}

impl RakedDetail {
    /// Finds the surface before the camera; the detail is in the middle of the picture.
    pub fn seen(scene: &Scene, camera: &Camera, radius_mm: f64) -> Self {
        let [width, height] = camera.size_px;
        let wider = Camera {
            size_px: [width + 2 * BEYOND, height + 2 * BEYOND],
            half_height_mm: camera.half_height_mm * f64::from(height + 2 * BEYOND)
                / f64::from(height.max(1)),
            ..*camera
        };
        let relief = Relief::seen(scene, &wider);
        let reach_mm = radius_mm * REACH;
        let run = Run::of(&relief, reach_mm);
        #[expect(clippy::cast_possible_truncation, reason = "lengths in a picture")]
        let (radius, reach_px) = (
            (radius_mm / relief.pixel_mm()) as f32,
            (reach_mm / relief.pixel_mm()) as f32,
        );
        Self {
            raked: Raked::new(relief, &run),
            radius,
            reach_px,
        }
    }

    /// The lowest height of a lamp that leaves enough of the detail out of shadow, degrees.
    pub fn lowest_deg(&self) -> f64 {
        let last = HEIGHTS_DEG[HEIGHTS_DEG.len() - 1];
        HEIGHTS_DEG
            .into_iter()
            .find(|height| self.raked.in_shadow(*height, self.radius * MIDDLE) <= MOST_SHADOW)
            .unwrap_or(last)
    }

    /// Takes all pictures with the lamps at this height.
    pub fn pictures(&self, height_deg: f64) -> RakedPictures {
        let tones = |light: Vec<f32>| -> Vec<f32> {
            let exposed = light.into_iter().map(|l| GROUND * (l + AROUND));
            exposed.map(shown).collect()
        };
        let lamps = Side::ALL.map(|side| Lamp { side, height_deg });
        let sides: Vec<RgbaImage> = lamps
            .into_par_iter()
            .map(|lamp| self.inked(&tones(self.raked.lit(lamp))))
            .collect();
        let soft: Vec<Vec<f32>> = lamps
            .into_par_iter()
            .map(|lamp| tones(self.raked.lit_softly(lamp)))
            .collect();
        let even: Vec<f32> = self
            .raked
            .even()
            .into_iter()
            .map(|l| shown(FROM_EYE * l))
            .collect();
        let combined = blend::combined(&self.raked, &soft, self.radius * MIDDLE, self.reach_px);
        RakedPictures {
            sides,
            combined: self.inked(&combined),
            even: self.inked(&even),
        }
    }

    /// Tones in grey-warm on paper.
    fn inked(&self, tones: &[f32]) -> RgbaImage {
        let relief = self.raked.relief();
        let [wide, tall] = relief.size_px();
        let inks = inks();
        RgbaImage::from_fn(wide - 2 * BEYOND, tall - 2 * BEYOND, |x, y| {
            let i = ((y + BEYOND) * wide + x + BEYOND) as usize;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "one of the inks"
            )]
            let ink = inks[(tones[i].clamp(0.0, 1.0) * LAST_INK + 0.5) as usize];
            let [r, g, b] = [0, 1, 2].map(|k| {
                let paper = f32::from(PAPER[k]) / 255.0;
                to_byte(paper + (ink[k] - paper) * relief.cover()[i])
            });
            Rgba([r, g, b, 255])
        })
    }
}

/// Steps from black to white, more than a byte can tell apart.
const LAST_INK: f32 = 4095.0;

/// The grey-warm of every step, sRGB.
fn inks() -> Vec<[f32; 3]> {
    (0..=4095u16)
        .map(|step| {
            let grey = crate::mesh::srgb_to_linear(f32::from(step) / LAST_INK);
            (TINT * grey).to_array().map(linear_to_srgb)
        })
        .collect()
}

/// Light as it is shown, sRGB: film nears white the slower the more light there is already.
fn shown(exposure: f32) -> f32 {
    linear_to_srgb(1.0 - (-exposure).exp())
}

impl RakedPictures {
    /// Every picture as a file of its own size, no smaller ones: sides, combined, even.
    ///
    /// # Errors
    /// The encoder refuses, which happens only for sizes beyond its own limits.
    pub fn files(&self) -> Result<Vec<Sized>, PictureError> {
        let all: Vec<&RgbaImage> = self
            .sides
            .iter()
            .chain([&self.combined, &self.even])
            .collect();
        all.into_par_iter()
            .map(|picture| one(picture, picture.width(), false))
            .collect()
    }
}
