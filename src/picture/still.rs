//! A ray-traced still: geometry by primary rays, the key's shadow by one ray a pixel that is then
//! smoothed within each surface, the sky as the vertices see it.

use super::Camera;
use super::camera::Axes;
use super::corners::Corners;
use super::draw::Draw;
use super::light::{self, KEY_SPREAD, KeyLight, Lights, Studio};
use super::scene::{Scene, Spot};
use super::sky::{self, Sky};
use super::smooth::{self, Buffer, Lit};
use crate::mesh::{linear_to_srgb, to_byte};
use crate::space::Hit;
use glam::{DVec3, Vec3};
use image::{Rgba, RgbaImage};
use rayon::prelude::*;

/// Changes whenever the same scene and camera would give another picture.
pub const STILL_METHOD: &str = "still 5";

/// Samples of a pixel that needs more than its middle: a rotated square, so that edges in any
/// direction get four steps.
const SAMPLES: [[f64; 2]; 4] = [
    [0.375, 0.125],
    [0.875, 0.375],
    [0.125, 0.625],
    [0.625, 0.875],
];
/// Normals of neighbours that differ less are one stretch of surface: cosine of 20 degrees.
const CALM: f32 = 0.94;
/// Rows of pixels that one processor works at.
const BAND: usize = 32;
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
    let studio = Studio::around(&camera.axes(), key);
    let (buffers, _) = taken(scene, camera, &studio, None::<&fn(&Hit)>);
    developed(&buffers, camera)
}

/// Takes a still, and keeps what `of` makes of what the samples of each pixel meet: those of the
/// upper left, upper right, lower left and lower right quarter.
pub(super) fn still_and<T>(
    scene: &Scene,
    camera: &Camera,
    of: impl Fn(&Hit) -> T + Sync,
) -> (RgbaImage, Vec<[T; 4]>)
where
    T: Copy + Default + PartialEq + Send,
{
    let studio = Studio::around(&camera.axes(), KeyLight::default());
    let (buffers, kept) = taken(scene, camera, &studio, Some(&of));
    (developed(&buffers, camera), kept)
}

/// Light and colour of every pixel, row by row, and what `of` made of each if it was given.
pub(super) fn taken<L: Lights, T: Copy + Default + PartialEq + Send>(
    scene: &Scene,
    camera: &Camera,
    lights: &L,
    of: Option<&(impl Fn(&Hit) -> T + Sync)>,
) -> (Vec<Buffer>, Vec<[T; 4]>) {
    let [width, height] = camera.size_px;
    let corners = scene.open().len();
    let shot = Shot {
        scene,
        camera,
        axes: camera.axes(),
        lights,
        sky: Sky::of(|from| lights.sky(from)),
        pixel_mm: 2.0 * camera.half_height_mm / f64::from(height.max(1)),
        corners: Corners::unknown(corners),
    };
    let across = width.max(1) as usize;
    let mut buffers = vec![Buffer::default(); across * height as usize];
    let kept_px = if of.is_some() { buffers.len() } else { 0 };
    let mut kept = vec![[T::default(); 4]; kept_px];
    let bands = buffers.par_chunks_mut(across * BAND).enumerate();
    if let Some(of) = of {
        let bands = bands.zip(kept.par_chunks_mut(across * BAND));
        bands.for_each(|((band, buffers), kept)| {
            shot.band(band, buffers);
            shot.mark(band, kept, of);
        });
    } else {
        bands.for_each(|(band, buffers)| shot.band(band, buffers));
    }
    smooth::light(&mut buffers, across);
    (buffers, kept)
}

fn developed(buffers: &[Buffer], camera: &Camera) -> RgbaImage {
    let [width, height] = camera.size_px;
    let mut picture = RgbaImage::new(width, height);
    (picture.as_chunks_mut::<4>().0.par_iter_mut())
        .zip(buffers)
        .for_each(|(pixel, buffer)| *pixel = finished(buffer).0);
    picture
}

struct Shot<'a, L> {
    scene: &'a Scene,
    camera: &'a Camera,
    axes: Axes,
    lights: &'a L,
    sky: Sky,
    pixel_mm: f64,
    corners: Corners,
}

/// What a ray through a place of the picture meets.
struct Met {
    spot: Spot,
    depth_mm: f64,
}

impl<L: Lights> Shot<'_, L> {
    /// Light and colour of some rows. Their pixels' middles are met first, with a row more on either
    /// side: what differs from its neighbours is then looked at more closely.
    fn band(&self, band: usize, buffers: &mut [Buffer]) {
        let across = self.camera.size_px[0].max(1);
        #[expect(clippy::cast_possible_truncation, reason = "rows of a picture")]
        let first = (band * BAND) as u32;
        #[expect(clippy::cast_possible_truncation, reason = "rows of a picture")]
        let rows = (buffers.len() / across as usize) as u32;
        let mut met: Vec<Option<Met>> = Vec::with_capacity((rows as usize + 2) * across as usize);
        for row in 0..rows + 2 {
            let y = f64::from(first) + f64::from(row) - 0.5;
            met.extend((0..across).map(|x| self.meets([f64::from(x) + 0.5, y]).1));
        }
        for (index, buffer) in buffers.iter_mut().enumerate() {
            #[expect(clippy::cast_possible_truncation, reason = "pixels of a picture")]
            let (x, row) = (index as u32 % across, index as u32 / across);
            let own = index + across as usize;
            let neighbours = [
                (x > 0).then(|| &met[own - 1]),
                (x + 1 < across).then(|| &met[own + 1]),
                Some(&met[own - across as usize]),
                Some(&met[own + across as usize]),
            ];
            let calm = neighbours
                .into_iter()
                .flatten()
                .all(|other| self.alike(met[own].as_ref(), other.as_ref()));
            *buffer = if calm {
                self.plain(x, first + row, met[own].as_ref())
            } else {
                self.close(x, first + row)
            };
        }
    }

    /// What `of` makes of the four quarters of each pixel of some rows: where the middle of a pixel
    /// and those around it are alike, its quarters are as well.
    fn mark<T: Copy + Default + PartialEq>(
        &self,
        band: usize,
        kept: &mut [[T; 4]],
        of: &impl Fn(&Hit) -> T,
    ) {
        let across = self.camera.size_px[0].max(1) as usize;
        let at = |right: f64, down: f64| {
            let (origin, direction) = self.primary([right, down]);
            self.scene
                .ray(origin, direction)
                .map_or_else(T::default, |hit| of(&hit))
        };
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        let (first, rows) = ((band * BAND) as f64, kept.len() / across);
        let mut middles = Vec::with_capacity((rows + 2) * across);
        for row in 0..rows + 2 {
            #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
            let y = first + row as f64 - 0.5;
            middles.extend((0..self.camera.size_px[0].max(1)).map(|x| at(f64::from(x) + 0.5, y)));
        }
        for (index, kept) in kept.iter_mut().enumerate() {
            let (x, row) = (index % across, index / across);
            let own = index + across;
            let left = if x > 0 { own - 1 } else { own };
            let right = if x + 1 < across { own + 1 } else { own };
            let around = [left, right, own - across, own + across];
            *kept = if around.iter().all(|i| middles[*i] == middles[own]) {
                [middles[own]; 4]
            } else {
                #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
                SAMPLES.map(|[right, down]| at(x as f64 + right, first + row as f64 + down))
            };
        }
    }

    /// The ray through a place of the picture, pixels from the top left corner.
    fn primary(&self, [x, y]: [f64; 2]) -> (DVec3, DVec3) {
        let [width, height] = self.camera.size_px.map(f64::from);
        let (across, down) = (
            (x - width / 2.0) * self.pixel_mm,
            (y - height / 2.0) * self.pixel_mm,
        );
        let away = self.scene.bounds().size().length() * 2.0;
        let on_plane = self.camera.centre_mm + self.axes.right * across - self.axes.up * down;
        (
            on_plane + self.axes.toward_eye * away,
            -self.axes.toward_eye,
        )
    }

    /// The place from which the ray comes, and what it meets.
    fn meets(&self, at: [f64; 2]) -> (DVec3, Option<Met>) {
        let (origin, direction) = self.primary(at);
        let met = self.scene.ray(origin, direction).map(|hit| Met {
            spot: self.scene.spot(&hit, self.axes.toward_eye),
            depth_mm: hit.distance_mm,
        });
        (origin, met)
    }

    /// Whether two neighbouring pixels lie on one smooth stretch of surface, or both beside it.
    fn alike(&self, own: Option<&Met>, other: Option<&Met>) -> bool {
        let (Some(own), Some(other)) = (own, other) else {
            return own.is_none() && other.is_none();
        };
        let slant = own.spot.normal.dot(self.axes.toward_eye.as_vec3()).max(0.1);
        own.spot.normal.dot(other.spot.normal) > CALM
            && own.spot.finish == other.spot.finish
            && (own.depth_mm - other.depth_mm).abs() < 2.0 * self.pixel_mm / f64::from(slant)
    }

    /// A pixel for which its middle speaks.
    fn plain(&self, x: u32, y: u32, met: Option<&Met>) -> Buffer {
        let mut sum = Buffer::default();
        let draw = Draw::of(x, y, 0);
        match met {
            Some(met) => self.add(&mut sum, met, &draw),
            None => {
                let (origin, direction) = self.primary([f64::from(x) + 0.5, f64::from(y) + 0.5]);
                sum.shadow += self.ground(origin, direction, &draw);
            }
        }
        sum.averaged(1)
    }

    /// A pixel that is looked at in four places.
    fn close(&self, x: u32, y: u32) -> Buffer {
        let mut sum = Buffer::default();
        for (k, [right, down]) in (0u32..).zip(SAMPLES) {
            let draw = Draw::of(x, y, k);
            let (origin, met) = self.meets([f64::from(x) + right, f64::from(y) + down]);
            match met {
                Some(met) => self.add(&mut sum, &met, &draw),
                None => sum.shadow += self.ground(origin, -self.axes.toward_eye, &draw),
            }
        }
        sum.averaged(SAMPLES.len())
    }

    fn add(&self, sum: &mut Buffer, met: &Met, draw: &Draw) {
        #[expect(clippy::cast_possible_truncation, reason = "a guide for smoothing")]
        let depth_mm = met.depth_mm as f32;
        sum.add_surface(&self.light(&met.spot, draw), met.spot.normal, depth_mm);
    }

    /// Light that a spot throws back: of the key, with a soft shadow, and of the sky.
    fn light(&self, spot: &Spot, draw: &Draw) -> Lit {
        let (colour, straight) = light::reflectances(spot);
        let eye = self.axes.toward_eye.as_vec3();
        let mirror = light::at_slant(straight, spot.normal.dot(eye), spot.finish.roughness);
        // What is mirrored is not scattered as well.
        let albedo = colour * (Vec3::ONE - mirror);
        let origin = spot.point + spot.normal.as_dvec3() * self.scene.lift();
        let toward_key = (self.lights.key() + draw.ball(0) * KEY_SPREAD).normalize();
        let known = self.corners.lit(self.scene, self.lights, spot);
        let lit = spot.normal.dot(toward_key) > 0.0
            && known.unwrap_or_else(|| {
                let far = self.scene.bounds().size().length() * 2.0;
                !self.scene.blocked(origin, toward_key.as_dvec3(), far)
            });
        let (glint, sheen) = self.mirrored(spot, eye);
        let mut out = Lit {
            key: f32::from(u8::from(lit)),
            alone: known.is_none(),
            keyed: albedo * self.lights.key_on(spot.normal) + mirror * sheen,
            plain: mirror * glint,
            grain: None,
        };
        if let Some(open) = &spot.open {
            let hidden = 1.0 - sky::share(open);
            let sky = self.sky.on(open) + self.lights.bounced() * hidden;
            out.plain += albedo * sky;
            return out;
        }
        // Coarse triangles, edges and insides: one ray a sample, and the grain is smoothed.
        let toward_sky = (spot.normal + draw.sphere(1) * 0.999).normalize_or(spot.normal);
        let hidden = self
            .scene
            .blocked(origin, toward_sky.as_dvec3(), self.scene.hollow());
        let sky = if hidden {
            self.lights.bounced()
        } else {
            self.lights.sky(toward_sky)
        };
        out.grain = Some((sky, albedo));
        out
    }

    /// What a rough mirror sees of the sky and of the object, and of the key's box: in the mean of
    /// four facets.
    fn mirrored(&self, spot: &Spot, eye: Vec3) -> (Vec3, Vec3) {
        const FACETS: [Vec3; 4] = [
            Vec3::new(0.45, 0.45, 0.45),
            Vec3::new(0.45, -0.45, -0.45),
            Vec3::new(-0.45, 0.45, -0.45),
            Vec3::new(-0.45, -0.45, 0.45),
        ];
        let rough = spot.finish.roughness * spot.finish.roughness;
        let toward = |normal: Vec3| 2.0 * normal.dot(eye) * normal - eye;
        let open = spot.open.as_ref().map_or(1.0, |open| {
            sky::open_toward(open, spot.normal, toward(spot.normal))
        });
        let (mut glint, mut sheen) = (Vec3::ZERO, Vec3::ZERO);
        for facet in FACETS {
            let way = toward((spot.normal + facet * rough).normalize_or(spot.normal));
            if way.dot(spot.normal) > 0.0 {
                glint += self.lights.sky(way) * open + self.lights.bounced() * (1.0 - open);
                sheen += self.lights.box_of_key(way) * open;
            } else {
                glint += self.lights.bounced();
            }
        }
        (glint / 4.0, sheen / 4.0)
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
        let toward_key = (self.lights.key() + draw.ball(0) * KEY_SPREAD).normalize();
        let shaded =
            toward_key.y > 0.05 && self.scene.blocked(above, toward_key.as_dvec3(), size * 2.0);
        (f32::from(u8::from(hidden)) * 0.62 + f32::from(u8::from(shaded)) * 0.38) * GROUND_SHADOW
    }
}

fn finished(buffer: &Buffer) -> Rgba<u8> {
    let cover = buffer.cover;
    let shadow = buffer.shadow.clamp(0.0, 1.0);
    let alpha = cover + shadow;
    if alpha <= 0.0 {
        return Rgba([0, 0, 0, 0]);
    }
    let mixed = (light::tone(buffer.surface()) * cover + SHADOW * shadow) / alpha;
    let [r, g, b] = mixed.to_array().map(|c| to_byte(linear_to_srgb(c)));
    Rgba([r, g, b, to_byte(alpha)])
}
