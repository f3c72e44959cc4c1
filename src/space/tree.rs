//! The tree: built once, asked many times, from many threads.

use super::triangle::{closest_on_triangle, ray_triangle};
use crate::mesh::Mesh;
use glam::{DVec3, Vec3A};
use obvhs::aabb::Aabb;
use obvhs::bvh2::Bvh2;
use obvhs::bvh2::builder::build_bvh2;
use obvhs::ray::{Ray, RayHit};
use obvhs::triangle::Triangle;
use obvhs::{Boundable, BvhBuildParams};
use std::time::Duration;

/// Where a ray first meets a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// Distance along the unit direction, millimetres.
    pub distance_mm: f64,
    /// The triangle.
    pub face: u32,
    /// Weights of the triangle's corners.
    pub barycentric: [f64; 3],
}

/// A bounding-volume tree over the triangles of one mesh.
pub struct Tree {
    pub(super) bvh: Bvh2,
    /// Corners in the order of the tree's leaves.
    pub(super) corners: Vec<Triangle>,
    /// Largest coordinate, which rounding errors grow with, millimetres.
    pub(super) reach: f32,
}

impl std::fmt::Debug for Tree {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Tree of {} triangles", self.corners.len())
    }
}

impl Tree {
    /// Builds the tree. The same mesh always gives the same tree.
    pub fn build(mesh: &Mesh) -> Self {
        let faces = mesh.triangles().len();
        let corner = |i: u32| Vec3A::from(mesh.positions()[i as usize]);
        let triangles: Vec<Triangle> = mesh
            .triangles()
            .iter()
            .map(|t| Triangle {
                v0: corner(t[0]),
                v1: corner(t[1]),
                v2: corner(t[2]),
            })
            .collect();
        let boxes: Vec<Aabb> = triangles.iter().map(Boundable::aabb).collect();
        let bvh = build_bvh2(
            &boxes,
            BvhBuildParams::very_fast_build(),
            &mut Duration::default(),
        );
        debug_assert_eq!(bvh.primitive_indices.len(), faces);
        let corners = bvh
            .primitive_indices
            .iter()
            .map(|&i| triangles[i as usize])
            .collect();
        let reach = boxes
            .iter()
            .map(|b| b.min.abs().max(b.max.abs()).max_element())
            .fold(0.0, f32::max);
        Self {
            bvh,
            corners,
            reach,
        }
    }

    /// Where a ray first meets the surface, from either side. `direction` need not be a unit
    /// vector; distances are along its unit vector. `None` for a miss or a direction of no length.
    pub fn ray(&self, origin: DVec3, direction: DVec3) -> Option<Hit> {
        let direction = direction.try_normalize()?;
        let ray = Ray::new_inf(origin.as_vec3().into(), direction.as_vec3().into());
        let mut hit = RayHit::none();
        self.bvh
            .ray_traverse(ray, &mut hit, |ray, slot| self.corners[slot].intersect(ray));
        let slot = hit.primitive_id as usize;
        if !hit.t.is_finite() || slot >= self.corners.len() {
            return None;
        }
        // Single precision found the triangle; double precision says where. At a grazed edge the
        // two may disagree: then the single-precision answer stands.
        let (distance_mm, barycentric) = ray_triangle(origin, direction, self.exact(slot))
            .unwrap_or_else(|| {
                let distance = f64::from(hit.t);
                (
                    distance,
                    closest_on_triangle(origin + direction * distance, self.exact(slot))
                        .barycentric,
                )
            });
        Some(Hit {
            distance_mm,
            face: self.bvh.primitive_indices[slot],
            barycentric,
        })
    }

    /// Where a ray first meets the surface within `far_mm`, passing through the triangles for which
    /// `pass` holds.
    pub fn ray_past(
        &self,
        origin: DVec3,
        direction: DVec3,
        far_mm: f64,
        pass: impl Fn(u32) -> bool,
    ) -> Option<Hit> {
        let direction = direction.try_normalize()?;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "single precision finds the triangle"
        )]
        let ray = Ray::new(
            origin.as_vec3().into(),
            direction.as_vec3().into(),
            0.0,
            far_mm as f32,
        );
        let mut hit = RayHit::none();
        self.bvh.ray_traverse(ray, &mut hit, |ray, slot| {
            if pass(self.bvh.primitive_indices[slot]) {
                f32::INFINITY
            } else {
                self.corners[slot].intersect(ray)
            }
        });
        let slot = hit.primitive_id as usize;
        if slot >= self.corners.len() {
            return None;
        }
        let (distance_mm, barycentric) = ray_triangle(origin, direction, self.exact(slot))?;
        Some(Hit {
            distance_mm,
            face: self.bvh.primitive_indices[slot],
            barycentric,
        })
    }

    /// Calls for every triangle whose box meets the box around these corners.
    pub(crate) fn near_box<const N: usize>(&self, corners: [DVec3; N], mut take: impl FnMut(u32)) {
        let mut around = Aabb::empty();
        for corner in corners {
            around.extend(corner.as_vec3().into());
        }
        self.bvh.aabb_traverse(around, |bvh, index| {
            let node = &bvh.nodes[index as usize];
            for slot in node.first_index..node.first_index + node.prim_count {
                take(bvh.primitive_indices[slot as usize]);
            }
            true
        });
    }

    /// Whether anything stands in the way of a ray within `far_mm`.
    pub fn blocked(&self, origin: DVec3, direction: DVec3, far_mm: f64) -> bool {
        let Some(direction) = direction.try_normalize() else {
            return false;
        };
        #[expect(
            clippy::cast_possible_truncation,
            reason = "single precision is enough to hide a point"
        )]
        let ray = Ray::new(
            origin.as_vec3().into(),
            direction.as_vec3().into(),
            0.0,
            far_mm as f32,
        );
        !self
            .bvh
            .ray_traverse_miss(ray, |ray, slot| self.corners[slot].intersect(ray))
    }

    /// Corners in double precision: the mesh has them in single, so nothing is lost.
    pub(super) fn exact(&self, slot: usize) -> [DVec3; 3] {
        let t = &self.corners[slot];
        [t.v0, t.v1, t.v2].map(|p| p.as_dvec3())
    }

    pub(super) fn bounds(&self, node: u32) -> Aabb {
        self.bvh.nodes[node as usize].aabb
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::Vec3;

    /// Numbers in −1..1 from a fixed sequence (Knuth's 64-bit linear congruential constants).
    struct Dice(u64);

    impl Dice {
        fn next(&mut self) -> f64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
        }

        fn point(&mut self, reach: f64) -> DVec3 {
            DVec3::new(self.next(), self.next(), self.next()) * reach
        }
    }

    fn soup(dice: &mut Dice, triangles: u32) -> Mesh {
        let positions: Vec<Vec3> = (0..triangles * 3)
            .map(|i| {
                let centre = Dice(u64::from(i / 3) * 977 + 5).point(50.0);
                (centre + dice.point(8.0)).as_vec3()
            })
            .collect();
        Mesh::new(
            positions,
            (0..triangles)
                .map(|i| [3 * i, 3 * i + 1, 3 * i + 2])
                .collect(),
        )
        .unwrap()
    }

    #[test]
    fn the_same_mesh_gives_the_same_tree_on_any_number_of_processors() {
        let mesh = soup(&mut Dice(3), 40_000);
        let first = Tree::build(&mesh);
        for threads in [1, 2, 3, 8] {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
            let again = pool.build().unwrap().install(|| Tree::build(&mesh));
            assert_eq!(first.bvh.primitive_indices, again.bvh.primitive_indices);
            let boxes = |t: &Tree| -> Vec<[f32; 6]> {
                let nodes = t
                    .bvh
                    .nodes
                    .iter()
                    .map(|n| (n.aabb.min.to_array(), n.aabb.max.to_array()));
                nodes
                    .map(|(a, b)| [a[0], a[1], a[2], b[0], b[1], b[2]])
                    .collect()
            };
            assert_eq!(boxes(&first), boxes(&again));
        }
    }

    #[test]
    fn closest_point_is_that_of_trying_every_triangle() {
        let mut dice = Dice(1);
        let mesh = soup(&mut dice, 500);
        let tree = Tree::build(&mesh);
        for _ in 0..500 {
            let p = dice.point(80.0);
            let brute = (0..500u32)
                .map(|f| closest_on_triangle(p, mesh.corners(f)).point.distance(p))
                .fold(f64::INFINITY, f64::min);
            let found = tree.closest(p).unwrap();
            assert!((found.distance_mm - brute).abs() < 1e-12);
            assert!((found.point.distance(p) - brute).abs() < 1e-12);
        }
        assert_eq!(tree.closest(DVec3::NAN), None);
        let mut points: Vec<DVec3> = (0..2000).map(|_| dice.point(80.0)).collect();
        points[7] = DVec3::NAN;
        for (p, found) in points.iter().zip(tree.closest_of_many(&points)) {
            let alone = tree.closest(*p).map(|c| c.distance_mm);
            assert_eq!(found.map(|c| c.distance_mm), alone);
        }
    }

    #[test]
    fn rays_hit_what_trying_every_triangle_hits() {
        let mut dice = Dice(2);
        let mesh = soup(&mut dice, 500);
        let tree = Tree::build(&mesh);
        let mut hits = 0;
        for _ in 0..500 {
            let (origin, direction) = (dice.point(80.0), dice.point(1.0).normalize());
            let brute = (0..500u32)
                .filter_map(|f| ray_triangle(origin, direction, mesh.corners(f)))
                .map(|(t, _)| t)
                .fold(f64::INFINITY, f64::min);
            match tree.ray(origin, direction) {
                Some(hit) => {
                    hits += 1;
                    assert!(
                        (hit.distance_mm - brute).abs() < 1e-3,
                        "{} and {brute}",
                        hit.distance_mm
                    );
                    assert!(tree.blocked(origin, direction, brute + 0.01));
                    assert!(!tree.blocked(origin, direction, brute - 0.01));
                }
                None => assert!(brute.is_infinite()),
            }
        }
        assert!(
            hits > 50,
            "only {hits} rays met anything: the test says little"
        );
    }
}
