//! The tree's boxes, eight side by side: one instruction weighs four of them, and a third as many
//! steps lead from the root to a triangle (Dammertz, Hanika and Keller, "Shallow bounding volume
//! hierarchies for fast SIMD ray tracing of incoherent rays", Computer Graphics Forum 27, 2008).

use glam::{DVec3, Vec3, Vec3A, Vec4};
use obvhs::Boundable;
use obvhs::aabb::Aabb;
use obvhs::bvh2::Bvh2;
use std::ops::Range;

/// How many boxes lie side by side.
pub(super) const LANES: usize = 8;

/// A number for each box.
pub(super) type Lanes = [Vec4; 2];

/// Eight boxes within one.
#[derive(Debug, Clone, Copy, PartialEq)]
#[repr(align(128))]
pub(super) struct Eight {
    /// Lowest x, y and z of each, then the highest. A box that is not there is inside out.
    planes: [Lanes; 6],
    /// The eight within a box, or the slot of the first triangle.
    first: [u32; LANES],
    /// How many triangles; 0 for a box with eight within.
    count: [u32; LANES],
}

/// A box that is to be looked into.
#[derive(Debug, Clone, Copy)]
pub(super) struct Within {
    pub(super) first: u32,
    pub(super) count: u32,
    /// How far it is: what the search that found it goes by.
    pub(super) bound: f32,
}

impl Within {
    /// All of the tree.
    pub(super) const ROOT: Self = Self {
        first: 0,
        count: 0,
        bound: 0.0,
    };

    /// Which pack the triangles of a leaf are in.
    #[inline(always)]
    pub(super) fn pack(&self) -> usize {
        self.first as usize / 4
    }
}

/// Boxes by eights, the root first; and for each leaf in its order, where its triangles stand in the
/// list of the binary tree. A leaf's slots begin at four times its number.
pub(super) fn eights(bvh: &Bvh2) -> (Vec<Eight>, Vec<Range<usize>>) {
    let (high, low) = ([Vec4::INFINITY; 2], [Vec4::NEG_INFINITY; 2]);
    let empty = Eight {
        planes: [high, high, high, low, low, low],
        first: [0; LANES],
        count: [0; LANES],
    };
    let mut all: Vec<Eight> = Vec::with_capacity(bvh.nodes.len() / 6 + 1);
    let mut leaves = Vec::with_capacity(bvh.nodes.len() / 2 + 1);
    // A box, and where it is to be entered.
    let mut open: Vec<(u32, Option<(usize, usize)>)> = vec![(0, None)];
    while let Some((node, parent)) = open.pop() {
        let own = all.len();
        if let Some((eight, lane)) = parent {
            #[expect(clippy::cast_possible_truncation, reason = "fewer than triangles")]
            let number = own as u32;
            all[eight].first[lane] = number;
        }
        let mut eight = empty;
        let within = spread(bvh, node);
        for (lane, child) in within.iter().enumerate() {
            let node = &bvh.nodes[*child as usize];
            for axis in 0..3 {
                eight.planes[axis][lane / 4][lane % 4] = node.aabb.min[axis];
                eight.planes[axis + 3][lane / 4][lane % 4] = node.aabb.max[axis];
            }
            if node.prim_count > 0 {
                #[expect(clippy::cast_possible_truncation, reason = "fewer than triangles")]
                let slot = 4 * leaves.len() as u32;
                (eight.first[lane], eight.count[lane]) = (slot, node.prim_count);
                let first = node.first_index as usize;
                leaves.push(first..first + node.prim_count as usize);
            }
        }
        all.push(eight);
        let inner = within.iter().enumerate().rev();
        open.extend(
            inner
                .filter(|(_, child)| bvh.nodes[**child as usize].prim_count == 0)
                .map(|(lane, child)| (*child, Some((own, lane)))),
        );
    }
    (all, leaves)
}

/// Up to eight boxes that make up one: the largest is opened first.
fn spread(bvh: &Bvh2, node: u32) -> Vec<u32> {
    let mut within = vec![node];
    while within.len() < LANES {
        let area = |i: u32| bvh.nodes[i as usize].aabb.half_area();
        let inner = (0..within.len()).filter(|i| bvh.nodes[within[*i] as usize].prim_count == 0);
        let Some(largest) = inner.max_by(|a, b| area(within[*a]).total_cmp(&area(within[*b])))
        else {
            break;
        };
        let left = bvh.nodes[within[largest] as usize].first_index;
        within.splice(largest..=largest, [left, left + 1]);
    }
    within
}

/// A ray as boxes are asked about it.
pub(super) struct Way {
    origin: [Vec4; 3],
    inverse: [Vec4; 3],
    /// Which plane of each axis is met first, and which last.
    planes: [(usize, usize); 3],
}

/// A direction that runs along a box counts as turned toward it by so little.
const LEAST: f32 = 1e-18;
/// Rounding must not shut out a box that holds a triangle's very edge (Ize, "Robust BVH ray
/// traversal", Journal of Computer Graphics Techniques 2, 2013).
const ROUNDING: f32 = 1.0 + 4.0 * f32::EPSILON;

impl Way {
    #[inline(always)]
    pub(super) fn new(origin: Vec3A, direction: Vec3A) -> Self {
        let slopes = direction.to_array().map(|d| {
            if d.abs() < LEAST {
                LEAST.copysign(d)
            } else {
                d
            }
        });
        Self {
            origin: origin.to_array().map(Vec4::splat),
            inverse: slopes.map(|d| Vec4::splat(1.0 / d)),
            planes: std::array::from_fn(|k| {
                if slopes[k] < 0.0 {
                    (k + 3, k)
                } else {
                    (k, k + 3)
                }
            }),
        }
    }
}

impl Eight {
    /// Squared distances of a point from the boxes.
    #[inline(always)]
    pub(super) fn from(&self, point: &[Vec4; 3]) -> Lanes {
        std::array::from_fn(|half| {
            let off = |k: usize| {
                let low = self.planes[k][half] - point[k];
                let high = point[k] - self.planes[k + 3][half];
                let outside = low.max(high).max(Vec4::ZERO);
                outside * outside
            };
            off(0) + off(1) + off(2)
        })
    }

    /// Which of the boxes are there, one bit for each, and no further off than `limit`.
    #[inline(always)]
    pub(super) fn no_further(&self, bounds: Lanes, limit: f32) -> u32 {
        let of = |half: usize| {
            let there = self.planes[0][half].cmple(self.planes[3][half]);
            (there & bounds[half].cmple(Vec4::splat(limit))).bitmask()
        };
        of(0) | of(1) << 4
    }

    /// How far along a ray each box begins, and which are met within `far`, one bit for each.
    #[inline(always)]
    pub(super) fn enters(&self, way: &Way, far: f32) -> (Lanes, u32) {
        let of = |half: usize| {
            let at = |k: usize, plane: usize| {
                (self.planes[plane][half] - way.origin[k]) * way.inverse[k]
            };
            let near = |k: usize| at(k, way.planes[k].0);
            let last = |k: usize| at(k, way.planes[k].1);
            let enter = near(0).max(near(1)).max(near(2)).max(Vec4::ZERO);
            let exit = last(0).min(last(1)).min(last(2)) * ROUNDING;
            // A box that is not there ends before it begins.
            (enter, enter.cmple(exit.min(Vec4::splat(far))).bitmask())
        };
        let (low, high) = (of(0), of(1));
        ([low.0, high.0], low.1 | high.1 << 4)
    }

    /// The box in one lane; `None` when there is none.
    pub(super) fn bounds(&self, lane: usize) -> Option<Aabb> {
        let side = |from: usize| {
            let along = |k: usize| self.planes[from + k][lane / 4][lane % 4];
            Vec3::from_array(std::array::from_fn(along))
        };
        let (min, max) = (side(0), side(3));
        (min.x <= max.x).then(|| Aabb::new(min.into(), max.into()))
    }

    /// What is in one lane.
    #[inline(always)]
    pub(super) fn within(&self, lane: usize, bound: f32) -> Within {
        Within {
            first: self.first[lane],
            count: self.count[lane],
            bound,
        }
    }

    /// Puts by the boxes whose bits are set, in any order.
    #[inline(always)]
    pub(super) fn unsorted(&self, mut left: u32, open: &mut Stack) {
        while left != 0 {
            let lane = left.trailing_zeros() as usize;
            left &= left - 1;
            open.push(self.within(lane, 0.0));
        }
    }

    /// Hands on the boxes whose bits are set: the nearest is given back, the others are put by.
    #[inline(always)]
    pub(super) fn sorted(
        &self,
        (bounds, mut left): (Lanes, u32),
        open: &mut Stack,
    ) -> Option<Within> {
        if left == 0 {
            return None;
        }
        let bounds = bounds.map(|half| half.to_array());
        let mut take = || {
            let lane = left.trailing_zeros() as usize;
            left &= left - 1;
            (left, self.within(lane, bounds[lane / 4][lane % 4]))
        };
        let (mut more, mut nearest) = take();
        while more != 0 {
            let (left, mut other) = take();
            more = left;
            if other.bound < nearest.bound {
                std::mem::swap(&mut other, &mut nearest);
            }
            open.push(other);
        }
        Some(nearest)
    }
}

/// Boxes still to be looked into. The first thirty-two need no memory of their own.
pub(super) struct Stack {
    near: [Within; 32],
    count: usize,
    far: Vec<Within>,
}

impl Stack {
    #[inline(always)]
    pub(super) fn new() -> Self {
        Self {
            near: [Within::ROOT; 32],
            count: 0,
            far: Vec::new(),
        }
    }

    #[inline(always)]
    pub(super) fn push(&mut self, item: Within) {
        match self.near.get_mut(self.count) {
            Some(slot) => {
                *slot = item;
                self.count += 1;
            }
            None => self.far.push(item),
        }
    }

    #[inline(always)]
    pub(super) fn pop(&mut self) -> Option<Within> {
        self.far.pop().or_else(|| {
            self.count = self.count.checked_sub(1)?;
            Some(self.near[self.count])
        })
    }
}

/// The box around the whole tree.
pub(super) fn around(eights: &[Eight]) -> (DVec3, DVec3) {
    let mut whole = Aabb::empty();
    for lane in 0..LANES {
        if let Some(bounds) = eights.first().and_then(|e| e.bounds(lane)) {
            whole = whole.union(&bounds);
        }
    }
    let whole = whole.aabb();
    (whole.min.as_dvec3(), whole.max.as_dvec3())
}
