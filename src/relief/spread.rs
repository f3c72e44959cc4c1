//! Draws one byte for each place of the scan on the sheet of a reduced mesh: a measured distance in
//! the code of a scale.
//!
//! A code is never averaged: beside a place that was not captured, or at the rim of a chart, a mean
//! would tell of a difference that nobody measured.

use super::bake::{Reach, meet};
use super::flat::texels;
use super::unwrap::Unwrapped;
use crate::differ::{Field, Scale, blend};
use crate::mesh::{Mesh, weld};
use crate::space::Tree;
use glam::{DVec2, DVec3};
use image::{GrayImage, Luma};
use rayon::prelude::*;

/// One part: its reduced mesh with places on the sheet, the scan, and what was measured on it.
#[derive(Debug, Clone, Copy)]
pub struct Spread<'a> {
    /// The reduced mesh.
    pub flat: &'a Unwrapped,
    /// The scan.
    pub mesh: &'a Mesh,
    /// The scan's tree.
    pub tree: &'a Tree,
    /// Distances of the scan's surface; without them the part is shown as not captured.
    pub field: Option<&'a Field>,
    /// The scan is looked for so far from the reduced surface, millimetres.
    pub reach_mm: f64,
}

/// Texels beyond a chart's rim that take the code of the nearest inside, for a renderer that reads
/// the four around a place.
const RIM: usize = 4;
/// What stands where nothing is drawn: the middle of what is within tolerance.
const PLAIN: u8 = 128;

/// The codes of all parts on one sheet of so many texels along a side, or `None` where a field was
/// measured on another surface.
pub fn spread(parts: &[Spread<'_>], scale: &Scale, size: u32) -> Option<GrayImage> {
    let mut sheet: Vec<Option<u8>> = vec![None; (size as usize).pow(2)];
    for part in parts {
        let corners: Option<Vec<(f64, bool)>> = match part.field {
            None => None,
            Some(field) => {
                let welded = weld(part.mesh);
                if welded.places.len() != field.smooth_mm.len() {
                    return None;
                }
                let of = |i: &u32| (field.smooth_mm[*i as usize], field.captured[*i as usize]);
                Some(welded.place_of.iter().map(of).collect())
            }
        };
        let faces: Vec<u32> = (0u32..).take(part.flat.mesh.triangles().len()).collect();
        let drawn: Vec<Vec<((u32, u32), u8)>> = faces
            .par_iter()
            .map(|face| draw(part, corners.as_deref(), scale, *face, size))
            .collect();
        for ((x, y), code) in drawn.into_iter().flatten() {
            sheet[(y * size + x) as usize] = Some(code);
        }
    }
    let whole = carried(sheet, size as usize);
    Some(GrayImage::from_fn(size, size, |x, y| {
        Luma([whole[(y * size + x) as usize].unwrap_or(PLAIN)])
    }))
}

/// The codes of one triangle of the reduced mesh.
fn draw(
    part: &Spread<'_>,
    corners: Option<&[(f64, bool)]>,
    scale: &Scale,
    face: u32,
    size: u32,
) -> Vec<((u32, u32), u8)> {
    let flat = part.flat;
    let ids = flat.mesh.triangles()[face as usize].map(|i| i as usize);
    let places: [DVec2; 3] = ids.map(|i| flat.places[i].as_dvec2() * f64::from(size));
    let points = flat.mesh.corners(face);
    let normals = ids.map(|i| flat.normals[i].as_dvec3());
    let mix = |of: [DVec3; 3], weights: [f64; 3]| -> DVec3 {
        of.iter().zip(weights).map(|(v, w)| *v * w).sum()
    };
    let scan = Reach {
        mesh: part.mesh,
        tree: part.tree,
        reach_mm: part.reach_mm,
    };
    let mut out = Vec::new();
    texels(places, |(x, y), weights| {
        if x >= size || y >= size {
            return;
        }
        let up = mix(normals, weights).normalize_or(DVec3::Y);
        let Some((met, _)) = meet(&scan, mix(points, weights), up) else {
            return;
        };
        let code = corners.map_or(0, |corners| {
            let ids = part.mesh.triangles()[met.face as usize];
            let (signed_mm, captured) = blend(ids.map(|i| corners[i as usize]), met.weights);
            scale.code(signed_mm, captured)
        });
        out.push(((x, y), code));
    });
    out
}

/// Codes carried over the rims of charts, ring by ring, each from one neighbour.
fn carried(mut sheet: Vec<Option<u8>>, size: usize) -> Vec<Option<u8>> {
    for _ in 0..RIM {
        let before = sheet.clone();
        for (at, slot) in sheet.iter_mut().enumerate() {
            if slot.is_some() {
                continue;
            }
            let (x, y) = (at % size, at / size);
            let left = (x > 0).then(|| before[at - 1]);
            let right = (x + 1 < size).then(|| before[at + 1]);
            let above = (y > 0).then(|| before[at - size]);
            let below = (y + 1 < size).then(|| before[at + size]);
            *slot = [left, right, above, below]
                .into_iter()
                .flatten()
                .flatten()
                .next();
        }
    }
    sheet
}
