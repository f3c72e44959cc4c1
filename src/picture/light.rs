//! The studio: a soft key light from the upper left, as engravers have it, a dim sky, a paper
//! floor, and a strip at the back that draws the far edge. Everything turns with the camera.

use super::camera::Axes;
use super::scene::Spot;
use crate::mesh::{linear_to_srgb, to_byte};
use glam::Vec3;
use std::sync::LazyLock;

/// The lights, in the directions of one camera.
#[derive(Debug, Clone, Copy)]
pub(super) struct Studio {
    key: Vec3,
    strip: Vec3,
    up: Vec3,
}

/// Where the key light stands, as the camera sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeyLight {
    /// Right, up, toward the eye; need not be of unit length.
    toward: Vec3,
}

impl Default for KeyLight {
    /// Upper left and before the object, as engravers have it.
    fn default() -> Self {
        Self {
            toward: Vec3::new(-0.62, 0.72, 0.55),
        }
    }
}

impl KeyLight {
    /// From the left, `height_deg` above a surface that faces the eye: raking light.
    pub fn raking(height_deg: f32) -> Self {
        let (sin, cos) = height_deg.to_radians().sin_cos();
        Self {
            toward: Vec3::new(-cos * 0.94, cos * 0.34, sin),
        }
    }
}

/// Strength of the key light.
const KEY: f32 = 3.3;
/// Half-angle of the key light's box, as a tangent: how soft its shadows are.
pub(super) const KEY_SPREAD: f32 = 0.22;
/// Light that comes off the object's own surfaces into its hollows.
const BOUNCE: f32 = 0.22;

/// What lights a scene.
pub(super) trait Lights: Sync {
    /// Toward the key light.
    fn key(&self) -> Vec3;
    /// Light arriving from a direction, without the key.
    fn sky(&self, from: Vec3) -> Vec3;
    /// Light that a mirror would see there of the box of the key.
    fn box_of_key(&self, from: Vec3) -> Vec3;
    /// Diffuse light of the key on a surface that it reaches.
    fn key_on(&self, normal: Vec3) -> Vec3;
    /// Light in a direction in which the object itself stands.
    fn bounced(&self) -> Vec3;
}

impl Studio {
    pub(super) fn around(axes: &Axes, key: KeyLight) -> Self {
        let (right, up, eye) = (
            axes.right.as_vec3(),
            axes.up.as_vec3(),
            axes.toward_eye.as_vec3(),
        );
        Self {
            key: (key.toward.x * right + key.toward.y * up + key.toward.z * eye).normalize_or(up),
            strip: (0.85 * right + 0.2 * up - 0.35 * eye).normalize(),
            up: Vec3::Y,
        }
    }
}

impl Lights for Studio {
    fn key(&self) -> Vec3 {
        self.key
    }

    fn sky(&self, from: Vec3) -> Vec3 {
        let height = from.dot(self.up);
        let (floor, horizon, zenith) = (
            Vec3::new(0.50, 0.47, 0.43),
            Vec3::splat(0.66),
            Vec3::new(1.02, 1.05, 1.10),
        );
        let base = if height >= 0.0 {
            horizon.lerp(zenith, height)
        } else {
            horizon.lerp(floor, (-height * 2.0).min(1.0))
        };
        base + Vec3::splat(1.8 * smooth_step(0.80, 0.97, from.dot(self.strip)))
    }

    fn box_of_key(&self, from: Vec3) -> Vec3 {
        Vec3::new(1.0, 0.98, 0.94) * (KEY * 1.5 * smooth_step(0.72, 0.95, from.dot(self.key)))
    }

    fn key_on(&self, normal: Vec3) -> Vec3 {
        Vec3::new(1.0, 0.975, 0.93) * (KEY * normal.dot(self.key).max(0.0))
    }

    fn bounced(&self) -> Vec3 {
        Vec3::new(1.0, 0.95, 0.88) * BOUNCE
    }
}

/// Diffuse and mirror-like parts of a surface's colour, linear: metal has no diffuse part, other
/// matter reflects 4 % straight on (glTF 2.0, appendix B.2.1).
pub(super) fn reflectances(spot: &Spot) -> (Vec3, Vec3) {
    let colour = Vec3::from_array(spot.colour.map(linear));
    let metal = spot.finish.metallic;
    (
        colour * (1.0 - metal),
        Vec3::splat(0.04).lerp(colour, metal),
    )
}

/// sRGB to linear light by a table, between whose steps the curve is straight to a ten-thousandth.
fn linear(value: f32) -> f32 {
    const STEPS: usize = 512;
    static TABLE: LazyLock<Vec<f32>> = LazyLock::new(|| {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred")]
        let at = |i: usize| crate::mesh::srgb_to_linear(i as f32 / STEPS as f32);
        (0..=STEPS + 1).map(at).collect()
    });
    #[expect(clippy::cast_precision_loss, reason = "a few hundred")]
    let place = value.clamp(0.0, 1.0) * STEPS as f32;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "within the table"
    )]
    let step = place as usize;
    let (low, high) = (TABLE[step], TABLE[step + 1]);
    low + (high - low) * place.fract()
}

/// Linear light to a byte of sRGB by a table whose steps are a twentieth of a byte at most.
pub(super) fn displayed(value: f32) -> u8 {
    static TABLE: LazyLock<Vec<u8>> = LazyLock::new(|| {
        (0..=u16::MAX)
            .map(|i| to_byte(linear_to_srgb(f32::from(i) / f32::from(u16::MAX))))
            .collect()
    });
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "within the table"
    )]
    let place = (value.clamp(0.0, 1.0) * f32::from(u16::MAX) + 0.5) as usize;
    TABLE[place]
}

/// Reflectance at a slant (Schlick, "An inexpensive BRDF model for physically-based rendering",
/// Computer Graphics Forum 13, 1994), held down by the roughness.
pub(super) fn at_slant(straight: Vec3, cosine: f32, roughness: f32) -> Vec3 {
    let grazing = straight.max(Vec3::splat((1.0 - roughness) * 0.6));
    straight + (grazing - straight) * (1.0 - cosine.clamp(0.0, 1.0)).powi(5)
}

/// Linear light to display, keeping hue and saturation of ordinary colours (the Khronos PBR
/// neutral tone mapper, Khronos Group 2024).
pub(super) fn tone(colour: Vec3) -> Vec3 {
    const START: f32 = 0.8 - 0.04;
    let least = colour.min_element();
    let offset = if least < 0.08 {
        least - 6.25 * least * least
    } else {
        0.04
    };
    let colour = colour - offset;
    let peak = colour.max_element();
    if peak < START {
        return colour.max(Vec3::ZERO);
    }
    let rest = 1.0 - START;
    let new_peak = 1.0 - rest * rest / (peak + rest - START);
    let grey = 1.0 - 1.0 / (0.15 * (peak - new_peak) + 1.0);
    (colour * (new_peak / peak)).lerp(Vec3::splat(new_peak), grey)
}

fn smooth_step(low: f32, high: f32, value: f32) -> f32 {
    let t = ((value - low) / (high - low)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}
