//! Free forms given by a distance function, and the skin drawn over them.
//!
//! The skin is made by surface nets: one point in every cell the surface
//! crosses (the mean of its edge crossings), then pulled onto the surface.

use glam::{DVec3, dvec3};
use rayon::prelude::*;

use crate::solid::Solid;

/// Ellipsoid about `c` with half axes `r` (distance is approximate, as usual).
pub fn ellipsoid(p: DVec3, c: DVec3, r: DVec3) -> f64 {
    let q = p - c;
    let k0 = (q / r).length();
    let k1 = (q / (r * r)).length();
    if k1 < 1e-9 {
        -r.min_element()
    } else {
        k0 * (k0 - 1.0) / k1
    }
}

/// A limb along a smooth line, with a radius (fourth number) at each point.
pub struct Limb {
    line: Vec<[f64; 4]>,
    middle: DVec3,
    reach: f64,
}

impl Limb {
    pub fn new(through: &[[f64; 4]]) -> Self {
        let last = through.len() - 1;
        let mut line = Vec::new();
        for i in 0..last {
            let p0 = through[i.saturating_sub(1)];
            let (p1, p2, p3) = (through[i], through[i + 1], through[(i + 2).min(last)]);
            for k in 0..4 {
                let t = f64::from(k) / 4.0;
                line.push(std::array::from_fn(|j| {
                    0.5 * (2.0 * p1[j]
                        + (p2[j] - p0[j]) * t
                        + (2.0 * p0[j] - 5.0 * p1[j] + 4.0 * p2[j] - p3[j]) * t * t
                        + (3.0 * p1[j] - p0[j] - 3.0 * p2[j] + p3[j]) * t * t * t)
                }));
            }
        }
        line.push(through[last]);
        let at = |q: &[f64; 4]| dvec3(q[0], q[1], q[2]);
        let middle = line.iter().map(at).sum::<DVec3>() / line.len() as f64;
        let reach = line
            .iter()
            .map(|q| at(q).distance(middle) + q[3])
            .fold(0.0, f64::max);
        Self {
            line,
            middle,
            reach,
        }
    }

    /// Distance from `p`; far away only a safe lower bound.
    pub fn distance(&self, p: DVec3) -> f64 {
        let far = p.distance(self.middle) - self.reach;
        if far > 4.0 {
            return far;
        }
        let mut best = f64::MAX;
        for pair in self.line.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let (pa, pb) = (dvec3(a[0], a[1], a[2]), dvec3(b[0], b[1], b[2]));
            let along = pb - pa;
            let t = ((p - pa).dot(along) / along.length_squared()).clamp(0.0, 1.0);
            best = best.min(p.distance(pa + along * t) - (a[3] + (b[3] - a[3]) * t));
        }
        best
    }
}

/// Skins `distance` (negative inside) within a box, cells of `cell` mm.
pub fn skin(low: DVec3, high: DVec3, cell: f64, distance: impl Fn(DVec3) -> f64 + Sync) -> Solid {
    let size = ((high - low) / cell).ceil();
    let (nx, ny, nz) = (
        size.x as usize + 1,
        size.y as usize + 1,
        size.z as usize + 1,
    );
    let at = |x: usize, y: usize, z: usize| (z * ny + y) * nx + x;
    let corner = |x: usize, y: usize, z: usize| low + dvec3(x as f64, y as f64, z as f64) * cell;
    let values: Vec<f64> = (0..nz)
        .into_par_iter()
        .flat_map_iter(|z| {
            let distance = &distance;
            (0..ny).flat_map(move |y| (0..nx).map(move |x| distance(corner(x, y, z))))
        })
        .collect();
    let mut solid = Solid::default();
    let mut point_of = vec![u32::MAX; nx * ny * nz];
    for z in 0..nz - 1 {
        for y in 0..ny - 1 {
            for x in 0..nx - 1 {
                if let Some(p) = crossing(&values, at, [x, y, z]) {
                    point_of[at(x, y, z)] = solid.points.len() as u32;
                    solid.points.push(low + p * cell);
                }
            }
        }
    }
    for z in 1..nz - 1 {
        for y in 1..ny - 1 {
            for x in 1..nx - 1 {
                let here = values[at(x, y, z)] < 0.0;
                let mut quad = |other: usize, cells: [usize; 4]| {
                    let there = values[other] < 0.0;
                    if here != there {
                        let [a, b, c, d] = cells.map(|i| point_of[i]);
                        let pair = if here {
                            [[a, b, c], [a, c, d]]
                        } else {
                            [[a, c, b], [a, d, c]]
                        };
                        solid.triangles.extend(pair);
                    }
                };
                quad(
                    at(x + 1, y, z),
                    [
                        at(x, y - 1, z - 1),
                        at(x, y, z - 1),
                        at(x, y, z),
                        at(x, y - 1, z),
                    ],
                );
                quad(
                    at(x, y + 1, z),
                    [
                        at(x - 1, y, z - 1),
                        at(x - 1, y, z),
                        at(x, y, z),
                        at(x, y, z - 1),
                    ],
                );
                quad(
                    at(x, y, z + 1),
                    [
                        at(x - 1, y - 1, z),
                        at(x, y - 1, z),
                        at(x, y, z),
                        at(x - 1, y, z),
                    ],
                );
            }
        }
    }
    pull(&mut solid, cell, &distance);
    solid
}

/// Mean edge crossing of one cell, in cells; nothing if the surface misses it.
fn crossing(
    values: &[f64],
    at: impl Fn(usize, usize, usize) -> usize,
    cell: [usize; 3],
) -> Option<DVec3> {
    let v = |k: usize| {
        values[at(
            cell[0] + (k & 1),
            cell[1] + (k >> 1 & 1),
            cell[2] + (k >> 2),
        )]
    };
    let place = |k: usize| dvec3((k & 1) as f64, (k >> 1 & 1) as f64, (k >> 2) as f64);
    let (mut sum, mut count) = (DVec3::ZERO, 0.0);
    for a in 0..8 {
        for axis in [1, 2, 4] {
            let b = a | axis;
            if a & axis == 0 && (v(a) < 0.0) != (v(b) < 0.0) {
                sum += place(a).lerp(place(b), v(a) / (v(a) - v(b)));
                count += 1.0;
            }
        }
    }
    (count > 0.0).then(|| dvec3(cell[0] as f64, cell[1] as f64, cell[2] as f64) + sum / count)
}

/// Moves the points onto the surface, at most half a cell.
fn pull(solid: &mut Solid, cell: f64, distance: &(impl Fn(DVec3) -> f64 + Sync)) {
    let e = cell * 0.25;
    solid.points = solid
        .points
        .par_iter()
        .map(|&p| {
            let slope = |d: DVec3| distance(p + d) - distance(p - d);
            let g = dvec3(
                slope(DVec3::X * e),
                slope(DVec3::Y * e),
                slope(DVec3::Z * e),
            ) / (2.0 * e);
            let move_by = -g * (distance(p) / g.length_squared().max(0.2));
            p + move_by.clamp_length_max(cell * 0.5)
        })
        .collect();
}
