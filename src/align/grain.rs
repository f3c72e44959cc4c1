//! What a surface's own points say of their noise and roundness.

use super::Surface;
use crate::mesh::FacesAround;
use glam::DVec3;
use rayon::prelude::*;

/// What a surface's own points say of their quality.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Grain {
    /// Standard deviation of the points about the surface between them, millimetres. Grain of the
    /// material counts as noise of the scan: nothing in the points tells the two apart.
    pub noise_mm: f64,
    /// How far the flat triangles stray from the round surface between their corners: one edge in
    /// a hundred strays by more, millimetres.
    pub sagitta_mm: f64,
    /// The same of a usual edge, the median, millimetres.
    pub usual_sagitta_mm: f64,
}

impl Surface<'_> {
    /// Noise and roundness, from every corner and edge.
    pub fn grain(&self) -> Grain {
        *self.grain.get_or_init(|| {
            let ((usual_sagitta_mm, sagitta_mm), noise_mm) =
                rayon::join(|| self.sagittas_mm(), || self.noise_mm());
            Grain {
                noise_mm,
                sagitta_mm,
                usual_sagitta_mm,
            }
        })
    }

    fn noise_mm(&self) -> f64 {
        let welded = self.sides.welded();
        let at = |i: u32| welded.places[i as usize].as_dvec3();
        let normals: Vec<DVec3> = (0u32..)
            .take(welded.places.len())
            .map(|i| self.sides.normal(i))
            .collect();
        let (mut sums, mut counts) = (vec![DVec3::ZERO; normals.len()], vec![0.0; normals.len()]);
        for t in &welded.triangles {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                sums[a as usize] += at(b);
                sums[b as usize] += at(a);
                counts[a as usize] += 1.0;
                counts[b as usize] += 1.0;
            }
        }
        // How far a corner stands out of the ring around it; the mean of the ring's own takes away
        // what is curvature and not noise.
        let stands: Vec<f64> = (0..normals.len())
            .map(|i| {
                let ring = sums[i] / f64::max(counts[i], 1.0);
                #[expect(clippy::cast_possible_truncation, reason = "places are counted in u32")]
                let here = at(i as u32);
                (here - ring).dot(normals[i])
            })
            .collect();
        let (mut around, mut weight) = (vec![0.0; normals.len()], vec![0.0; normals.len()]);
        for t in &welded.triangles {
            for k in 0..3 {
                let (a, b) = (t[k] as usize, t[(k + 1) % 3] as usize);
                around[a] += stands[b];
                around[b] += stands[a];
                weight[a] += 1.0;
                weight[b] += 1.0;
            }
        }
        // A corner of a box stands out by its shape.
        let mut sharp = vec![false; normals.len()];
        for t in &welded.triangles {
            let [a, b, c] = t.map(at);
            let flat = (b - a).cross(c - a).normalize_or_zero();
            for i in t {
                sharp[*i as usize] |= normals[*i as usize].dot(flat) < CREASE.cos();
            }
        }
        let mut left: Vec<f64> = (0..normals.len())
            .filter(|&i| weight[i] > 0.0 && !sharp[i])
            .map(|i| (stands[i] - around[i] / weight[i]).abs())
            .collect();
        NORMAL * median(&mut left) / RINGS
    }

    /// An arc of curvature κ rises over a chord of length L by κL²/8, and κL is the angle between
    /// the normals at its ends. A normal is the sum of the area vectors around a corner, in which
    /// the corner's own noise cancels: angles between triangles would tell of noise, and of
    /// slivers, rather than of the shape. Creases are not round.
    fn sagittas_mm(&self) -> (f64, f64) {
        let welded = self.sides.welded();
        let at = |i: u32| welded.places[i as usize].as_dvec3();
        let areas: Vec<(DVec3, f64)> = welded
            .triangles
            .par_iter()
            .map(|t| {
                let [a, b, c] = t.map(at);
                let area = (b - a).cross(c - a);
                (area, area.length())
            })
            .collect();
        let around = FacesAround::of(welded.places.len(), &welded.triangles);
        let smooth = CREASE.cos();
        // At most corners no triangle is left out, whichever side is meant: their sum is taken once.
        let calm: Vec<DVec3> = (0u32..)
            .take(welded.places.len())
            .collect::<Vec<u32>>()
            .into_par_iter()
            .map(|corner| {
                let own = || {
                    around
                        .corner(corner)
                        .iter()
                        .map(|face| areas[*face as usize])
                };
                let normal = own()
                    .map(|(area, _)| area)
                    .sum::<DVec3>()
                    .normalize_or_zero();
                let alike = own().all(|(area, size)| area.dot(normal) > NARROW.cos() * size);
                if alike { normal } else { DVec3::ZERO }
            })
            .collect();
        let normal_at = |corner: u32, side: DVec3| -> DVec3 {
            // Two angles of which the sum stays below that of a crease.
            let known = calm[corner as usize];
            if known.dot(side) > NARROW.cos() {
                return known;
            }
            around
                .corner(corner)
                .iter()
                .map(|face| areas[*face as usize])
                .filter(|(area, size)| area.dot(side) > smooth * size)
                .map(|(area, _)| area)
                .sum::<DVec3>()
                .normalize_or(side)
        };
        let mut bows: Vec<f64> = (0u32..)
            .take(welded.triangles.len())
            .collect::<Vec<u32>>()
            .par_iter()
            .flat_map_iter(|&face| {
                let corners = welded.triangles[face as usize];
                let across = self.sides.across(face);
                let (around, areas) = (&normal_at, &areas);
                (0..3).filter_map(move |k| {
                    let other = across[k].filter(|other| *other > face)?;
                    let (own, size) = areas[face as usize];
                    let (next, reach) = areas[other as usize];
                    let side = (own + next).normalize_or_zero();
                    if size == 0.0 || reach == 0.0 || own.dot(next) < smooth * size * reach {
                        return None;
                    }
                    let (a, b) = (corners[(k + 1) % 3], corners[(k + 2) % 3]);
                    let turned = around(b, side) - around(a, side);
                    Some(turned.dot(at(b) - at(a)).abs() / 8.0)
                })
            })
            .collect();
        let Some(last) = bows.len().checked_sub(1) else {
            return (0.0, 0.0);
        };
        // Unlike noise, this has the same sign all over a bend: what counts is the roundest part.
        let high = last - last / 100;
        let high = *bows.select_nth_unstable_by(high, f64::total_cmp).1;
        (median(&mut bows), high)
    }
}

/// Triangles that meet at a sharper angle form an edge, not a curve: 40 degrees.
const CREASE: f64 = 0.7;
/// Less than half of that.
const NARROW: f64 = 0.34;
/// Median deviation to standard deviation of a normal law.
pub(super) const NORMAL: f64 = 1.482_602_218_505_602;
/// Independent noise of 1 mm in every corner of a net of equilateral triangles makes this much of
/// the twice-differenced height: the root of the sum of the squared weights 7/6, six of −5/18, six
/// of 1/18 and six of 1/36.
const RINGS: f64 = 1.359_126;

/// The median; 0 of nothing.
pub(super) fn median(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}
