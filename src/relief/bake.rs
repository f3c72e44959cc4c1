//! Draws the scan's slopes, shade and colours on the sheet of a reduced mesh.

use super::fill::Square;
use super::flat::texels;
use super::shade::Shade;
use super::unwrap::{Unwrapped, smooth_normals};
use crate::mesh::{Mesh, to_byte};
use crate::space::Tree;
use glam::{DVec2, DVec3};
use image::{GrayImage, Luma, Rgb, RgbImage};
use rayon::prelude::*;

/// One part: its reduced mesh with places on the sheet, and the scan that it stands for.
#[derive(Debug)]
pub struct Scan<'a> {
    /// The reduced mesh.
    pub flat: &'a Unwrapped,
    /// The scan.
    pub mesh: &'a Mesh,
    /// The scan's tree.
    pub tree: &'a Tree,
    /// Openness near the scan.
    pub shade: &'a Shade,
    /// The scan is looked for so far from the reduced surface, millimetres: at least as far as the
    /// one strays from the other.
    pub reach_mm: f64,
}

/// What was drawn, each picture square and without a gap.
#[derive(Debug, Clone)]
pub struct Sheets {
    /// The scan's unit normals in the frame of the reduced surface (glTF 2.0, section 3.9.3,
    /// `normalTexture`): red along the tangent, green along the sheet's upward direction.
    pub slopes: RgbImage,
    /// Openness (`occlusionTexture`), half as many texels across.
    pub shade: GrayImage,
    /// sRGB colours, when the scan has any, as many texels across as was asked for.
    pub colour: Option<RgbImage>,
    /// Samples that were drawn.
    pub samples: usize,
    /// Samples at which no ray met the scan and the nearest place was taken.
    pub missed: usize,
}

/// Triangles whose samples are held at once.
const AT_ONCE: usize = 4096;

struct Sample {
    at: (u32, u32),
    slope: [f32; 3],
    colour: Option<[f32; 3]>,
    shade: Option<f32>,
    missed: bool,
}

/// How finely to draw.
#[derive(Debug, Clone, Copy)]
pub struct Grain {
    /// Texels along the sheet.
    pub texels: u32,
    /// Samples along each of them.
    pub finer: u32,
    /// Texels of the colours along the sheet, `texels` divided by a whole number.
    pub colour_texels: u32,
}

/// Draws all parts on one sheet.
pub fn bake(parts: &[Scan<'_>], grain: Grain) -> Sheets {
    let Grain {
        texels: size,
        finer,
        colour_texels,
    } = grain;
    let across = size as usize;
    let coarser = (size / colour_texels.clamp(1, size)) as usize;
    let mut slopes = Square::<3>::new(across);
    let mut shade = Square::<1>::new(across.div_ceil(2));
    let mut colour = Square::<3>::new(across.div_ceil(coarser));
    let (mut samples, mut missed, mut coloured) = (0, 0, false);
    for part in parts {
        let normals = smooth_normals(part.mesh);
        let faces: Vec<u32> =
            (0..u32::try_from(part.flat.mesh.triangles().len()).unwrap_or(0)).collect();
        for some in faces.chunks(AT_ONCE) {
            let drawn: Vec<Vec<Sample>> = some
                .par_iter()
                .map(|&face| draw(part, &normals, face, size, finer))
                .collect();
            for sample in drawn.into_iter().flatten() {
                let (x, y) = (sample.at.0 as usize, sample.at.1 as usize);
                slopes.add(x, y, sample.slope);
                if let Some(found) = sample.colour {
                    coloured = true;
                    colour.add(x / coarser, y / coarser, found);
                }
                if let Some(open) = sample.shade {
                    shade.add(x / 2, y / 2, [open]);
                }
                samples += 1;
                missed += usize::from(sample.missed);
            }
        }
    }
    let half = size.div_ceil(2);
    Sheets {
        slopes: picture(size, &slopes.filled(), |n| {
            Rgb(direction(n).map(|c| to_byte((c + 1.0) / 2.0)))
        }),
        shade: picture(half, &shade.filled(), |[open]| Luma([to_byte(open)])),
        colour: coloured.then(|| {
            let size = u32::try_from(colour.size).unwrap_or(size);
            picture(size, &colour.filled(), |c| Rgb(c.map(to_byte)))
        }),
        samples,
        missed,
    }
}

fn picture<const N: usize, P: image::Pixel<Subpixel = u8>>(
    size: u32,
    values: &[[f32; N]],
    pixel: impl Fn([f32; N]) -> P,
) -> image::ImageBuffer<P, Vec<u8>> {
    image::ImageBuffer::from_fn(size, size, |x, y| pixel(values[(y * size + x) as usize]))
}

/// The mean of unit normals, made one again.
fn direction(sum: [f32; 3]) -> [f32; 3] {
    glam::Vec3::from(sum).normalize_or(glam::Vec3::Z).to_array()
}

/// All samples of one triangle of the reduced mesh.
fn draw(part: &Scan<'_>, normals: &[DVec3], face: u32, size: u32, finer: u32) -> Vec<Sample> {
    let flat = part.flat;
    let corners = flat.mesh.triangles()[face as usize].map(|i| i as usize);
    let fine = f64::from(size * finer);
    let places: [DVec2; 3] = corners.map(|i| flat.places[i].as_dvec2() * fine);
    let points = flat.mesh.corners(face);
    let scan = Reach {
        mesh: part.mesh,
        tree: part.tree,
        reach_mm: part.reach_mm,
    };
    let mut out = Vec::new();
    texels(places, |(x, y), weights| {
        let at = (x / finer, y / finer);
        if at.0 >= size || at.1 >= size {
            return;
        }
        let mix = |values: [DVec3; 3]| {
            values
                .iter()
                .zip(weights)
                .map(|(v, w)| *v * w)
                .sum::<DVec3>()
        };
        let point = mix(points);
        // The frame that a renderer will have here: interpolated, then made upright.
        let up = mix(corners.map(|i| flat.normals[i].as_dvec3())).normalize_or(DVec3::Y);
        let along = mix(corners.map(|i| flat.tangents[i].as_dvec3()));
        let along = along
            .reject_from_normalized(up)
            .try_normalize()
            .unwrap_or_else(|| up.any_orthonormal_vector());
        let Some((found, missed)) = meet(&scan, point, up) else {
            return;
        };
        #[expect(clippy::cast_possible_truncation, reason = "shares")]
        let weights = found.weights.map(|w| w as f32);
        // A scan may itself have slopes that are finer than its triangles.
        let drawn = part.mesh.drawn_normal_at(found.face, weights);
        let normal = drawn.map_or_else(
            || smooth_at(part.mesh, normals, &found).normalize_or(up),
            |drawn| drawn.as_dvec3(),
        );
        #[expect(
            clippy::cast_possible_truncation,
            reason = "components of unit vectors"
        )]
        let slope = [
            normal.dot(along),
            normal.dot(up.cross(along)),
            normal.dot(up),
        ]
        .map(|c| c as f32);
        // The shade is drawn once for four texels.
        let coarse = 2 * finer;
        let shade = (x % coarse == 0 && y % coarse == 0).then(|| part.shade.at(found.point));
        out.push(Sample {
            at,
            slope,
            colour: part.mesh.colour_at(found.face, weights),
            shade,
            missed,
        });
    });
    out
}

/// The normal between the corners of a triangle of the scan.
fn smooth_at(mesh: &Mesh, normals: &[DVec3], met: &Met) -> DVec3 {
    let corners = mesh.triangles()[met.face as usize].iter();
    corners
        .zip(met.weights)
        .map(|(i, w)| normals[*i as usize] * w)
        .sum()
}

/// A scan, and how far to look for it.
pub(super) struct Reach<'a> {
    pub(super) mesh: &'a Mesh,
    pub(super) tree: &'a Tree,
    pub(super) reach_mm: f64,
}

pub(super) struct Met {
    point: DVec3,
    pub(super) face: u32,
    pub(super) weights: [f64; 3],
}

/// The scan above or below a point of the reduced surface, whichever is nearer and faces the same
/// way; where there is none within reach, the nearest place at all, and `true`.
pub(super) fn meet(part: &Reach<'_>, point: DVec3, up: DVec3) -> Option<(Met, bool)> {
    // The surfaces may touch here, so each ray begins a little on the other side.
    let back = part.reach_mm * 0.01;
    let faces_away = |face: u32| {
        let [a, b, c] = part.mesh.corners(face);
        (b - a).cross(c - a).dot(up) <= 0.0
    };
    let look = |way: DVec3| {
        let start = point - way * back;
        let hit = part
            .tree
            .ray_past(start, way, part.reach_mm + back, faces_away)?;
        Some((
            (hit.distance_mm - back).abs(),
            start + way * hit.distance_mm,
            hit,
        ))
    };
    let nearer = [look(up), look(-up)]
        .into_iter()
        .flatten()
        .min_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((_, point, hit)) = nearer {
        let (face, weights) = (hit.face, hit.barycentric);
        return Some((
            Met {
                point,
                face,
                weights,
            },
            false,
        ));
    }
    let near = part.tree.closest(point)?;
    let (point, face, weights) = (near.point, near.face, near.barycentric);
    Some((
        Met {
            point,
            face,
            weights,
        },
        true,
    ))
}
