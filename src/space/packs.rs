//! Triangles by fours, as the leaves of the tree hold them: one instruction weighs four, and no ray
//! slips through between two that share an edge (Woop, Benthin and Wald, "Watertight ray/triangle
//! intersection", Journal of Computer Graphics Techniques 2, 2013: both are asked about the edge by
//! the same products, so they cannot both say that the ray passes beyond it).

use glam::{DVec3, Vec3A, Vec4};

/// Four triangles. A place without one holds a point, which nothing meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pack {
    /// Corner, then axis.
    corners: [[Vec4; 3]; 3],
}

/// A ray as triangles are asked about it: the shear brings its direction on to one axis.
pub(super) struct Beam {
    origin: [Vec4; 3],
    /// The axis along which the ray is longest comes last.
    axes: [usize; 3],
    shear: [Vec4; 3],
}

impl Beam {
    #[inline(always)]
    pub(super) fn new(origin: Vec3A, direction: Vec3A) -> Self {
        let size = direction.abs();
        let z = if size.x >= size.y && size.x >= size.z {
            0
        } else if size.y >= size.z {
            1
        } else {
            2
        };
        let (x, y) = ((z + 1) % 3, (z + 2) % 3);
        let along = 1.0 / direction[z];
        Self {
            origin: [x, y, z].map(|k| Vec4::splat(origin[k])),
            axes: [x, y, z],
            shear: [direction[x] * along, direction[y] * along, along].map(Vec4::splat),
        }
    }
}

impl Pack {
    /// Of up to four triangles, at least one.
    pub(super) fn of(triangles: &[[Vec3A; 3]]) -> Self {
        let triangle = |lane: usize| {
            let none = triangles.first().map_or([Vec3A::ZERO; 3], |t| [t[0]; 3]);
            triangles.get(lane).copied().unwrap_or(none)
        };
        let four: [[Vec3A; 3]; 4] = std::array::from_fn(triangle);
        let corners = std::array::from_fn(|corner| {
            std::array::from_fn(|axis| Vec4::from_array(four.map(|t| t[corner][axis])))
        });
        Self { corners }
    }

    /// Corners of the triangle in one lane, in double precision: the mesh has them in single, so
    /// nothing is lost.
    pub(super) fn exact(&self, lane: usize) -> [DVec3; 3] {
        let place = |c: &[Vec4; 3]| DVec3::from_array(c.map(|axis| f64::from(axis[lane])));
        [
            place(&self.corners[0]),
            place(&self.corners[1]),
            place(&self.corners[2]),
        ]
    }

    /// How far along a ray, in lengths of its direction, each triangle is met, and which are met
    /// before `far`, one bit for each.
    #[inline(always)]
    pub(super) fn met(&self, beam: &Beam, far: f32) -> (Vec4, u32) {
        let [x, y, z] = beam.axes;
        let seen = |corner: &[Vec4; 3]| {
            let deep = corner[z] - beam.origin[2];
            let across = corner[x] - beam.origin[0] - beam.shear[0] * deep;
            let up = corner[y] - beam.origin[1] - beam.shear[1] * deep;
            (across, up, deep)
        };
        let (a, b, c) = (
            seen(&self.corners[0]),
            seen(&self.corners[1]),
            seen(&self.corners[2]),
        );
        let u = c.0 * b.1 - c.1 * b.0;
        let v = a.0 * c.1 - a.1 * c.0;
        let w = b.0 * a.1 - b.1 * a.0;
        let least = u.min(v).min(w);
        let most = u.max(v).max(w);
        let within = least.cmpge(Vec4::ZERO) | most.cmple(Vec4::ZERO);
        let whole = u + v + w;
        let distance = (u * a.2 + v * b.2 + w * c.2) * beam.shear[2] / whole;
        // A triangle seen edge on has no `whole`; the distance is then no number, which is not less.
        let ahead = distance.cmpge(Vec4::ZERO) & distance.cmplt(Vec4::splat(far));
        (distance, (within & ahead).bitmask())
    }

    /// Squared distances of a point from the boxes around the four.
    #[inline(always)]
    pub(super) fn from(&self, point: &[Vec4; 3]) -> Vec4 {
        let [a, b, c] = &self.corners;
        let off = |k: usize| {
            let low = a[k].min(b[k]).min(c[k]) - point[k];
            let high = point[k] - a[k].max(b[k]).max(c[k]);
            let outside = low.max(high).max(Vec4::ZERO);
            outside * outside
        };
        off(0) + off(1) + off(2)
    }
}

/// Where the tree keeps a triangle: which four, and where among them.
pub(super) fn place(slot: usize) -> (usize, usize) {
    (slot / 4, slot % 4)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Eight triangles around a point and a ray through it, through its edges, and along them.
    #[test]
    fn no_ray_slips_through_an_edge_or_a_corner() {
        let rim = |i: u32| {
            let (sin, cos) = (f64::from(i) * std::f64::consts::FRAC_PI_4).sin_cos();
            Vec3A::new(30.0 * cos as f32, 7.0, 30.0 * sin as f32)
        };
        let middle = Vec3A::new(0.3, 7.5, -0.2);
        let fan: Vec<[Vec3A; 3]> = (0..8).map(|i| [middle, rim(i), rim(i + 1)]).collect();
        let packs = [Pack::of(&fan[..4]), Pack::of(&fan[4..])];
        let mut rays = 0;
        for edge in 0..8u32 {
            for step in 0..200u32 {
                let share = f64::from(step) / 200.0;
                #[expect(clippy::cast_possible_truncation, reason = "a test's own numbers")]
                let target = middle + (rim(edge) - middle) * share as f32;
                for from in [
                    Vec3A::new(0.0, 300.0, 0.0),
                    Vec3A::new(-77.0, 130.0, 41.0),
                    Vec3A::new(5.0, -90.0, 60.0),
                ] {
                    let beam = Beam::new(from, (target - from).normalize());
                    let met = packs.iter().map(|p| p.met(&beam, f32::INFINITY).1);
                    assert!(met.sum::<u32>() > 0, "edge {edge} at {share} from {from}");
                    rays += 1;
                }
            }
        }
        assert_eq!(rays, 4800);
    }
}
