//! A ray-traced still: geometry by primary rays, light by secondary rays, the light smoothed
//! within each surface, then colour laid on.

use super::Camera;
use super::camera::Axes;
use super::light::{self, KEY_SPREAD, KeyLight, Studio};
use super::scene::{Scene, Spot};
use super::smooth::{self, Buffer};
use crate::mesh::{linear_to_srgb, to_byte};
use glam::{DVec3, Vec3};
use image::{Rgba, RgbaImage};
use rayon::prelude::*;

/// Changes whenever the same scene and camera would give another picture.
pub const STILL_METHOD: &str = "still 3";

/// Samples of one pixel: a rotated square, so that edges in any direction get four steps.
const SAMPLES: [[f64; 2]; 4] = [
    [0.375, 0.125],
    [0.875, 0.375],
    [0.125, 0.625],
    [0.625, 0.875],
];
/// How far a hollow can darken itself, as a share of the scene's size.
const HOLLOW: f64 = 0.45;
/// Darkest that the shadow on the ground gets.
const GROUND_SHADOW: f32 = 0.62;
/// Colour of that shadow, linear.
const SHADOW: Vec3 = Vec3::new(0.035, 0.028, 0.020);

/// Takes a still. The ground is transparent but for the object's shadow.
pub fn still(scene: &Scene, camera: &Camera) -> RgbaImage {
    still_lit(scene, camera, KeyLight::default())
}

/// Takes a still with the key light elsewhere.
pub fn still_lit(scene: &Scene, camera: &Camera, key: KeyLight) -> RgbaImage {
    let [width, height] = camera.size_px;
    let axes = camera.axes();
    let shot = Shot {
        scene,
        camera,
        axes,
        studio: Studio::around(&axes, key),
    };
    let rows: Vec<Vec<Buffer>> = (0..height)
        .into_par_iter()
        .map(|y| (0..width).map(|x| shot.pixel(x, y)).collect())
        .collect();
    let buffers: Vec<Buffer> = rows.into_iter().flatten().collect();
    let smoothed = smooth::light(&buffers, width as usize);
    let mut picture = RgbaImage::new(width, height);
    for (pixel, buffer) in picture.pixels_mut().zip(&smoothed) {
        *pixel = finished(buffer);
    }
    picture
}

/// The ray through a place of the picture, pixels from the top left corner.
pub(super) fn primary(
    scene: &Scene,
    camera: &Camera,
    axes: &Axes,
    [x, y]: [f64; 2],
) -> (DVec3, DVec3) {
    let [width, height] = camera.size_px.map(f64::from);
    let scale = 2.0 * camera.half_height_mm / height;
    let (across, down) = ((x - width / 2.0) * scale, (y - height / 2.0) * scale);
    let away = scene.bounds().size().length() * 2.0;
    let on_plane = camera.centre_mm + axes.right * across - axes.up * down;
    (on_plane + axes.toward_eye * away, -axes.toward_eye)
}

struct Shot<'a> {
    scene: &'a Scene,
    camera: &'a Camera,
    axes: Axes,
    studio: Studio,
}

impl Shot<'_> {
    fn pixel(&self, x: u32, y: u32) -> Buffer {
        let mut sum = Buffer::default();
        for (k, offset) in (0u32..).zip(SAMPLES) {
            let mut dice = Dice::of(x, y, k);
            let at = [f64::from(x) + offset[0], f64::from(y) + offset[1]];
            let (origin, direction) = primary(self.scene, self.camera, &self.axes, at);
            match self.scene.ray(origin, direction) {
                Some(hit) => {
                    let spot = self.scene.spot(&hit, self.axes.toward_eye);
                    sum.add_surface(&self.lit(&spot, &mut dice), hit.distance_mm);
                }
                None => sum.shadow += self.ground(origin, direction, &mut dice),
            }
        }
        sum.averaged(SAMPLES.len())
    }

    /// Light on a spot: key with a soft shadow, sky with what hides it, and one mirror direction.
    fn lit(&self, spot: &Spot, dice: &mut Dice) -> Lit {
        let size = self.scene.bounds().size().length();
        let origin = spot.point + spot.normal.as_dvec3() * self.scene.lift();
        let mut light = Vec3::ZERO;
        let toward_key = (self.studio.key + dice.ball() * KEY_SPREAD).normalize();
        if spot.normal.dot(toward_key) > 0.0
            && !self
                .scene
                .blocked(origin, toward_key.as_dvec3(), size * 2.0)
        {
            light += self.studio.key_on(spot.normal);
        }
        let toward_sky = (spot.normal + dice.sphere() * 0.999).normalize_or(spot.normal);
        light += if self
            .scene
            .blocked(origin, toward_sky.as_dvec3(), size * HOLLOW)
        {
            self.studio.bounced()
        } else {
            self.studio.sky(toward_sky)
        };
        let eye = self.axes.toward_eye.as_vec3();
        let rough = spot.finish.roughness * spot.finish.roughness;
        let facet = (spot.normal + dice.ball() * rough).normalize_or(spot.normal);
        let mirror = 2.0 * facet.dot(eye) * facet - eye;
        let (diffuse, straight) = light::reflectances(spot);
        let glint = if mirror.dot(spot.normal) <= 0.0
            || self.scene.blocked(origin, mirror.as_dvec3(), size * HOLLOW)
        {
            self.studio.bounced()
        } else {
            self.studio.mirrored(mirror)
        };
        let slanted = light::at_slant(straight, spot.normal.dot(eye), spot.finish.roughness);
        Lit {
            light,
            glint,
            diffuse,
            mirror: slanted,
            normal: spot.normal,
        }
    }

    /// How dark the ground is under a ray that met nothing: 0 where no ground is seen.
    fn ground(&self, origin: DVec3, direction: DVec3, dice: &mut Dice) -> f32 {
        let floor = self.scene.bounds().min.y;
        // Seen from below, or edge on, there is no ground to see.
        if direction.y > -0.03 {
            return 0.0;
        }
        let point = origin + direction * ((floor - origin.y) / direction.y);
        let bounds = self.scene.bounds();
        let size = bounds.size().length();
        let beyond = (point - point.clamp(bounds.min, bounds.max)).length();
        if beyond > size * 0.6 {
            return 0.0;
        }
        let above = point + DVec3::Y * self.scene.lift();
        let toward_sky = (Vec3::Y + dice.sphere() * 0.999).normalize_or(Vec3::Y);
        let hidden = self.scene.blocked(above, toward_sky.as_dvec3(), size);
        let toward_key = (self.studio.key + dice.ball() * KEY_SPREAD).normalize();
        let shaded =
            toward_key.y > 0.05 && self.scene.blocked(above, toward_key.as_dvec3(), size * 2.0);
        (f32::from(u8::from(hidden)) * 0.62 + f32::from(u8::from(shaded)) * 0.38) * GROUND_SHADOW
    }
}

/// A lit spot before its colour is laid on.
pub(super) struct Lit {
    pub(super) light: Vec3,
    pub(super) glint: Vec3,
    pub(super) diffuse: Vec3,
    pub(super) mirror: Vec3,
    pub(super) normal: Vec3,
}

fn finished(buffer: &Buffer) -> Rgba<u8> {
    let cover = buffer.cover;
    let shadow = buffer.shadow.clamp(0.0, 1.0);
    let alpha = cover + shadow;
    if alpha <= 0.0 {
        return Rgba([0, 0, 0, 0]);
    }
    // The sums are over the covered samples only, so they are the surface's own mean.
    let surface = light::tone(buffer.diffuse * buffer.light + buffer.mirror * buffer.glint);
    let mixed = (surface * cover + SHADOW * shadow) / alpha;
    let [r, g, b] = mixed.to_array().map(|c| to_byte(linear_to_srgb(c)));
    Rgba([r, g, b, to_byte(alpha)])
}

/// Numbers that depend on the pixel and sample only.
struct Dice(u64);

impl Dice {
    fn of(x: u32, y: u32, sample: u32) -> Self {
        let mut dice = Self(u64::from(x) << 40 ^ u64::from(y) << 16 ^ u64::from(sample));
        dice.next();
        dice
    }

    /// Uniform in 0..1 (SplitMix64: Steele, Lea and Flood, OOPSLA 2014).
    fn next(&mut self) -> f32 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ z >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ z >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
        #[expect(clippy::cast_precision_loss, reason = "24 bits fit")]
        let unit = ((z ^ z >> 31) >> 40) as f32 / (1u64 << 24) as f32;
        unit
    }

    /// On the unit sphere.
    fn sphere(&mut self) -> Vec3 {
        let z = 1.0 - 2.0 * self.next();
        let (sin, cos) = (self.next() * std::f32::consts::TAU).sin_cos();
        let r = (1.0 - z * z).max(0.0).sqrt();
        Vec3::new(r * cos, r * sin, z)
    }

    /// In the unit ball.
    fn ball(&mut self) -> Vec3 {
        let radius = self.next().cbrt();
        self.sphere() * radius
    }
}
