//! The patch of surface that is to be seen.

use super::Part;
use crate::space::closest_on_triangle;
use glam::DVec3;
use std::collections::BTreeSet;

/// Points that stand for a patch.
const SAMPLES: usize = 96;
/// A triangle is cut down until its longest edge is below this share of the patch's radius.
const FINE: f64 = 0.25;
/// Triangles are halved so often at most: an edge a thousand radii long is cut down by then.
const HALVINGS: u32 = 14;
/// 1 / φ.
const GOLDEN: f64 = 0.618_033_988_749_895;

/// A point that stands for a piece of surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    pub(super) point: DVec3,
    /// Outward unit normal of its triangle.
    pub(super) normal: DVec3,
    pub(super) area_mm2: f64,
}

/// The surface around a point that hangs together with it and faces the same way.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    pub(super) samples: Vec<Sample>,
    /// The point, millimetres.
    pub centre: DVec3,
    /// Mean outward unit normal.
    pub normal: DVec3,
    /// How far it reaches, millimetres.
    pub radius_mm: f64,
    /// Area of all samples, mm².
    pub(super) area_mm2: f64,
}

impl Patch {
    /// The patch of a part around a point of its surface. What faces the other way than `normal`
    /// does not belong to it, so that a patch on the rim of a cup does not go on inside.
    ///
    /// `None` when no triangle around the point faces that way.
    pub fn of(part: Part<'_>, point: DVec3, normal: DVec3, radius_mm: f64) -> Option<Self> {
        Self::of_samples(part, point, normal, radius_mm, SAMPLES)
    }

    pub(super) fn of_samples(
        part: Part<'_>,
        point: DVec3,
        normal: DVec3,
        radius_mm: f64,
        count: usize,
    ) -> Option<Self> {
        let mut pieces = Vec::new();
        for face in connected(part, point, radius_mm) {
            let corners = part.mesh.corners(face);
            let [a, b, c] = corners;
            let own = (b - a).cross(c - a).normalize_or_zero();
            if own.dot(normal) > 0.0 {
                pieces_of(corners, own, point, radius_mm, HALVINGS, &mut pieces);
            }
        }
        let area_mm2: f64 = pieces.iter().map(|s| s.area_mm2).sum();
        let sum: DVec3 = pieces.iter().map(|s| s.normal * s.area_mm2).sum();
        Some(Self {
            normal: sum.try_normalize()?,
            samples: thinned(pieces, area_mm2, count),
            centre: point,
            radius_mm,
            area_mm2,
        })
    }
}

/// Triangles that reach into the ball and hang together, from the nearest on.
fn connected(part: Part<'_>, point: DVec3, radius_mm: f64) -> Vec<u32> {
    let Some(first) = part.tree.closest(point) else {
        return Vec::new();
    };
    let mut met = BTreeSet::from([first.face]);
    let mut faces = vec![first.face];
    let mut next = 0;
    while let Some(&face) = faces.get(next) {
        next += 1;
        for other in part.sides.across(face).into_iter().flatten() {
            let corners = part.mesh.corners(other);
            let off = closest_on_triangle(point, corners).point.distance(point);
            if off <= radius_mm && met.insert(other) {
                faces.push(other);
            }
        }
    }
    faces
}

/// Cuts a triangle into pieces that are small beside the ball, and keeps those within it.
fn pieces_of(
    corners: [DVec3; 3],
    normal: DVec3,
    centre: DVec3,
    radius_mm: f64,
    halvings: u32,
    pieces: &mut Vec<Sample>,
) {
    let edge = |k: usize| corners[k].distance(corners[(k + 1) % 3]);
    let longest = (0..3).map(edge).fold(0.0, f64::max);
    if longest <= FINE * radius_mm || halvings == 0 {
        let [a, b, c] = corners;
        let middle = (a + b + c) / 3.0;
        if middle.distance(centre) <= radius_mm {
            pieces.push(Sample {
                point: middle,
                normal,
                area_mm2: (b - a).cross(c - a).length() / 2.0,
            });
        }
        return;
    }
    let off = closest_on_triangle(centre, corners).point.distance(centre);
    if off > radius_mm {
        return;
    }
    let [a, b, c] = corners;
    let [ab, bc, ca] = [(a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0];
    for smaller in [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]] {
        pieces_of(smaller, normal, centre, radius_mm, halvings - 1, pieces);
    }
}

/// Fewer samples of the same area: of every so many square millimetres one, each time another, so
/// that triangles in a pattern are not all met at the same spot (the golden ratio's multiples are
/// spread evenly: Weyl, Mathematische Annalen 77, 1916).
fn thinned(pieces: Vec<Sample>, area_mm2: f64, count: usize) -> Vec<Sample> {
    if pieces.len() <= count {
        return pieces;
    }
    let step = area_mm2 / count as f64;
    let wanted = |k: usize| (k as f64 + (k as f64 * GOLDEN).fract()) * step;
    let mut kept = Vec::with_capacity(count);
    let mut reached = 0.0;
    for piece in pieces {
        reached += piece.area_mm2;
        while kept.len() < count && wanted(kept.len()) <= reached {
            kept.push(Sample {
                area_mm2: step,
                ..piece
            });
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{Body, Shape};
    use super::*;
    use std::f64::consts::PI;

    /// A disc on a flat side has the area π r²; a cap of a sphere 2π R h, with h = r² / 2R for a
    /// reach of r: π r² again (Archimedes, On the Sphere and Cylinder I, 42).
    #[test]
    fn a_patch_has_the_area_of_its_disc_or_cap() {
        let block = Body::of([Shape::block(DVec3::ZERO, DVec3::splat(400.0))]);
        let on_block = Patch::of(block.part(0), DVec3::new(3.0, 5.0, 200.0), DVec3::Z, 6.0);
        let ball = Body::of([Shape::sphere(DVec3::ZERO, 40.0, 160)]);
        let on_ball = Patch::of(ball.part(0), DVec3::X * 40.0, DVec3::X, 12.0);
        for (found, expected) in [(on_block, PI * 36.0), (on_ball, PI * 144.0)] {
            let found = found.unwrap();
            let off = (found.area_mm2 / expected - 1.0).abs();
            assert!(off < 0.02, "{} and {expected}", found.area_mm2);
            let sum: f64 = found.samples.iter().map(|s| s.area_mm2).sum();
            assert!((sum / found.area_mm2 - 1.0).abs() < 1e-9);
            assert!(found.samples.len() <= SAMPLES && found.samples.len() > 60);
        }
    }

    /// The wall of a cup is 2 mm thick: a patch of 8 mm outside takes nothing of its inside, though
    /// the two hang together over the rim.
    #[test]
    fn a_patch_on_the_rim_does_not_go_on_inside() {
        let cup = Body::of([Shape::cup(20.0, 22.0, 50.0)]);
        let outside = Patch::of(cup.part(0), DVec3::new(0.0, 50.0, 22.0), DVec3::Z, 8.0);
        for sample in outside.unwrap().samples {
            assert!(sample.normal.z > 0.0 && sample.point.z > 20.5);
        }
    }
}
