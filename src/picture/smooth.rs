//! One light ray a pixel leaves grain: it is smoothed away within each surface, never across an
//! edge, by an edge-avoiding à-trous filter (Dammertz, Sewtz, Hanika and Lensch, "Edge-avoiding
//! à-trous wavelet transform for fast global illumination filtering", High Performance Graphics
//! 2010), guided by normals and depth. Colour is not touched, nor is light that has no grain.

use glam::{Vec3, Vec4};
use rayon::prelude::*;

/// What a place of the surface throws back.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lit {
    /// Whether the key light reaches it: 0 or 1.
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

/// Smooths the light of every pixel.
pub(super) fn light(buffers: &mut [Buffer], width: usize) {
    let mut lit: Vec<Vec4> = buffers.iter().map(|b| b.light).collect();
    let mut next = lit.clone();
    for step in PASSES {
        pass(&mut next, width, |x, y| {
            surface(buffers, &lit, width, x, y, step)
        });
        std::mem::swap(&mut lit, &mut next);
    }
    let mut shadow: Vec<f32> = buffers.iter().map(|b| b.shadow).collect();
    if shadow.iter().any(|s| *s > 0.0) {
        let mut next = shadow.clone();
        let free: Vec<f32> = buffers.iter().map(|b| 1.0 - b.cover).collect();
        for step in GROUND_PASSES {
            pass(&mut next, width, |x, y| {
                ground(&free, &shadow, width, x, y, step)
            });
            std::mem::swap(&mut shadow, &mut next);
        }
    }
    for (buffer, (light, shadow)) in buffers.iter_mut().zip(lit.into_iter().zip(shadow)) {
        (buffer.light, buffer.shadow) = (light, shadow);
    }
}

fn pass<T: Send>(next: &mut [T], width: usize, of: impl Fn(isize, isize) -> T + Sync) {
    next.par_chunks_mut(width).enumerate().for_each(|(y, row)| {
        for (x, there) in row.iter_mut().enumerate() {
            *there = of(x.cast_signed(), y.cast_signed());
        }
    });
}

/// Number of the pixel there, if the picture has it.
fn there(pixels: usize, width: usize, x: isize, y: isize) -> Option<usize> {
    let (x, y) = (usize::try_from(x).ok()?, usize::try_from(y).ok()?);
    let index = y * width + x;
    (x < width && index < pixels).then_some(index)
}

/// The 25 taps around a pixel with their weights.
fn taps(step: isize) -> impl Iterator<Item = (isize, isize, f32)> {
    (0..25).map(move |i: usize| {
        let (dx, dy) = ((i % 5).cast_signed() - 2, (i / 5).cast_signed() - 2);
        (dx * step, dy * step, TAPS[i % 5] * TAPS[i / 5])
    })
}

fn surface(
    buffers: &[Buffer],
    lit: &[Vec4],
    width: usize,
    x: isize,
    y: isize,
    step: isize,
) -> Vec4 {
    let own = y.cast_unsigned() * width + x.cast_unsigned();
    let at = &buffers[own];
    if at.cover == 0.0 || !at.rough {
        return lit[own];
    }
    // How fast the depth changes here tells a slanting surface from an edge.
    let slope = |dx, dy| {
        there(buffers.len(), width, x + dx, y + dy)
            .map(|i| &buffers[i])
            .filter(|b| b.cover > 0.0)
            .map_or(0.0, |b| (b.depth_mm - at.depth_mm).abs())
    };
    let gradient = slope(1, 0).min(slope(-1, 0)) + slope(0, 1).min(slope(0, -1)) + 0.02;
    #[expect(clippy::cast_precision_loss, reason = "a few pixels")]
    let allowed = gradient * DEPTH_STEP * step as f32;
    let (mut light, mut total) = (Vec4::ZERO, 0.0);
    for (dx, dy, weight) in taps(step) {
        let Some(i) = there(buffers.len(), width, x + dx, y + dy) else {
            continue;
        };
        let other = &buffers[i];
        let alike = other.normal.dot(at.normal);
        let off = (other.depth_mm - at.depth_mm).abs() / allowed;
        // Light from around is mixed only with its like.
        let apart = (other.grains == 0.0) != (at.grains == 0.0);
        if other.cover == 0.0 || alike < LEAST_ALIKE || off > FARTHEST || apart {
            continue;
        }
        let weight = weight * alike.powi(NORMAL_POWER) * (-off).exp() * other.cover;
        light += lit[i] * weight;
        total += weight;
    }
    if total <= 1e-6 {
        return lit[own];
    }
    light / total
}

fn ground(free: &[f32], shadow: &[f32], width: usize, x: isize, y: isize, step: isize) -> f32 {
    let own = y.cast_unsigned() * width + x.cast_unsigned();
    if free[own] <= 0.0 {
        return shadow[own];
    }
    let (mut sum, mut total) = (0.0, 0.0);
    for (dx, dy, weight) in taps(step) {
        if let Some(i) = there(free.len(), width, x + dx, y + dy)
            && free[i] > 0.0
        {
            sum += weight * shadow[i];
            total += weight * free[i];
        }
    }
    if total <= 0.0 {
        return shadow[own];
    }
    sum / total * free[own]
}
