//! Whether the key light reaches the corners of fine triangles: most pixels then need no ray.

use super::light::{KEY_SPREAD, Lights};
use super::scene::{Scene, Spot};
use glam::Vec3;
use std::sync::atomic::{AtomicU8, Ordering};

const UNKNOWN: u8 = 0;
const LIT: u8 = 1;
const DARK: u8 = 2;
const PARTLY: u8 = 3;

/// What each vertex sees of the key's box. A corner is asked when a pixel first needs it, and
/// answers the same to whoever comes first.
pub(super) struct Corners(Vec<AtomicU8>);

impl Corners {
    /// Of so many vertices.
    pub(super) fn unknown(vertices: usize) -> Self {
        Self((0..vertices).map(|_| AtomicU8::new(UNKNOWN)).collect())
    }

    /// Whether the whole box of the key is seen from all corners of a fine triangle, or nothing of it
    /// from any; else nothing is known.
    pub(super) fn lit<L: Lights>(&self, scene: &Scene, lights: &L, spot: &Spot) -> Option<bool> {
        spot.open.as_ref()?;
        let [a, b, c] = scene.vertices(spot.face).map(|vertex| {
            let known = &self.0[vertex];
            match known.load(Ordering::Relaxed) {
                UNKNOWN => {
                    let found = seen(scene, lights, vertex);
                    known.store(found, Ordering::Relaxed);
                    found
                }
                found => found,
            }
        });
        match (a == b && b == c).then_some(a) {
            Some(LIT) => Some(true),
            Some(DARK) => Some(false),
            _ => None,
        }
    }
}

/// How much of the box one vertex sees: its middle, and four places around it.
fn seen<L: Lights>(scene: &Scene, lights: &L, vertex: usize) -> u8 {
    const LOOKS: [Vec3; 5] = [
        Vec3::ZERO,
        Vec3::new(0.57, 0.57, 0.57),
        Vec3::new(0.57, -0.57, -0.57),
        Vec3::new(-0.57, 0.57, -0.57),
        Vec3::new(-0.57, -0.57, 0.57),
    ];
    let (at, normal) = scene.corner(vertex);
    let from = at + normal.as_dvec3() * scene.lift();
    let far = scene.bounds().size().length() * 2.0;
    let open = LOOKS.iter().filter(|look| {
        let way = (lights.key() + **look * KEY_SPREAD).normalize();
        normal.dot(way) > 0.0 && !scene.blocked(from, way.as_dvec3(), far)
    });
    match open.count() {
        0 => DARK,
        5 => LIT,
        _ => PARTLY,
    }
}
