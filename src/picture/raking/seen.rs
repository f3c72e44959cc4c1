//! What the camera meets: heights and slopes of the surface, pixel by pixel.

use super::super::camera::QUARTERS;
use super::super::foremost::Foremost;
use super::super::{Camera, Scene};
use crate::space::Hit;
use glam::{DVec3, Vec3};
use rayon::prelude::*;

/// Rows of pixels that one processor works at.
const BAND: usize = 32;
/// What lies deeper than this behind the foremost, in widths of a pixel, belongs to something behind
/// it.
const BEHIND: f32 = 4.0;

/// The surface before a camera, in the camera's directions: right, up, toward the eye.
#[derive(Debug, Clone)]
pub struct Relief {
    size_px: [u32; 2],
    pixel_mm: f64,
    cover: Vec<f32>,
    height_mm: Vec<f32>,
    normal: Vec<Vec3>,
}

/// One pixel of it.
#[derive(Debug, Clone, Copy, Default)]
struct Pixel {
    cover: f32,
    height_mm: f32,
    normal: Vec3,
}

/// A ray's answer: height, and normal.
type Met = Option<(f32, Vec3)>;

impl Relief {
    /// Finds it at the middle of every pixel, and by four rays where what is there ends.
    pub fn seen(scene: &Scene, camera: &Camera) -> Self {
        let axes = camera.axes();
        let (pixel_mm, away_mm) = (camera.pixel_mm(), scene.beyond());
        let told = |hit: &Hit| {
            let normal = scene.spot(hit, axes.toward_eye).normal;
            let along = |axis: DVec3| normal.dot(axis.as_vec3());
            #[expect(clippy::cast_possible_truncation, reason = "heights within a picture")]
            let height_mm = (away_mm - hit.distance_mm) as f32;
            let normal = Vec3::new(along(axes.right), along(axes.up), along(axes.toward_eye));
            (height_mm, normal)
        };
        let met = |x: f64, y: f64| -> Met {
            let (from, way) = camera.ray(&axes, [x, y], away_mm);
            scene.ray(from, way).as_ref().map(told)
        };
        let across = camera.size_px[0].max(1) as usize;
        let place = |i: usize| ((i % across) as f64, (i / across) as f64);
        let once: Vec<Met> = Foremost::of(scene, camera, &axes, BAND)
            .everywhere()
            .par_iter()
            .map(|hit| hit.as_ref().map(told))
            .collect();
        #[expect(clippy::cast_possible_truncation, reason = "the width of a pixel")]
        let behind_mm = pixel_mm as f32 * BEHIND;
        let pixels: Vec<Pixel> = (0..once.len())
            .into_par_iter()
            .map(|i| {
                if !ends(&once, across, i, behind_mm) {
                    return mean(&[once[i]], behind_mm);
                }
                let (x, y) = place(i);
                mean(&QUARTERS.map(|[dx, dy]| met(x + dx, y + dy)), behind_mm)
            })
            .collect();
        Self {
            size_px: camera.size_px,
            pixel_mm,
            cover: pixels.iter().map(|p| p.cover).collect(),
            height_mm: pixels.iter().map(|p| p.height_mm).collect(),
            normal: pixels.iter().map(|p| p.normal).collect(),
        }
    }

    /// Width and height, pixels.
    pub fn size_px(&self) -> [u32; 2] {
        self.size_px
    }

    /// Pixels of a row.
    pub(super) fn across(&self) -> usize {
        self.size_px[0] as usize
    }

    /// Rows.
    pub(super) fn down(&self) -> usize {
        self.size_px[1] as usize
    }

    /// Width of a pixel, millimetres.
    pub fn pixel_mm(&self) -> f64 {
        self.pixel_mm
    }

    /// Share of each pixel that the object covers.
    pub fn cover(&self) -> &[f32] {
        &self.cover
    }

    /// Height of the surface toward the eye, from the plane through the camera's centre,
    /// millimetres; of no meaning where nothing is covered.
    pub fn height_mm(&self) -> &[f32] {
        &self.height_mm
    }

    /// Unit normals: right, up, toward the eye.
    pub fn normal(&self) -> &[Vec3] {
        &self.normal
    }
}

/// Whether a surface ends at a pixel: the one before or after it, in its row or column, met another,
/// or nothing.
fn ends(all: &[Met], across: usize, i: usize, behind_mm: f32) -> bool {
    let x = i % across;
    let near = [
        (x > 0).then(|| i - 1),
        (x + 1 < across).then_some(i + 1),
        i.checked_sub(across),
        Some(i + across).filter(|j| *j < all.len()),
    ];
    near.into_iter().flatten().any(|j| match (all[i], all[j]) {
        (Some(a), Some(b)) => (a.0 - b.0).abs() > behind_mm,
        (None, None) => false,
        _ => true,
    })
}

/// The mean of the foremost surface in a pixel, and how much of it is covered at all.
fn mean(met: &[Met], behind_mm: f32) -> Pixel {
    let front = met
        .iter()
        .flatten()
        .map(|m| m.0)
        .fold(f32::NEG_INFINITY, f32::max);
    let (mut height, mut normal, mut near, mut all) = (0.0, Vec3::ZERO, 0.0, 0.0);
    for (z, n) in met.iter().flatten() {
        all += 1.0;
        if *z > front - behind_mm {
            near += 1.0;
            height += z;
            normal += *n;
        }
    }
    if all == 0.0 {
        return Pixel::default();
    }
    Pixel {
        cover: all / met.len() as f32,
        height_mm: height / near,
        normal: normal.normalize_or(Vec3::Z),
    }
}
