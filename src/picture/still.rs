//! A ray-traced still: what stands foremost, the key's shadow by rays from corners and, at its border,
//! from pixels, smoothed within each surface; the sky as the vertices see it.

use super::Camera;
use super::camera::{Axes, QUARTERS};
use super::corners::Corners;
use super::draw::Draw;
use super::foremost::Foremost;
use super::light::{self, KEY_SPREAD, KeyLight, Lights, Studio};
use super::scene::{Scene, Spot};
use super::sky::{self, Sky};
use super::smooth::{self, Buffer, Lit};
use crate::mesh::to_byte;
use crate::space::Hit;
use glam::{DVec3, Vec3};
use image::{Rgba, RgbaImage};
use rayon::prelude::*;

/// Changes whenever the same scene and camera would give another picture.
pub const STILL_METHOD: &str = "still 10";

/// Normals of neighbours that differ less are one stretch of surface: cosine of 20 degrees.
const CALM: f32 = 0.94;
/// Rows of pixels that one processor works at.
const BAND: usize = 32;
/// Darkest that the shadow on the ground gets.
const GROUND_SHADOW: f32 = 0.62;
/// Share of it that comes of a hidden sky; the rest is the key's.
const SKY_SHADOW: f32 = 0.62;
/// Colour of that shadow, linear.
const SHADOW: Vec3 = Vec3::new(0.035, 0.028, 0.020);

/// Takes a still. The ground is transparent but for the object's shadow.
pub fn still(scene: &Scene, camera: &Camera) -> RgbaImage {
    still_lit(scene, camera, KeyLight::default())
}

/// Takes a still with the key light elsewhere.
pub fn still_lit(scene: &Scene, camera: &Camera, key: KeyLight) -> RgbaImage {
    let studio = Studio::around(&camera.axes(), key);
    let (buffers, _) = taken(scene, camera, &studio, |_| ());
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
    let (buffers, kept) = taken(scene, camera, &studio, of);
    (developed(&buffers, camera), kept)
}

/// Light and colour of every pixel, row by row, and what `of` made of its quarters.
pub(super) fn taken<L: Lights, T: Copy + Default + PartialEq + Send>(
    scene: &Scene,
    camera: &Camera,
    lights: &L,
    of: impl Fn(&Hit) -> T + Sync,
) -> (Vec<Buffer>, Vec<[T; 4]>) {
    let [width, height] = camera.size_px;
    let axes = camera.axes();
    let foremost = Foremost::of(scene, camera, &axes, BAND);
    scene.look_around(&foremost.toward_eye());
    let shot = Shot {
        scene,
        camera,
        axes,
        foremost,
        lights,
        sky: Sky::of(|from| lights.sky(from)),
        corners: Corners::unknown(scene.places().count()),
        of,
    };
    let across = width.max(1) as usize;
    let mut buffers = vec![Buffer::default(); across * height as usize];
    let mut kept = vec![[T::default(); 4]; buffers.len()];
    buffers
        .par_chunks_mut(across * BAND)
        .zip(kept.par_chunks_mut(across * BAND))
        .enumerate()
        .for_each(|(band, (buffers, kept))| shot.band(band, buffers, kept));
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

struct Shot<'a, L, F> {
    scene: &'a Scene,
    camera: &'a Camera,
    axes: Axes,
    lights: &'a L,
    sky: Sky,
    foremost: Foremost<'a>,
    corners: Corners,
    of: F,
}

/// What a ray through a place of the picture meets.
struct Met<T> {
    spot: Spot,
    depth_mm: f64,
    /// What is kept of it.
    mark: T,
}

impl<L: Lights, T: Copy + Default + PartialEq, F: Fn(&Hit) -> T> Shot<'_, L, F> {
    /// Light and colour of some rows. Their pixels' middles are met first, with a row more on either
    /// side: what differs from its neighbours is then looked at more closely.
    fn band(&self, band: usize, buffers: &mut [Buffer], kept: &mut [[T; 4]]) {
        let across = self.camera.size_px[0].max(1);
        #[expect(clippy::cast_possible_truncation, reason = "rows of a picture")]
        let (first, rows) = (
            (band * BAND) as u32,
            (buffers.len() / across as usize) as u32,
        );
        let met: Vec<Option<Met<T>>> = (self.foremost.met(band, rows as usize).iter())
            .map(|hit| hit.as_ref().map(|hit| self.seen(hit)))
            .collect();
        for (index, (buffer, kept)) in buffers.iter_mut().zip(kept).enumerate() {
            #[expect(clippy::cast_possible_truncation, reason = "pixels of a picture")]
            let (x, row) = (index as u32 % across, index as u32 / across);
            let own = index + across as usize;
            let (above, below) = (own - across as usize, own + across as usize);
            let left = if x > 0 { own - 1 } else { own };
            let right = if x + 1 < across { own + 1 } else { own };
            let around = [left, right, above, below].map(|i| met[i].as_ref());
            let middle = met[own].as_ref();
            let calm = around.iter().all(|other| self.alike(middle, *other));
            let mark = |met: Option<&Met<T>>| met.map_or(T::default(), |m| m.mark);
            let plain = around.iter().all(|other| mark(*other) == mark(middle));
            if calm && plain {
                *kept = [mark(middle); 4];
                *buffer = self.lit(x, first + row, &[([0.5; 2], middle)]);
                continue;
            }
            let place =
                |[right, down]: [f64; 2]| [f64::from(x) + right, f64::from(first + row) + down];
            let quarters = QUARTERS.map(|at| (at, self.meets(place(at))));
            *kept = quarters.each_ref().map(|(_, met)| mark(met.as_ref()));
            *buffer = if calm {
                self.lit(x, first + row, &[([0.5; 2], middle)])
            } else {
                let quarters = quarters.each_ref().map(|(at, met)| (*at, met.as_ref()));
                self.lit(x, first + row, &quarters)
            };
        }
    }

    fn primary(&self, at: [f64; 2]) -> (DVec3, DVec3) {
        self.camera.ray(&self.axes, at, self.scene.beyond())
    }

    fn meets(&self, at: [f64; 2]) -> Option<Met<T>> {
        let (origin, direction) = self.primary(at);
        let hit = self.scene.ray(origin, direction)?;
        Some(self.seen(&hit))
    }

    fn seen(&self, hit: &Hit) -> Met<T> {
        Met {
            spot: self.scene.spot(hit, self.axes.toward_eye),
            depth_mm: hit.distance_mm,
            mark: (self.of)(hit),
        }
    }

    /// Whether two neighbouring pixels lie on one smooth stretch of surface, or both beside it.
    fn alike(&self, own: Option<&Met<T>>, other: Option<&Met<T>>) -> bool {
        let (Some(own), Some(other)) = (own, other) else {
            return own.is_none() && other.is_none();
        };
        let slant = own.spot.normal.dot(self.axes.toward_eye.as_vec3()).max(0.1);
        own.spot.normal.dot(other.spot.normal) > CALM
            && own.spot.finish == other.spot.finish
            && (own.depth_mm - other.depth_mm).abs()
                < 2.0 * self.camera.pixel_mm() / f64::from(slant)
    }

    /// A pixel for which these places in it speak.
    fn lit(&self, x: u32, y: u32, places: &[([f64; 2], Option<&Met<T>>)]) -> Buffer {
        let mut sum = Buffer::default();
        for (k, ([right, down], met)) in (0u32..).zip(places) {
            let draw = Draw::of(x, y, k);
            if let Some(met) = met {
                self.add(&mut sum, met, &draw);
            } else {
                let (origin, way) = self.primary([f64::from(x) + right, f64::from(y) + down]);
                // Neighbours take turns: the smoothing mixes just as many of the one as of the other.
                let toward = if (x + y).is_multiple_of(2) {
                    Toward::Sky
                } else {
                    Toward::Key
                };
                sum.shadow += self.ground(origin, way, toward, &draw);
            }
        }
        sum.averaged(places.len())
    }

    fn add(&self, sum: &mut Buffer, met: &Met<T>, draw: &Draw) {
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
        let origin = spot.point + spot.even.as_dvec3() * self.scene.lift();
        let toward_key = (self.lights.key() + draw.ball(0) * KEY_SPREAD).normalize();
        let known = self.corners.share(self.scene, self.lights, spot);
        let key = known.unwrap_or_else(|| {
            let lit = spot.normal.dot(toward_key) > 0.0
                && !self
                    .scene
                    .blocked(origin, toward_key.as_dvec3(), self.scene.beyond());
            f32::from(u8::from(lit))
        });
        let (glint, sheen) = self.mirrored(spot, origin, eye);
        let mut out = Lit {
            key,
            alone: known.is_none(),
            keyed: albedo * self.lights.key_on(spot.normal) + mirror * sheen,
            plain: mirror * glint,
            grain: None,
        };
        if let Some(open) = spot.open.as_ref().filter(|_| !spot.coarse) {
            let hidden = 1.0 - sky::share(open);
            // The corners know of the light on the even surface; a drawn slope takes as much more or
            // less of it as it would of an open sky.
            let bent = if spot.normal == spot.even {
                Vec3::ONE
            } else {
                self.sky.open_on(spot.normal) / self.sky.open_on(spot.even)
            };
            let sky = self.sky.on(open) * bent + self.lights.bounced() * hidden;
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
    fn mirrored(&self, spot: &Spot, origin: DVec3, eye: Vec3) -> (Vec3, Vec3) {
        const FACETS: [Vec3; 4] = [
            Vec3::new(0.45, 0.45, 0.45),
            Vec3::new(0.45, -0.45, -0.45),
            Vec3::new(-0.45, 0.45, -0.45),
            Vec3::new(-0.45, -0.45, 0.45),
        ];
        let rough = spot.finish.roughness * spot.finish.roughness;
        let toward = |normal: Vec3| 2.0 * normal.dot(eye) * normal - eye;
        let straight = toward(spot.normal);
        let open = if let Some(open) = &spot.open {
            sky::open_toward(open, spot.even, straight)
        } else {
            let (way, far_mm) = (straight.as_dvec3(), self.scene.hollow());
            f32::from(u8::from(!self.scene.blocked(origin, way, far_mm)))
        };
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

    /// How dark the ground is under a ray that met nothing, by what hides the sky there or the key, each
    /// as if it spoke for both: 0 where no ground is seen.
    fn ground(&self, origin: DVec3, direction: DVec3, toward: Toward, draw: &Draw) -> f32 {
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
        let (way, far_mm, weight) = match toward {
            Toward::Sky => {
                let way = (Vec3::Y + draw.sphere(1) * 0.999).normalize_or(Vec3::Y);
                (way, size, SKY_SHADOW)
            }
            Toward::Key => {
                let way = (self.lights.key() + draw.ball(0) * KEY_SPREAD).normalize();
                (way, self.scene.beyond(), 1.0 - SKY_SHADOW)
            }
        };
        let dark = way.y > 0.05 && self.scene.blocked(above, way.as_dvec3(), far_mm);
        f32::from(u8::from(dark)) * 2.0 * weight * GROUND_SHADOW
    }
}

/// Which light of the ground is asked about.
#[derive(Debug, Clone, Copy)]
enum Toward {
    Sky,
    Key,
}

fn finished(buffer: &Buffer) -> Rgba<u8> {
    let cover = buffer.cover;
    let shadow = buffer.shadow.clamp(0.0, 1.0);
    let alpha = cover + shadow;
    if alpha <= 0.0 {
        return Rgba([0, 0, 0, 0]);
    }
    let mixed = (light::tone(buffer.surface()) * cover + SHADOW * shadow) / alpha;
    let [r, g, b] = mixed.to_array().map(light::displayed);
    Rgba([r, g, b, to_byte(alpha)])
}
