//! The tree: built once, asked many times, from many threads.

use super::machine::newest;
use super::packs::{Pack, place};
use super::rays::{Any, First};
use super::triangle::{closest_on_triangle, ray_triangle};
use super::wide::{Eight, LANES, Stack, Within, eights};
use crate::mesh::Mesh;
use glam::{DVec3, Vec3A};
use obvhs::BvhBuildParams;
use obvhs::aabb::Aabb;
use obvhs::bvh2::builder::build_bvh2;
use rayon::prelude::*;
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
    pub(super) eights: Vec<Eight>,
    /// Which triangle of the mesh each of the tree's is, four to a leaf.
    pub(super) faces: Vec<u32>,
    /// One for each leaf.
    pub(super) packs: Vec<Pack>,
    /// Largest coordinate, which rounding errors grow with, millimetres.
    pub(super) reach: f32,
}

impl std::fmt::Debug for Tree {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Tree of {} leaves", self.packs.len())
    }
}

impl Tree {
    /// Builds the tree. The same mesh always gives the same tree.
    pub fn build(mesh: &Mesh) -> Self {
        let corners = |face: u32| {
            let t = mesh.triangles()[face as usize];
            t.map(|i| Vec3A::from(mesh.positions()[i as usize]))
        };
        let faces = u32::try_from(mesh.triangles().len()).unwrap_or(u32::MAX);
        let boxes: Vec<Aabb> = (0..faces)
            .into_par_iter()
            .map(|face| Aabb::from_points(&corners(face)))
            .collect();
        let settings = BvhBuildParams {
            max_prims_per_leaf: 4,
            // Four cost what one does, so whatever goes into one leaf is put there.
            collapse_traversal_cost: 8.0,
            ..BvhBuildParams::fast_build()
        };
        let bvh = build_bvh2(&boxes, settings, &mut Duration::default());
        let (eights, leaves) = eights(&bvh);
        let packs = leaves
            .par_iter()
            .map(|leaf| {
                let mut all = [[Vec3A::ZERO; 3]; 4];
                let own = &bvh.primitive_indices[leaf.clone()];
                for (to, face) in all.iter_mut().zip(own) {
                    *to = corners(*face);
                }
                Pack::of(&all[..own.len().min(4)])
            })
            .collect();
        let faces = leaves.iter().flat_map(|leaf| {
            let own = &bvh.primitive_indices[leaf.clone()];
            (0..4).map(|lane| own[lane.min(own.len() - 1)])
        });
        let reach = boxes
            .iter()
            .map(|b| b.min.abs().max(b.max.abs()).max_element())
            .fold(0.0, f32::max);
        Self {
            faces: faces.collect(),
            eights,
            packs,
            reach,
        }
    }

    /// No part of the surface lies further than this from the origin along any axis, millimetres.
    pub fn reach_mm(&self) -> f64 {
        f64::from(self.reach)
    }

    /// Where a ray first meets the surface, from either side. `direction` need not be a unit
    /// vector; distances are along its unit vector. `None` for a miss or a direction of no length.
    pub fn ray(&self, origin: DVec3, direction: DVec3) -> Option<Hit> {
        self.ray_past(origin, direction, f64::INFINITY, |_| false)
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
        let (slot, met) = newest(First {
            tree: self,
            origin: origin.as_vec3().into(),
            direction: direction.as_vec3().into(),
            far: single(far_mm),
            pass,
        })?;
        // Single precision found the triangle; double precision says where. At an edge the two may
        // disagree: then the single-precision answer stands.
        let (distance_mm, barycentric) = ray_triangle(origin, direction, self.exact(slot))
            .unwrap_or_else(|| {
                let distance = f64::from(met);
                let nearest = closest_on_triangle(origin + direction * distance, self.exact(slot));
                (distance, nearest.barycentric)
            });
        Some(Hit {
            distance_mm,
            face: self.faces[slot],
            barycentric,
        })
    }

    /// Calls for every triangle whose box meets the box around these corners.
    pub(crate) fn near_box<const N: usize>(&self, corners: [DVec3; N], mut take: impl FnMut(u32)) {
        let mut around = Aabb::empty();
        for corner in corners {
            around.extend(corner.as_vec3().into());
        }
        let mut open = Stack::new();
        open.push(Within::ROOT);
        while let Some(within) = open.pop() {
            if within.count > 0 {
                for slot in within.first..within.first + within.count {
                    take(self.faces[slot as usize]);
                }
                continue;
            }
            let eight = &self.eights[within.first as usize];
            for lane in (0..LANES).rev() {
                if eight
                    .bounds(lane)
                    .is_some_and(|b| b.intersect_aabb(&around))
                {
                    open.push(eight.within(lane, 0.0));
                }
            }
        }
    }

    /// Whether anything stands in the way of a ray within `far_mm`.
    pub fn blocked(&self, origin: DVec3, direction: DVec3, far_mm: f64) -> bool {
        let Some(direction) = direction.try_normalize() else {
            return false;
        };
        newest(Any {
            tree: self,
            origin: origin.as_vec3().into(),
            direction: direction.as_vec3().into(),
            far: single(far_mm),
        })
    }

    /// Corners of a triangle by where the tree keeps it.
    pub(super) fn exact(&self, slot: usize) -> [DVec3; 3] {
        let (pack, lane) = place(slot);
        self.packs[pack].exact(lane)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "single precision finds the triangle"
)]
fn single(far_mm: f64) -> f32 {
    far_mm as f32
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

    /// However many boxes lie side by side, one to ten triangles here, a ray beside them all ends.
    #[test]
    fn a_ray_that_misses_meets_nothing() {
        for count in 1..=10u32 {
            let corner = |i: u32| Vec3::new((i / 3) as f32, (i % 3) as f32, 0.0);
            let places = (0..count * 3).map(|i| corner(i) + Vec3::X * 0.7 * (i % 3 % 2) as f32);
            let triangles = (0..count).map(|i| [i * 3, i * 3 + 1, i * 3 + 2]);
            let mesh = Mesh::new(places.collect(), triangles.collect()).unwrap();
            let tree = Tree::build(&mesh);
            let (beside, through) = (DVec3::new(0.5, 9.0, 5.0), DVec3::new(0.2, 1.0, 5.0));
            assert_eq!(tree.ray(beside, DVec3::NEG_Z), None, "{count}");
            assert_eq!(tree.ray(through, DVec3::Z), None, "{count}");
            assert!(tree.ray(through, DVec3::NEG_Z).is_some(), "{count}");
        }
    }

    #[test]
    fn the_same_mesh_gives_the_same_tree_on_any_number_of_processors() {
        let mesh = soup(&mut Dice(3), 40_000);
        let first = Tree::build(&mesh);
        for threads in [1, 2, 3, 8] {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
            let again = pool.build().unwrap().install(|| Tree::build(&mesh));
            assert_eq!(first.faces, again.faces);
            assert_eq!(first.eights, again.eights);
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
