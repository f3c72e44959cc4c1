//! A ray-traced still: geometry by primary rays, light by secondary rays, the light smoothed
//! within each surface, then colour laid on.

use super::Camera;
use super::camera::Axes;
use super::light::{self, KEY_SPREAD, KeyLight, Studio};
use super::scene::{Scene, Spot};
use super::smooth::{self, Buffer};
use crate::mesh::{linear_to_srgb, to_byte};
use crate::space::Hit;
use glam::{DVec3, Vec3};
use image::{Rgba, RgbaImage};
use rayon::prelude::*;

/// Changes whenever the same scene and camera would give another picture.
pub const STILL_METHOD: &str = "still 4";

/// Samples of one pixel: a rotated square, so that edges in any direction get four steps.
const SAMPLES: [[f64; 2]; 4] = [
    [0.375, 0.125],
    [0.875, 0.375],
    [0.125, 0.625],
    [0.625, 0.875],
];
/// Normals that differ less are one stretch of surface: cosine of 12 degrees.
const CALM: f32 = 0.978;
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
    still_and(scene, camera, key, |_| ()).0
}

/// Takes a still, and keeps what `of` makes of all that the samples of each pixel meet: those of the
/// upper left, upper right, lower left and lower right quarter.
pub(super) fn still_and<T: Copy + Default + Send>(
    scene: &Scene,
    camera: &Camera,
    key: KeyLight,
    of: impl Fn(&Hit) -> T + Sync,
) -> (RgbaImage, Vec<[T; 4]>) {
    let [width, height] = camera.size_px;
    let axes = camera.axes();
    let shot = Shot {
        scene,
        camera,
        axes,
        studio: Studio::around(&axes, key),
    };
    let across = width.max(1) as usize;
    let mut buffers = vec![Buffer::default(); across * height as usize];
    let mut kept = vec![[T::default(); 4]; buffers.len()];
    let rows = buffers
        .par_chunks_mut(across)
        .zip(kept.par_chunks_mut(across));
    (0..height)
        .into_par_iter()
        .zip(rows)
        .for_each(|(y, (row, kept))| {
            for (x, (buffer, kept)) in (0u32..).zip(row.iter_mut().zip(kept)) {
                *buffer = shot.pixel(x, y, &of, kept);
            }
        });
    smooth::light(&mut buffers, across);
    let mut picture = RgbaImage::new(width, height);
    for (pixel, buffer) in picture.pixels_mut().zip(&buffers) {
        *pixel = finished(buffer);
    }
    (picture, kept)
}

/// The ray through a place of the picture, pixels from the top left corner.
fn primary(scene: &Scene, camera: &Camera, axes: &Axes, [x, y]: [f64; 2]) -> (DVec3, DVec3) {
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
    fn pixel<T: Copy>(&self, x: u32, y: u32, of: &impl Fn(&Hit) -> T, kept: &mut [T; 4]) -> Buffer {
        let rays = SAMPLES.map(|[right, down]| {
            let at = [f64::from(x) + right, f64::from(y) + down];
            primary(self.scene, self.camera, &self.axes, at)
        });
        let hits = rays.map(|(origin, direction)| self.scene.ray(origin, direction));
        for (kept, hit) in kept.iter_mut().zip(&hits) {
            if let Some(hit) = hit {
                *kept = of(hit);
            }
        }
        let mut sum = Buffer::default();
        if hits.iter().all(Option::is_none) {
            // The ground's shadow is soft: one sample speaks for the pixel.
            let (origin, direction) = rays[((x + 2 * y) % 4) as usize];
            sum.shadow = self.ground(origin, direction, &Draw::of(x, y, 0));
            return sum;
        }
        let spots = hits.map(|hit| {
            #[expect(clippy::cast_possible_truncation, reason = "a guide for smoothing")]
            hit.map(|hit| {
                (
                    self.scene.spot(&hit, self.axes.toward_eye),
                    hit.distance_mm as f32,
                )
            })
        });
        if let [Some(a), Some(b), Some(c), Some(d)] = &spots
            && self.calm([a, b, c, d])
        {
            let all = [a, b, c, d];
            let one = &all[((x + 2 * y) % 4) as usize].0;
            let light = self.light(one, all.map(|s| s.0.normal), &Draw::of(x, y, 0));
            for (spot, depth_mm) in all {
                sum.add_surface(&light, &self.coat(spot), spot.normal, *depth_mm);
            }
            return sum.averaged(SAMPLES.len());
        }
        for (k, (spot, (origin, direction))) in (0u32..).zip(spots.iter().zip(rays)) {
            let draw = Draw::of(x, y, k);
            match spot {
                Some((spot, depth_mm)) => {
                    let light = self.light(spot, [spot.normal; 4], &draw);
                    sum.add_surface(&light, &self.coat(spot), spot.normal, *depth_mm);
                }
                None => sum.shadow += self.ground(origin, direction, &draw),
            }
        }
        sum.averaged(SAMPLES.len())
    }

    /// Whether the four samples of a pixel lie on one smooth stretch of surface, so that light found
    /// at one of them holds for all.
    fn calm(&self, all: [&(Spot, f32); 4]) -> bool {
        let (first, depth_mm) = all[0];
        let slant = first.normal.dot(self.axes.toward_eye.as_vec3()).max(0.1);
        let pixel_mm = 2.0 * self.camera.half_height_mm / f64::from(self.camera.size_px[1]);
        #[expect(clippy::cast_possible_truncation, reason = "the width of a pixel")]
        let step_mm = 2.0 * pixel_mm as f32 / slant;
        all.iter().all(|(spot, depth)| {
            spot.normal.dot(first.normal) > CALM
                && spot.finish == first.finish
                && (depth - depth_mm).abs() < step_mm
        })
    }

    /// How the surface takes the light.
    fn coat(&self, spot: &Spot) -> Coat {
        let (diffuse, straight) = light::reflectances(spot);
        let slant = spot.normal.dot(self.axes.toward_eye.as_vec3());
        Coat {
            diffuse,
            mirror: light::at_slant(straight, slant, spot.finish.roughness),
        }
    }

    /// Light on a spot: key with a soft shadow, sky with what hides it, and one mirror direction.
    /// The key's light is that of the `normals` in the mean.
    fn light(&self, spot: &Spot, normals: [Vec3; 4], draw: &Draw) -> Light {
        let size = self.scene.bounds().size().length();
        let origin = spot.point + spot.normal.as_dvec3() * self.scene.lift();
        let mut light = Vec3::ZERO;
        let toward_key = (self.studio.key + draw.ball(0) * KEY_SPREAD).normalize();
        if spot.normal.dot(toward_key) > 0.0
            && !self
                .scene
                .blocked(origin, toward_key.as_dvec3(), size * 2.0)
        {
            light += normals.map(|n| self.studio.key_on(n)).iter().sum::<Vec3>() / 4.0;
        }
        let toward_sky = (spot.normal + draw.sphere(1) * 0.999).normalize_or(spot.normal);
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
        let facet = (spot.normal + draw.ball(2) * rough).normalize_or(spot.normal);
        let mirror = 2.0 * facet.dot(eye) * facet - eye;
        let glint = if mirror.dot(spot.normal) <= 0.0
            || self.scene.blocked(origin, mirror.as_dvec3(), size * HOLLOW)
        {
            self.studio.bounced()
        } else {
            self.studio.mirrored(mirror)
        };
        Light {
            diffuse: light,
            glint,
        }
    }

    /// How dark the ground is under a ray that met nothing: 0 where no ground is seen.
    fn ground(&self, origin: DVec3, direction: DVec3, draw: &Draw) -> f32 {
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
        let toward_sky = (Vec3::Y + draw.sphere(1) * 0.999).normalize_or(Vec3::Y);
        let hidden = self.scene.blocked(above, toward_sky.as_dvec3(), size);
        let toward_key = (self.studio.key + draw.ball(0) * KEY_SPREAD).normalize();
        let shaded =
            toward_key.y > 0.05 && self.scene.blocked(above, toward_key.as_dvec3(), size * 2.0);
        (f32::from(u8::from(hidden)) * 0.62 + f32::from(u8::from(shaded)) * 0.38) * GROUND_SHADOW
    }
}

/// What arrives at a spot: all around, and from the direction that it mirrors.
#[derive(Debug, Clone, Copy)]
pub(super) struct Light {
    pub(super) diffuse: Vec3,
    pub(super) glint: Vec3,
}

/// What a spot throws back of either.
#[derive(Debug, Clone, Copy)]
pub(super) struct Coat {
    pub(super) diffuse: Vec3,
    pub(super) mirror: Vec3,
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

/// Pixels of a square, either way, whose light rays are spread evenly among themselves.
const SQUARE: u32 = 16;

/// Numbers that depend on the pixel and sample only: spread evenly over any few pixels that lie
/// together, so that smoothing leaves little grain (additive recurrences of the plastic numbers,
/// Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018, in the order of a
/// space-filling curve).
struct Draw {
    /// Of the pixel in its square.
    number: f32,
    square: [u32; 2],
    sample: u32,
}

impl Draw {
    fn of(x: u32, y: u32, sample: u32) -> Self {
        let number = (0..4).fold(0, |code, bit| {
            code | ((x % SQUARE) >> bit & 1) << (2 * bit)
                | ((y % SQUARE) >> bit & 1) << (2 * bit + 1)
        });
        #[expect(clippy::cast_precision_loss, reason = "below 256")]
        Self {
            number: number as f32,
            square: [x / SQUARE, y / SQUARE],
            sample,
        }
    }

    /// Uniform in 0..1; `ray` tells apart the rays of a sample.
    fn next<const N: usize>(&self, ray: u32, rates: [f32; N]) -> [f32; N] {
        let [x, y] = self.square.map(u64::from);
        let mut dice = Dice(x << 40 ^ y << 16 ^ u64::from(self.sample * 4 + ray));
        dice.next();
        rates.map(|rate| (dice.next() + rate * self.number).fract())
    }

    /// On the unit sphere.
    fn sphere(&self, ray: u32) -> Vec3 {
        on_sphere(self.next(ray, [0.754_877_7, 0.569_840_3]))
    }

    /// In the unit ball.
    fn ball(&self, ray: u32) -> Vec3 {
        let [u, v, w] = self.next(ray, [0.819_172_5, 0.671_043_6, 0.549_700_5]);
        on_sphere([u, v]) * w.cbrt()
    }
}

fn on_sphere([u, v]: [f32; 2]) -> Vec3 {
    let z = 1.0 - 2.0 * u;
    let (sin, cos) = (v * std::f32::consts::TAU).sin_cos();
    let r = (1.0 - z * z).max(0.0).sqrt();
    Vec3::new(r * cos, r * sin, z)
}

/// Uniform in 0..1 (SplitMix64: Steele, Lea and Flood, OOPSLA 2014).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f32 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ z >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ z >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
        #[expect(clippy::cast_precision_loss, reason = "24 bits fit")]
        let unit = ((z ^ z >> 31) >> 40) as f32 / (1u64 << 24) as f32;
        unit
    }
}
