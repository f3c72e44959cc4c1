//! Few light rays a pixel leave grain: it is smoothed away within each surface, never across an
//! edge, by an edge-avoiding à-trous filter (Dammertz, Sewtz, Hanika and Lensch, "Edge-avoiding
//! à-trous wavelet transform for fast global illumination filtering", High Performance Graphics
//! 2010), guided by normals and depth. Colour is not touched.

use super::still::Lit;
use glam::Vec3;
use rayon::prelude::*;

/// What is kept of a pixel.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Buffer {
    /// Share of the pixel that the object covers.
    pub(super) cover: f32,
    /// Darkness of the ground in the rest of it.
    pub(super) shadow: f32,
    pub(super) light: Vec3,
    pub(super) glint: Vec3,
    pub(super) diffuse: Vec3,
    pub(super) mirror: Vec3,
    normal: Vec3,
    depth_mm: f32,
}

impl Buffer {
    pub(super) fn add_surface(&mut self, lit: &Lit, distance_mm: f64) {
        self.cover += 1.0;
        self.light += lit.light;
        self.glint += lit.glint;
        self.diffuse += lit.diffuse;
        self.mirror += lit.mirror;
        self.normal += lit.normal;
        #[expect(clippy::cast_possible_truncation, reason = "a guide for smoothing")]
        let depth = distance_mm as f32;
        self.depth_mm += depth;
    }

    /// Means: of the surface over the samples that met it, of the ground over all.
    pub(super) fn averaged(mut self, samples: usize) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let all = samples as f32;
        if self.cover > 0.0 {
            let met = self.cover;
            for mean in [
                &mut self.light,
                &mut self.glint,
                &mut self.diffuse,
                &mut self.mirror,
            ] {
                *mean /= met;
            }
            self.normal = self.normal.normalize_or_zero();
            self.depth_mm /= met;
            self.cover = met / all;
        }
        self.shadow /= all;
        self
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
/// Ground shadow is softer than any light on the object: more, wider passes.
const GROUND_PASSES: [isize; 5] = [1, 2, 4, 8, 16];

/// Smooths the light of every pixel.
pub(super) fn light(buffers: &[Buffer], width: usize) -> Vec<Buffer> {
    let mut current = buffers.to_vec();
    for step in PASSES {
        current = pass(&current, width, |at, x, y| {
            surface(&current, width, at, x, y, step)
        });
    }
    for step in GROUND_PASSES {
        current = pass(&current, width, |at, x, y| {
            ground(&current, width, at, x, y, step)
        });
    }
    current
}

fn pass(
    buffers: &[Buffer],
    width: usize,
    of: impl Fn(&Buffer, isize, isize) -> Buffer + Sync,
) -> Vec<Buffer> {
    buffers
        .par_iter()
        .enumerate()
        .map(|(index, buffer)| {
            of(
                buffer,
                (index % width).cast_signed(),
                (index / width).cast_signed(),
            )
        })
        .collect()
}

/// The pixel there, if the picture has it.
fn there(buffers: &[Buffer], width: usize, x: isize, y: isize) -> Option<&Buffer> {
    let (x, y) = (usize::try_from(x).ok()?, usize::try_from(y).ok()?);
    if x >= width {
        return None;
    }
    buffers.get(y * width + x)
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
    width: usize,
    at: &Buffer,
    x: isize,
    y: isize,
    step: isize,
) -> Buffer {
    if at.cover == 0.0 {
        return *at;
    }
    // How fast the depth changes here tells a slanting surface from an edge.
    let slope = |dx, dy| {
        there(buffers, width, x + dx, y + dy)
            .filter(|b| b.cover > 0.0)
            .map_or(0.0, |b| (b.depth_mm - at.depth_mm).abs())
    };
    let gradient = slope(1, 0).min(slope(-1, 0)) + slope(0, 1).min(slope(0, -1)) + 0.02;
    #[expect(clippy::cast_precision_loss, reason = "a few pixels")]
    let allowed = gradient * DEPTH_STEP * step as f32;
    let (mut light, mut glint, mut total) = (Vec3::ZERO, Vec3::ZERO, 0.0);
    for (dx, dy, weight) in taps(step) {
        let Some(other) = there(buffers, width, x + dx, y + dy) else {
            continue;
        };
        if other.cover == 0.0 {
            continue;
        }
        let same_way = other.normal.dot(at.normal).max(0.0).powi(NORMAL_POWER);
        let same_depth = (-(other.depth_mm - at.depth_mm).abs() / allowed).exp();
        let weight = weight * same_way * same_depth * other.cover;
        light += other.light * weight;
        glint += other.glint * weight;
        total += weight;
    }
    if total <= 1e-6 {
        return *at;
    }
    Buffer {
        light: light / total,
        glint: glint / total,
        ..*at
    }
}

fn ground(
    buffers: &[Buffer],
    width: usize,
    at: &Buffer,
    x: isize,
    y: isize,
    step: isize,
) -> Buffer {
    if at.cover >= 1.0 {
        return *at;
    }
    let (mut shadow, mut total) = (0.0, 0.0);
    for (dx, dy, weight) in taps(step) {
        if let Some(other) = there(buffers, width, x + dx, y + dy) {
            let free = 1.0 - other.cover;
            if free > 0.0 {
                shadow += weight * other.shadow;
                total += weight * free;
            }
        }
    }
    if total <= 0.0 {
        return *at;
    }
    Buffer {
        shadow: shadow / total * (1.0 - at.cover),
        ..*at
    }
}
