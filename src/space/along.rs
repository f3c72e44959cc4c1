//! Everything that a line passes through, in order, with the side that it comes from.
//!
//! All in double precision and without gaps: a line that passes an edge or a corner crosses exactly
//! one of the triangles that meet there (Woop, Benthin and Wald, "Watertight ray/triangle
//! intersection", Journal of Computer Graphics Techniques 2, 2013; a line that meets an edge
//! exactly is taken to pass it on the side to which a slight shift would bring it: Edelsbrunner
//! and Mücke, "Simulation of simplicity", ACM Transactions on Graphics 9, 1990). So what is counted
//! along a line through a closed surface comes out even.

use super::tree::Tree;
use super::wide::{LANES, Within};
use glam::{DVec2, DVec3};
use obvhs::aabb::Aabb;

/// Where a line passes through a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossed {
    /// Distance along the unit direction, millimetres.
    pub distance_mm: f64,
    /// The triangle.
    pub face: u32,
    /// Whether the triangle faces the origin of the line, so that the line goes in there.
    pub enters: bool,
}

/// Boxes are taken wider by this share of the largest coordinate, against rounding.
const WIDER: f64 = 1e-9;

impl Tree {
    /// All crossings within `far_mm` of the origin, the nearest first. `direction` need not be a
    /// unit vector. None for a direction of no length.
    pub fn crossings_along(&self, origin: DVec3, direction: DVec3, far_mm: f64) -> Vec<Crossed> {
        let mut found = Vec::new();
        if let Some(line) = Line::new(origin, direction, self) {
            self.walk(&line, far_mm, |crossed, far| {
                found.push(crossed);
                far
            });
        }
        found.sort_by(in_order);
        found
    }

    /// The nearest crossing within `far_mm` that `wanted` holds for.
    pub fn first_along(
        &self,
        origin: DVec3,
        direction: DVec3,
        far_mm: f64,
        wanted: impl Fn(&Crossed) -> bool,
    ) -> Option<Crossed> {
        let line = Line::new(origin, direction, self)?;
        let mut best: Option<Crossed> = None;
        self.walk(&line, far_mm, |crossed, far| {
            let nearer = best.is_none_or(|b| in_order(&crossed, &b).is_lt());
            if nearer && wanted(&crossed) {
                best = Some(crossed);
                return crossed.distance_mm;
            }
            far
        });
        best
    }

    /// Hands each crossing within `far` to `take`, which says how far to look from then on.
    fn walk(&self, line: &Line, mut far: f64, mut take: impl FnMut(Crossed, f64) -> f64) {
        let mut open = vec![(Within::ROOT, 0.0)];
        while let Some((within, from)) = open.pop() {
            if from > far {
                continue;
            }
            if within.count == 0 {
                let eight = &self.eights[within.first as usize];
                let first = open.len();
                for lane in 0..LANES {
                    let entered = eight.bounds(lane).and_then(|b| line.enters(b, far));
                    open.extend(entered.map(|from| (eight.within(lane, 0.0), from)));
                }
                // The nearest is looked into first.
                open[first..].sort_by(|a, b| b.1.total_cmp(&a.1));
                continue;
            }
            for slot in within.first..within.first + within.count {
                if let Some((distance_mm, enters)) = line.crosses(self.exact(slot as usize))
                    && distance_mm <= far
                {
                    let face = self.faces[slot as usize];
                    let crossed = Crossed {
                        distance_mm,
                        face,
                        enters,
                    };
                    far = take(crossed, far);
                }
            }
        }
    }
}

fn in_order(a: &Crossed, b: &Crossed) -> std::cmp::Ordering {
    (a.distance_mm.total_cmp(&b.distance_mm)).then(a.face.cmp(&b.face))
}

/// A line, with the shear that brings its direction on to one axis.
struct Line {
    origin: DVec3,
    inverse: DVec3,
    axes: [usize; 3],
    shear: DVec3,
    slack: f64,
}

impl Line {
    fn new(origin: DVec3, direction: DVec3, tree: &Tree) -> Option<Self> {
        let direction = direction.try_normalize()?;
        let size = direction.abs();
        let z = if size.x >= size.y && size.x >= size.z {
            0
        } else if size.y >= size.z {
            1
        } else {
            2
        };
        let (mut x, mut y) = ((z + 1) % 3, (z + 2) % 3);
        if direction[z] < 0.0 {
            // Keeps the sense of turning.
            (x, y) = (y, x);
        }
        Some(Self {
            origin,
            inverse: direction.recip(),
            axes: [x, y, z],
            shear: DVec3::new(direction[x], direction[y], 1.0) / direction[z],
            slack: WIDER * (f64::from(tree.reach) + origin.abs().max_element()),
        })
    }

    /// Where the line enters a box within `far`.
    fn enters(&self, bounds: Aabb, far: f64) -> Option<f64> {
        let low = (bounds.min.as_dvec3() - self.slack - self.origin) * self.inverse;
        let high = (bounds.max.as_dvec3() + self.slack - self.origin) * self.inverse;
        // Zero times infinity is no number, and `min` and `max` of numbers pass it over.
        let (mut from, mut to) = (0.0f64, far);
        for k in 0..3 {
            from = from.max(low[k].min(high[k]));
            to = to.min(low[k].max(high[k]));
        }
        (from <= to + self.slack).then_some(from)
    }

    /// Where the line crosses a triangle ahead of its origin, and whether it goes in.
    fn crosses(&self, corners: [DVec3; 3]) -> Option<(f64, bool)> {
        let [x, y, z] = self.axes;
        let from = corners.map(|c| c - self.origin);
        let [a, b, c] =
            from.map(|p| DVec2::new(p[x] - self.shear.x * p[z], p[y] - self.shear.y * p[z]));
        let (u, v, w) = (side(c, b)?, side(a, c)?, side(b, a)?);
        if u.0 != v.0 || v.0 != w.0 {
            return None;
        }
        let whole = u.1 + v.1 + w.1;
        if whole == 0.0 {
            return None;
        }
        let deep = u.1 * from[0][z] + v.1 * from[1][z] + w.1 * from[2][z];
        let distance = deep / whole * self.shear.z;
        (distance > 0.0).then_some((distance, u.0))
    }
}

/// On which side of the way from `p` to `q` the line passes, and twice the area between; the other
/// way round gives exactly the opposite. `None` when there is no way.
fn side(p: DVec2, q: DVec2) -> Option<(bool, f64)> {
    let area = p.x * q.y - p.y * q.x;
    // On the way itself: shift the line a little along x, and if that is along the way, along y.
    let sign = if area != 0.0 {
        area
    } else if p.y != q.y {
        p.y - q.y
    } else {
        q.x - p.x
    };
    (sign != 0.0).then_some((sign > 0.0, area))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::block;
    use glam::Vec3;

    /// Lines through corners, edges, diagonals and middles: each goes in once and out once, or
    /// passes by; nothing is met twice and nothing is missed.
    #[test]
    fn what_goes_in_comes_out_even_on_edges_and_corners() {
        let tree = Tree::build(&block(Vec3::NEG_ONE, Vec3::ONE));
        let mut through = 0;
        let steps = [-1.0, -0.5, 0.0, 0.25, 1.0];
        for axis in 0..3 {
            for sense in [-1.0, 1.0] {
                for a in steps {
                    for b in steps {
                        let mut direction = DVec3::ZERO;
                        direction[axis] = sense;
                        let mut origin = -5.0 * direction;
                        origin[(axis + 1) % 3] = a;
                        origin[(axis + 2) % 3] = b;
                        let met = tree.crossings_along(origin, direction, 50.0);
                        let ways: Vec<bool> = met.iter().map(|c| c.enters).collect();
                        if f64::max(f64::abs(a), f64::abs(b)) < 1.0 {
                            assert_eq!(ways, [true, false], "{origin} {direction}");
                        }
                        assert!(ways.is_empty() || ways == [true, false], "{ways:?}");
                        if let [first, last] = met.as_slice() {
                            through += 1;
                            assert!((first.distance_mm - 4.0).abs() < 1e-12);
                            assert!((last.distance_mm - 6.0).abs() < 1e-12);
                        }
                    }
                }
            }
        }
        assert!(through >= 6 * 9);
        // Through two opposite corners: 2√3 within.
        let met = tree.crossings_along(DVec3::splat(-3.0), DVec3::ONE, 50.0);
        assert_eq!(met.len(), 2, "{met:?}");
        assert!((met[1].distance_mm - met[0].distance_mm - 12f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn the_first_of_a_kind_is_found() {
        let tree = Tree::build(&block(Vec3::NEG_ONE, Vec3::ONE));
        let from = DVec3::new(0.1, 0.2, -9.0);
        let out = tree
            .first_along(from, DVec3::Z * 7.0, 50.0, |c| !c.enters)
            .unwrap();
        assert!((out.distance_mm - 10.0).abs() < 1e-12);
        let entry = tree.first_along(from, DVec3::Z, 50.0, |_| true).unwrap();
        assert!((entry.distance_mm - 8.0).abs() < 1e-12 && entry.enters);
        assert_eq!(tree.first_along(from, DVec3::Z, 7.9, |_| true), None);
        assert_eq!(tree.first_along(from, DVec3::ZERO, 50.0, |_| true), None);
        // From inside, only the way out lies ahead.
        assert_eq!(
            tree.crossings_along(DVec3::splat(0.3), DVec3::X, 50.0)
                .len(),
            1
        );
    }
}
