//! How much of the key light reaches the corners of fine triangles: most pixels then need no ray.

use super::light::{KEY_SPREAD, Lights};
use super::scene::{Scene, Spot};
use glam::Vec3;
use std::sync::atomic::{AtomicU8, Ordering};

/// A corner that has not been asked.
const UNKNOWN: u8 = u8::MAX;
/// Places of the key's box that a corner looks at: its middle, and the corners of a cube in it, each
/// half-way to the box's border.
const LOOKS: u8 = 9;
/// The look at the middle; those before it are the corners, one bit for each axis.
const MIDDLE: u8 = 8;
/// Corners that differ by more have the border of a shadow between them, which rays must find.
const APART: u8 = 3;

/// What each vertex sees of the key's box, in looks. A corner is asked when a pixel first needs it,
/// and answers the same to whoever comes first.
pub(super) struct Corners(Vec<AtomicU8>);

impl Corners {
    /// Of so many vertices.
    pub(super) fn unknown(vertices: usize) -> Self {
        Self((0..vertices).map(|_| AtomicU8::new(UNKNOWN)).collect())
    }

    /// Share of the key's light that reaches a place on a fine triangle whose corners see much the
    /// same of it.
    pub(super) fn share<L: Lights>(&self, scene: &Scene, lights: &L, spot: &Spot) -> Option<f32> {
        spot.open.as_ref().filter(|_| !spot.coarse)?;
        let seen = scene.vertices(spot.face).map(|vertex| {
            let known = &self.0[vertex];
            match known.load(Ordering::Relaxed) {
                UNKNOWN => {
                    let found = looks(scene, lights, vertex);
                    known.store(found, Ordering::Relaxed);
                    found
                }
                found => found,
            }
        });
        let (least, most) = seen
            .iter()
            .fold((LOOKS, 0), |(least, most), s| (least.min(*s), most.max(*s)));
        let share = (0..3).map(|k| f32::from(seen[k]) * spot.weights[k]);
        (most - least <= APART).then(|| share.sum::<f32>() / f32::from(LOOKS))
    }
}

/// How many places of the box one vertex sees: where its middle and three corners that are none of
/// them neighbours are seen alike, the others count as they do. Places below the vertex's own
/// horizon are no shadow: there the light fades of itself.
fn looks<L: Lights>(scene: &Scene, lights: &L, vertex: usize) -> u8 {
    let (at, normal) = scene.corner(vertex);
    let from = at + normal.as_dvec3() * scene.lift();
    let hidden = |look: u8| {
        let side = |bit: u8| if look >> bit & 1 == 1 { 0.5 } else { -0.5 };
        let off = match look {
            MIDDLE => Vec3::ZERO,
            _ => Vec3::new(side(0), side(1), side(2)),
        };
        let way = (lights.key() + off * KEY_SPREAD).normalize();
        normal.dot(way) > 0.0 && scene.blocked(from, way.as_dvec3(), scene.beyond())
    };
    let first = [MIDDLE, 0b001, 0b010, 0b100].map(hidden);
    if first.iter().all(|own| *own == first[0]) {
        return if first[0] { 0 } else { LOOKS };
    }
    let others = [0b000, 0b011, 0b101, 0b110, 0b111].map(hidden);
    let all = first.into_iter().chain(others);
    LOOKS - all.map(u8::from).sum::<u8>()
}
