//! What a place sees of the sky, and the light that comes of it.
//!
//! The share of the sky that is open, weighed by the cosine to the normal, is kept in spherical
//! harmonics up to the second order: light from any sky then is a sum of nine products (Sloan, Kautz
//! and Snyder, "Precomputed radiance transfer", ACM SIGGRAPH 2002; that nine suffice for diffuse
//! light, within 1 % for most skies: Ramamoorthi and Hanrahan, "An efficient representation for
//! irradiance environment maps", ACM SIGGRAPH 2001).

use crate::space::{Tree, lattice};
use glam::Vec3;
use rayon::prelude::*;

/// A function on the sphere, in real spherical harmonics of orders 0, 1 and 2.
pub(super) type Harmonics = [f32; 9];

/// Directions in which every vertex looks, all around: half of them into its own surface.
const LOOKS: u32 = 128;
/// Vertices that are asked one after another in the same direction, so that their rays pass through
/// the same boxes.
const RUN: usize = 256;
/// Below this cosine a direction runs along the surface and adds nothing.
const SKIMMING: f32 = 0.02;
/// A clamped cosine keeps this of the orders 0, 1 and 2, over π (Ramamoorthi and Hanrahan 2001).
const OF_COSINE: [f32; 3] = [1.0, 2.0 / 3.0, 0.25];
/// The order of each of the nine.
const ORDER: [usize; 9] = [0, 1, 1, 1, 2, 2, 2, 2, 2];
/// The value of the first harmonic, everywhere: 1/√(4π).
const FLAT: f32 = 0.282_094_8;
/// The least light of an open sky, so that two can be compared.
const DIMMEST: f32 = 1e-3;
/// A lobe fainter than this is too far from the normal to tell what hides it.
const FAINT: f32 = 0.12;

/// The nine harmonics in a direction.
pub(super) fn harmonics(d: Vec3) -> Harmonics {
    [
        FLAT,
        0.488_602_5 * d.y,
        0.488_602_5 * d.z,
        0.488_602_5 * d.x,
        1.092_548_4 * d.x * d.y,
        1.092_548_4 * d.y * d.z,
        0.315_391_6 * (3.0 * d.z * d.z - 1.0),
        1.092_548_4 * d.x * d.z,
        0.546_274_2 * (d.x * d.x - d.y * d.y),
    ]
}

fn directions(count: u32) -> impl Iterator<Item = Vec3> {
    lattice(count, 0.0).map(|d| d.as_vec3())
}

/// What the places see: `sees` with their normals, of all that stands in `tree` within `far_mm`.
/// Rays start `lift_mm` above the surface.
pub(super) fn open(
    tree: &Tree,
    places: &[(Vec3, Vec3)],
    lift_mm: f64,
    far_mm: f64,
) -> Vec<Harmonics> {
    let looks: Vec<(Vec3, Harmonics)> = directions(LOOKS).map(|d| (d, harmonics(d))).collect();
    let mut found = vec![Harmonics::default(); places.len()];
    found
        .par_chunks_mut(RUN)
        .zip(places.par_chunks(RUN))
        .for_each(|(found, places)| {
            let mut whole = vec![0.0f32; places.len()];
            for (direction, basis) in &looks {
                for (((at, normal), open), whole) in
                    places.iter().zip(found.iter_mut()).zip(&mut whole)
                {
                    let cosine = normal.dot(*direction);
                    if cosine < SKIMMING {
                        continue;
                    }
                    *whole += cosine;
                    let from = at.as_dvec3() + normal.as_dvec3() * lift_mm;
                    if !tree.blocked(from, direction.as_dvec3(), far_mm) {
                        for (open, basis) in open.iter_mut().zip(basis) {
                            *open += basis * cosine;
                        }
                    }
                }
            }
            for (open, whole) in found.iter_mut().zip(whole) {
                for part in open {
                    *part /= whole.max(f32::MIN_POSITIVE);
                }
            }
        });
    found
}

/// What a place sees from which nothing is hidden: the clamped cosine about its normal.
fn whole(normal: Vec3) -> Harmonics {
    let own = harmonics(normal);
    std::array::from_fn(|k| own[k] * OF_COSINE[ORDER[k]])
}

/// Share of the light of an even sky that arrives.
pub(super) fn share(open: &Harmonics) -> f32 {
    (open[0] / FLAT).clamp(0.0, 1.0)
}

/// How much of what lies in a direction is open, where the normal is `normal`.
pub(super) fn open_toward(open: &Harmonics, normal: Vec3, direction: Vec3) -> f32 {
    let (own, there) = (whole(normal), harmonics(direction));
    let along = |lobe: &Harmonics| lobe.iter().zip(&there).map(|(l, t)| l * t).sum::<f32>();
    let (seen, whole) = (along(open), along(&own));
    // Toward the horizon the lobe fades, and the share of the whole has to do.
    let known = (whole / FAINT).clamp(0.0, 1.0);
    let there = (seen / whole.max(FAINT)).clamp(0.0, 1.0);
    share(open) * (1.0 - known) + there * known
}

/// A sky in harmonics.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sky([Vec3; 9]);

impl Sky {
    /// Of the light that arrives from each direction.
    pub(super) fn of(light: impl Fn(Vec3) -> Vec3) -> Self {
        const SAMPLES: u32 = 4096;
        #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
        let each = 4.0 * std::f32::consts::PI / SAMPLES as f32;
        let mut sums = [Vec3::ZERO; 9];
        for direction in directions(SAMPLES) {
            let arriving = light(direction) * each;
            for (sum, basis) in sums.iter_mut().zip(harmonics(direction)) {
                *sum += arriving * basis;
            }
        }
        Self(sums)
    }

    /// Light of this sky on a place from which nothing is hidden.
    pub(super) fn open_on(&self, normal: Vec3) -> Vec3 {
        self.on(&whole(normal)).max(Vec3::splat(DIMMEST))
    }

    /// Light of this sky on a place, as a white surface would throw it back.
    pub(super) fn on(&self, open: &Harmonics) -> Vec3 {
        let sum: Vec3 = self.0.iter().zip(open).map(|(l, o)| *l * *o).sum();
        sum.max(Vec3::ZERO)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Mesh;

    /// A triangle far below, so that the tree has something.
    fn nothing_near() -> Tree {
        let far = |x, z| Vec3::new(x, -1e6, z);
        let mesh = Mesh::new(
            vec![far(0.0, 0.0), far(1.0, 0.0), far(0.0, 1.0)],
            vec![[0, 1, 2]],
        );
        Tree::build(&mesh.unwrap())
    }

    /// A surface that leans by θ sees (1 + cos θ) / 2 of a sky that is even above the horizon and
    /// black below (Liu and Jordan, "The long-term average performance of flat-plate solar-energy
    /// collectors", Solar Energy 7, 1963).
    #[test]
    fn a_leaning_surface_sees_its_share_of_the_sky() {
        let sky = Sky::of(|d| Vec3::splat(f32::from(u8::from(d.y > 0.0))));
        let tree = nothing_near();
        for lean_deg in [0.0f32, 30.0, 60.0, 90.0, 120.0, 180.0] {
            let (sin, cos) = lean_deg.to_radians().sin_cos();
            let normal = Vec3::new(sin * 0.6, cos, sin * 0.8);
            let open = open(&tree, &[(Vec3::ZERO, normal)], 1e-3, 100.0);
            let found = sky.on(&open[0]).x;
            let expected = (1.0 + cos) / 2.0;
            assert!((found - expected).abs() < 0.015, "{lean_deg}: {found}");
            assert!((share(&open[0]) - 1.0).abs() < 1e-5);
            assert!(open_toward(&open[0], normal, normal) > 0.97);
        }
    }

    /// At the foot of a wall that rises to the zenith, half of the sky is hidden (configuration
    /// factor of two planes at a right angle: common in handbooks of heat transfer, here from
    /// memory).
    #[test]
    fn a_wall_hides_half_the_sky() {
        let (far, up) = (1e5, 1e5);
        let wall = Mesh::new(
            vec![
                Vec3::new(-0.01, -1.0, -far),
                Vec3::new(-0.01, -1.0, far),
                Vec3::new(-0.01, up, 0.0),
            ],
            vec![[0, 1, 2]],
        );
        let tree = Tree::build(&wall.unwrap());
        let open = open(&tree, &[(Vec3::ZERO, Vec3::Y)], 1e-4, 1e9)[0];
        // Of some 64 directions, those along the wall's edge weigh up to 3 % together.
        assert!((share(&open) - 0.5).abs() < 0.03, "{}", share(&open));
        let toward = |x: f32| open_toward(&open, Vec3::Y, Vec3::new(x, 0.8, 0.0).normalize());
        assert!(toward(0.6) > 0.8, "away from the wall: {}", toward(0.6));
        assert!(toward(-0.6) < 0.2, "toward the wall: {}", toward(-0.6));
    }
}
