//! One light ray a pixel leaves grain: it is smoothed away within each surface, never across an
//! edge, by an edge-avoiding à-trous filter (Dammertz, Sewtz, Hanika and Lensch, "Edge-avoiding
//! à-trous wavelet transform for fast global illumination filtering", High Performance Graphics
//! 2010), guided by normals and depth. Colour is not touched, nor is light that has no grain.

use glam::{Vec3, Vec4};
use rayon::prelude::*;

/// What a place of the surface throws back.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lit {
    /// Share of the key light that reaches it.
    pub(super) key: f32,
    /// Whether that was found for this place alone, by one ray.
    pub(super) alone: bool,
    /// Of the key light, where it reaches.
    pub(super) keyed: Vec3,
    /// Of all that is known without grain.
    pub(super) plain: Vec3,
    /// Light from around that one ray found, and how much is thrown back of it.
    pub(super) grain: Option<(Vec3, Vec3)>,
}

/// What is kept of a pixel.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Buffer {
    /// Share of the pixel that the object covers.
    pub(super) cover: f32,
    /// Darkness of the ground in the rest of it.
    pub(super) shadow: f32,
    /// Light from around, and the share of the key light that arrives.
    light: Vec4,
    keyed: Vec3,
    plain: Vec3,
    albedo: Vec3,
    normal: Vec3,
    depth_mm: f32,
    /// How many samples have light from around that one ray found.
    grains: f32,
    /// Whether any of its light was found by one ray, and so has grain.
    rough: bool,
}

impl Buffer {
    pub(super) fn add_surface(&mut self, lit: &Lit, normal: Vec3, depth_mm: f32) {
        self.cover += 1.0;
        self.light.w += lit.key;
        self.keyed += lit.keyed;
        self.plain += lit.plain;
        if let Some((sky, albedo)) = lit.grain {
            self.light += sky.extend(0.0);
            self.albedo += albedo;
            self.grains += 1.0;
        }
        self.normal += normal;
        self.depth_mm += depth_mm;
        self.rough |= lit.alone || lit.grain.is_some();
    }

    /// Means: of the surface over the samples that met it, of the ground over all.
    pub(super) fn averaged(mut self, samples: usize) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let all = samples as f32;
        if self.cover > 0.0 {
            let met = self.cover;
            for mean in [&mut self.keyed, &mut self.plain, &mut self.albedo] {
                *mean /= met;
            }
            self.light /= Vec3::splat(self.grains.max(1.0)).extend(met);
            self.normal = self.normal.normalize_or_zero();
            self.depth_mm /= met;
            self.cover = met / all;
        }
        self.shadow /= all;
        self
    }

    /// Light that the surface throws back to the eye, linear.
    pub(super) fn surface(&self) -> Vec3 {
        self.plain + self.keyed * self.light.w + self.albedo * self.light.truncate()
    }
}

/// Widths of the passes, pixels.
const PASSES: [isize; 3] = [1, 2, 4];
/// Weights of a pass's five taps (B3 spline).
const TAPS: [f32; 5] = [1.0 / 16.0, 1.0 / 4.0, 3.0 / 8.0, 1.0 / 4.0, 1.0 / 16.0];
/// Sharpness with which differing normals part.
const NORMAL_POWER: i32 = 48;
/// Depth beyond which two pixels are apart, in pixels' worth of depth gradient.
const DEPTH_STEP: f32 = 3.0;
/// Below this the normals, and beyond this the depths, leave less than a thousandth of a tap.
const LEAST_ALIKE: f32 = 0.86;
const FARTHEST: f32 = 7.0;
/// Ground shadow is softer than any light on the object: more, wider passes.
const GROUND_PASSES: [isize; 5] = [1, 2, 4, 8, 16];

/// What tells one surface from another, of a pixel.
#[derive(Debug, Clone, Copy)]
struct Guide {
    normal: Vec3,
    depth_mm: f32,
    cover: f32,
    /// Light from around is mixed only with its like.
    grained: bool,
}

/// Smooths the light of every pixel.
pub(super) fn light(buffers: &mut [Buffer], width: usize) {
    let guides: Vec<Guide> = buffers
        .par_iter()
        .map(|b| Guide {
            normal: b.normal,
            depth_mm: b.depth_mm,
            cover: b.cover,
            grained: b.grains > 0.0,
        })
        .collect();
    let rough: Vec<(usize, f32)> = (0..buffers.len())
        .into_par_iter()
        .filter(|i| buffers[*i].rough && buffers[*i].cover > 0.0)
        .map(|i| (i, gradient(&guides, width, i)))
        .collect();
    let mut lit: Vec<Vec4> = buffers.par_iter().map(|b| b.light).collect();
    for step in PASSES {
        let taps = Taps::of(step, width);
        let smoothed: Vec<Vec4> = rough
            .par_iter()
            .map(|(i, gradient)| surface(&guides, &lit, *i, *gradient, step, &taps))
            .collect();
        for ((i, _), light) in rough.iter().zip(smoothed) {
            lit[*i] = light;
        }
    }
    let free: Vec<f32> = buffers.par_iter().map(|b| 1.0 - b.cover).collect();
    let shadow = buffers.par_iter().map(|b| b.shadow).collect();
    let shadow = ground(&free, shadow, width);
    buffers
        .par_iter_mut()
        .zip(lit.into_par_iter().zip(shadow))
        .for_each(|(buffer, (light, shadow))| (buffer.light, buffer.shadow) = (light, shadow));
}

/// Number of the pixel there, if the picture has it.
fn there(pixels: usize, width: usize, x: isize, y: isize) -> Option<usize> {
    let (x, y) = (usize::try_from(x).ok()?, usize::try_from(y).ok()?);
    let index = y * width + x;
    (x < width && index < pixels).then_some(index)
}

/// The 25 taps of a pass around a pixel.
struct Taps {
    /// To the right and down, how much further in the list of pixels, and the weight.
    all: [(isize, isize, isize, f32); 25],
    reach: isize,
    width: usize,
}

impl Taps {
    fn of(step: isize, width: usize) -> Self {
        Self {
            all: std::array::from_fn(|i| {
                let (dx, dy) = ((i % 5).cast_signed() - 2, (i / 5).cast_signed() - 2);
                let (dx, dy) = (dx * step, dy * step);
                let further = dy * width.cast_signed() + dx;
                (dx, dy, further, TAPS[i % 5] * TAPS[i / 5])
            }),
            reach: 2 * step,
            width,
        }
    }

    /// Calls with the pixels around this one of so many, and their weights.
    fn around(&self, own: usize, pixels: usize, mut with: impl FnMut(usize, f32)) {
        let (x, y) = (own % self.width, own / self.width);
        let inside = |at: usize, all: usize| {
            at.cast_signed() >= self.reach && at.cast_signed() + self.reach < all.cast_signed()
        };
        if inside(x, self.width) && inside(y, pixels / self.width) {
            for (_, _, further, weight) in self.all {
                with(own.wrapping_add_signed(further), weight);
            }
            return;
        }
        for (dx, dy, _, weight) in self.all {
            let (x, y) = (x.cast_signed() + dx, y.cast_signed() + dy);
            if let Some(i) = there(pixels, self.width, x, y) {
                with(i, weight);
            }
        }
    }
}

/// How fast the depth changes at a pixel, millimetres to the next: it tells a slanting surface from
/// an edge.
fn gradient(guides: &[Guide], width: usize, own: usize) -> f32 {
    let (x, y) = ((own % width).cast_signed(), (own / width).cast_signed());
    let slope = |dx, dy| {
        there(guides.len(), width, x + dx, y + dy)
            .map(|i| &guides[i])
            .filter(|g| g.cover > 0.0)
            .map_or(0.0, |g| (g.depth_mm - guides[own].depth_mm).abs())
    };
    slope(1, 0).min(slope(-1, 0)) + slope(0, 1).min(slope(0, -1)) + 0.02
}

fn surface(
    guides: &[Guide],
    lit: &[Vec4],
    own: usize,
    gradient: f32,
    step: isize,
    taps: &Taps,
) -> Vec4 {
    let at = guides[own];
    #[expect(clippy::cast_precision_loss, reason = "a few pixels")]
    let allowed = gradient * DEPTH_STEP * step as f32;
    let (mut light, mut total) = (Vec4::ZERO, 0.0);
    taps.around(own, guides.len(), |i, weight| {
        let other = &guides[i];
        let alike = other.normal.dot(at.normal);
        let off = (other.depth_mm - at.depth_mm).abs() / allowed;
        if other.cover == 0.0
            || alike < LEAST_ALIKE
            || off > FARTHEST
            || other.grained != at.grained
        {
            return;
        }
        // (1 − x/8)⁸ stands in for e⁻ˣ.
        let near = (1.0 - off / 8.0).powi(8);
        let weight = weight * alike.powi(NORMAL_POWER) * near * other.cover;
        light += lit[i] * weight;
        total += weight;
    });
    if total <= 1e-6 {
        return lit[own];
    }
    light / total
}

/// The shadow on the ground, smoothed over the parts of pixels that show ground. Along rows and
/// then along columns: the weights of the taps are products, and so are those of the sums.
fn ground(free: &[f32], shadow: Vec<f32>, width: usize) -> Vec<f32> {
    let reach: isize = GROUND_PASSES.iter().map(|step| 2 * step).sum();
    let dark = |row: &[f32]| row.iter().any(|s| *s > 0.0);
    let rows: Vec<isize> = (0isize..)
        .zip(shadow.chunks(width))
        .filter_map(|(y, row)| dark(row).then_some(y))
        .collect();
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
        return shadow;
    };
    // Rows that no shadow reaches are left as they are. Those that it just reaches look as far again.
    let near = (first - 2 * reach).max(0).cast_unsigned() * width;
    let far = ((last + 2 * reach + 1).cast_unsigned() * width).min(shadow.len());
    let mut out = shadow;
    let (free, smoothed) = (&free[near..far], &mut out[near..far]);
    let mut mixed = vec![(0.0f32, 0.0f32); smoothed.len()];
    for step in GROUND_PASSES {
        mixed
            .par_chunks_mut(width)
            .zip(smoothed.par_chunks(width).zip(free.par_chunks(width)))
            .for_each(|(mixed, (shadow, free))| {
                for (x, there) in mixed.iter_mut().enumerate() {
                    *there = taps_along(x, width, step).fold((0.0, 0.0), |(s, f), (i, w)| {
                        (s + w * shadow[i], f + w * free[i])
                    });
                }
            });
        let down = mixed.len() / width;
        smoothed
            .par_chunks_mut(width)
            .zip(free.par_chunks(width))
            .enumerate()
            .for_each(|(y, (shadow, free))| {
                let mut sums = vec![(0.0f32, 0.0f32); width];
                for (row, w) in taps_along(y, down, step) {
                    for (sum, own) in sums.iter_mut().zip(&mixed[row * width..]) {
                        *sum = (sum.0 + w * own.0, sum.1 + w * own.1);
                    }
                }
                for ((shadow, free), (sum, total)) in shadow.iter_mut().zip(free).zip(sums) {
                    if *free > 0.0 && total > 0.0 {
                        *shadow = sum / total * free;
                    }
                }
            });
    }
    out
}

/// The five taps along a line of so many pixels, with their weights.
fn taps_along(own: usize, count: usize, step: isize) -> impl Iterator<Item = (usize, f32)> {
    (-2isize..)
        .zip(TAPS)
        .filter_map(move |(k, weight)| Some((own.checked_add_signed(k * step)?, weight)))
        .filter(move |(i, _)| *i < count)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Shadow where no object covers it spreads, and no more of it is there than before.
    #[test]
    fn a_shadow_spreads_and_keeps_its_sum() {
        let width = 301;
        let mut shadow = vec![0.0; width * 301];
        shadow[150 * width + 150] = 1.0;
        let found = ground(&vec![1.0; shadow.len()], shadow, width);
        let sum: f32 = found.iter().sum();
        assert!((sum - 1.0).abs() < 1e-4, "{sum}");
        assert!(found[150 * width + 150] < 0.01);
        // The same in both directions, and to either side.
        for (dx, dy) in [(5, 0), (31, 7), (2, 60)] {
            let at = |x: usize, y: usize| found[y * width + x];
            let one = at(150 + dx, 150 + dy);
            assert!(one > 0.0);
            assert!((one - at(150 + dy, 150 + dx)).abs() < 1e-7);
            assert!((one - at(150 - dx, 150 - dy)).abs() < 1e-7);
        }
    }

    /// An even shadow stays even beside the object, which lends it neither light nor dark.
    #[test]
    fn an_even_shadow_stays_even_up_to_the_object() {
        let width = 80;
        let free: Vec<f32> = (0..width * 60)
            .map(|i| match (i % width, i / width) {
                (20..40, 10..30) => 0.0,
                (40, 10..30) => 0.25,
                _ => 1.0,
            })
            .collect();
        let shadow: Vec<f32> = free.iter().map(|f| f * 0.4).collect();
        let found = ground(&free, shadow.clone(), width);
        for (one, other) in found.iter().zip(&shadow) {
            assert!((one - other).abs() < 1e-5, "{one} and {other}");
        }
    }
}
