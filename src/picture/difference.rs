//! A still of measured difference: the object as if modelled in paper, and ink where it differs.
//!
//! Light and tones are found once, at full size. Hatches are laid on for each size that a page
//! needs, since lines that are made smaller with their picture run together.

use super::hatch::{self, BARE};
use super::still::still_and;
use super::{Camera, Finish, PictureError, Scene, Sized, files};
use crate::differ::{Field, Scale, Tone, blend};
use crate::mesh::{Mesh, weld};
use image::{Rgba, RgbaImage};
use rayon::prelude::*;

/// Changes whenever the same scene and camera would give another picture.
pub const DIFFERENCE_METHOD: &str = "difference still 6";

/// A part with what was measured on it.
#[derive(Debug, Clone, Copy)]
pub struct Compared<'a> {
    /// Its surface.
    pub mesh: &'a Mesh,
    /// Distances of that surface from the other body's.
    pub field: &'a Field,
}

/// A body, ready to be shown with its differences.
pub struct DifferenceScene {
    scene: Scene,
    /// Distance, millimetres, and whether it was captured, for every vertex of all parts.
    corners: Vec<(f64, bool)>,
    scale: Scale,
}

/// The object in paper: rough, no metal, all of one colour.
const PAPER: Finish = Finish {
    roughness: 1.0,
    metallic: 0.0,
};
const PALE: [u8; 4] = [178, 176, 172, 255];
/// What light and dark of the lit surface become, sRGB: no shadow so dark that ink is lost in it.
const LIT: [f32; 3] = [0.968, 0.945, 0.893];
const SHADED: [f32; 3] = [0.460, 0.430, 0.390];
/// Samples along a pixel, either way.
const FINE: u32 = 2;
/// Distance from a border beyond which it is no longer counted, in samples.
const FAR: u16 = 40 * UNIT;
/// One sample, in the units of distances from a border; and a step to a diagonal neighbour
/// (Borgefors, "Distance transformations in digital images", Computer Vision, Graphics, and Image
/// Processing 34, 1986).
const UNIT: u16 = 3;
const DIAGONAL: u16 = 4;

impl DifferenceScene {
    /// Shows what the region finder sees: distances averaged with those around.
    ///
    /// # Errors
    /// No parts, or distances that were measured on another surface.
    pub fn new(parts: &[Compared<'_>], scale: Scale) -> Result<Self, PictureError> {
        let own = parts.iter().map(|part| (part.mesh.clone(), PAPER));
        let scene = Scene::new(own.collect()).ok_or_else(PictureError::nothing_to_show)?;
        Self::of(&scene, parts, scale)
    }

    /// As [`new`](Self::new), of the scene that shows just these parts in this order.
    ///
    /// # Errors
    /// The scene shows other parts, or distances were measured on another surface.
    pub fn of(scene: &Scene, parts: &[Compared<'_>], scale: Scale) -> Result<Self, PictureError> {
        let mut corners = Vec::new();
        for part in parts {
            let places = weld(part.mesh);
            let field = part.field;
            if places.places.len() != field.smooth_mm.len() {
                return Err(PictureError(
                    "the distances were measured on another surface".to_owned(),
                ));
            }
            corners.extend(
                places
                    .place_of
                    .iter()
                    .map(|i| (field.smooth_mm[*i as usize], field.captured[*i as usize])),
            );
        }
        if scene.places().count() != corners.len() {
            return Err(PictureError(
                "the scene shows other parts than were measured".to_owned(),
            ));
        }
        Ok(Self {
            scene: scene.in_one(PALE, PAPER),
            corners,
            scale,
        })
    }

    /// Finds light and tones, at the camera's size.
    pub fn seen(&self, camera: &Camera) -> Seen {
        let (light, met) = still_and(&self.scene, camera, |hit| {
            let corners = self.scene.vertices(hit.face).map(|i| self.corners[i]);
            let (signed_mm, captured) = blend(corners, hit.barycentric);
            Some(self.scale.tone(signed_mm, captured))
        });
        // The four samples of a pixel lie in its four quarters.
        let across = camera.size_px[0] as usize;
        let mut tones = Vec::with_capacity(met.len() * 4);
        for row in met.chunks(across.max(1)) {
            for half in [[0, 1], [2, 3]] {
                tones.extend(row.iter().flat_map(|pixel| half.map(|k| pixel[k])));
            }
        }
        Seen {
            light,
            from_border: from_border(&tones, across * FINE as usize),
            tones,
        }
    }
}

/// One camera's view, before ink is laid on.
pub struct Seen {
    light: RgbaImage,
    /// [`FINE`] times as many either way; `None` beside the object.
    tones: Vec<Option<Tone>>,
    /// Distance of each from the nearest border between tones of another kind.
    from_border: Vec<u16>,
}

impl Seen {
    /// The picture at its own size.
    pub fn picture(&self) -> RgbaImage {
        self.inked(self.light.width())
    }

    /// The picture in all its sizes, smallest first, each with hatches of its own.
    ///
    /// # Errors
    /// The encoder refuses, which happens only for sizes beyond its own limits.
    pub fn files(&self) -> Result<Vec<Sized>, PictureError> {
        let transparent = self.light.pixels().any(|p| p.0[3] < 255);
        files::widths(self.light.width())
            .into_iter()
            .map(|width| files::one(&self.inked(width), width, transparent))
            .collect()
    }

    /// Ink for a picture that will be made `shown_px` wide.
    fn inked(&self, shown_px: u32) -> RgbaImage {
        let (width, height) = self.light.dimensions();
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        let (own, shown) = (width as f32, shown_px.max(1) as f32);
        // Of what is seen, lines stand eight pixels apart at least, and eighty to the width.
        let shrink = own / shown;
        let pitch = (own / 80.0).max(8.0 * shrink);
        let border = (pitch * 0.12).max(1.1 * shrink);
        let rows: Vec<Vec<Rgba<u8>>> = (0..height)
            .into_par_iter()
            .map(|y| {
                (0..width)
                    .map(|x| self.pixel(x, y, pitch, border))
                    .collect()
            })
            .collect();
        let mut picture = RgbaImage::new(width, height);
        for (to, from) in picture.pixels_mut().zip(rows.into_iter().flatten()) {
            *to = from;
        }
        picture
    }

    fn pixel(&self, x: u32, y: u32, pitch: f32, border: f32) -> Rgba<u8> {
        let lit = self.light.get_pixel(x, y).0;
        let across = (self.light.width() * FINE) as usize;
        let mut sum = [0.0f32; 3];
        let mut met = 0.0f32;
        for k in 0..FINE * FINE {
            let (sx, sy) = (x * FINE + k % FINE, y * FINE + k / FINE);
            let index = sy as usize * across + sx as usize;
            let Some(tone) = self.tones[index] else {
                continue;
            };
            #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
            let at = [sx, sy].map(|n| (n as f32 + 0.5) / FINE as f32);
            let mut mark = hatch::mark(tone, at, pitch);
            if let Some(ink) = hatch::border(tone) {
                #[expect(clippy::cast_precision_loss, reason = "a small number")]
                let off = f32::from(self.from_border[index]) / f32::from(UNIT) / FINE as f32;
                mark.ink = ink;
                mark.cover = mark.cover.max(hatch::smooth(border - off));
            } else if tone == Tone::Within {
                mark = BARE;
            }
            let inked = hatch::laid(paper(lit), &mark);
            for (s, c) in sum.iter_mut().zip(inked) {
                *s += c;
            }
            met += 1.0;
        }
        // Where nothing was met there is at most the shadow on the ground. At an outline the light
        // has mixed with that shadow already.
        if met == 0.0 {
            return Rgba(lit);
        }
        let [r, g, b] = sum.map(|s| crate::mesh::to_byte(s / met));
        Rgba([r, g, b, lit[3]])
    }
}

/// The tone of paper for a lit pixel.
fn paper([r, g, b, _]: [u8; 4]) -> [f32; 3] {
    // Weights of ITU-R BT.709.
    let light = (0.2126 * f32::from(r) + 0.7152 * f32::from(g) + 0.0722 * f32::from(b)) / 255.0;
    std::array::from_fn(|k| SHADED[k] + (LIT[k] - SHADED[k]) * light)
}

/// Whether two tones of the surface have a border between them.
fn parted(one: Option<Tone>, other: Option<Tone>) -> bool {
    let kind = |tone| match tone {
        Tone::NotCaptured => 0,
        Tone::Within => 1,
        Tone::Gained(_) => 2,
        Tone::Lost(_) => 3,
    };
    // An outline of the object is no border of a region.
    matches!((one, other), (Some(a), Some(b)) if kind(a) != kind(b))
}

/// Distance of every sample from the nearest border.
fn from_border(tones: &[Option<Tone>], width: usize) -> Vec<u16> {
    let height = tones.len() / width.max(1);
    let mut far = vec![FAR; tones.len()];
    for y in 0..height {
        for x in 0..width {
            let at = y * width + x;
            let right = x + 1 < width && parted(tones[at], tones[at + 1]);
            let below = y + 1 < height && parted(tones[at], tones[at + width]);
            for (border, other) in [(right, at + 1), (below, at + width)] {
                if border {
                    far[at] = UNIT / 2;
                    far[other] = UNIT / 2;
                }
            }
        }
    }
    let relax = |far: &mut [u16], at: usize, other: usize, step: u16| {
        far[at] = far[at].min(far[other].saturating_add(step));
    };
    for y in 0..height {
        for x in 0..width {
            let at = y * width + x;
            if x > 0 {
                relax(&mut far, at, at - 1, UNIT);
            }
            if y > 0 {
                relax(&mut far, at, at - width, UNIT);
                if x > 0 {
                    relax(&mut far, at, at - width - 1, DIAGONAL);
                }
                if x + 1 < width {
                    relax(&mut far, at, at - width + 1, DIAGONAL);
                }
            }
        }
    }
    for y in (0..height).rev() {
        for x in (0..width).rev() {
            let at = y * width + x;
            if x + 1 < width {
                relax(&mut far, at, at + 1, UNIT);
            }
            if y + 1 < height {
                relax(&mut far, at, at + width, UNIT);
                if x > 0 {
                    relax(&mut far, at, at + width - 1, DIAGONAL);
                }
                if x + 1 < width {
                    relax(&mut far, at, at + width + 1, DIAGONAL);
                }
            }
        }
    }
    far
}
