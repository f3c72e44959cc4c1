//! Finds and sizes every difference between two surfaces.
//!
//! Takes two [`Surface`]s and the pose that lays one on the other; hands on a [`Comparison`]:
//! distances both ways at every corner, and the connected [`Region`]s beyond the tolerance. Where one
//! scan has a hole, the other has nothing to be compared with: that is no difference, it is said to
//! be not captured, with its place.

mod field;
mod moved;
mod patches;
mod region;
mod scale;
mod tolerance;
mod volume;

pub use field::{Around, Field, Summary};
pub use patches::Band;
pub use region::{Kind, Region, SPECK, Specks, Sureness};
pub use scale::{Scale, Step, Tone, blend};
pub use tolerance::{COVERAGE, Share, Source, Tolerance};

use crate::align::{Pose, Surface};
use crate::mesh::{Sets, Spot};
use serde::{Deserialize, Serialize};

/// Two surfaces compared. Everything is in the original's frame.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Comparison {
    /// The original measured against the replica.
    pub original: Field,
    /// The replica measured against the original.
    pub replica: Field,
    /// Differences, the largest volume first.
    pub regions: Vec<Region>,
    /// What was too small to count.
    pub specks: Specks,
    /// Places of the original that the replica's model lacks, and the other way, the largest first.
    pub not_captured: [Vec<Gap>; 2],
}

/// A patch of one surface where the other was not captured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Gap {
    /// Where.
    pub spot: Spot,
    /// Its area, mm².
    pub area_mm2: f64,
}

/// Compares `replica`, laid on `original` by `pose`.
pub fn compare(
    original: &Surface<'_>,
    replica: &Surface<'_>,
    pose: &Pose,
    band: &Band,
    sure: &Sureness,
) -> Comparison {
    let (first, second) = rayon::join(
        || Field::of(original, replica, &pose.inverse(), &Pose::STILL),
        || Field::of(replica, original, pose, pose),
    );
    let patches = patches::gather([&first, &second], band);
    let (regions, specks) = region::measure([&first, &second], patches, band, sure);
    Comparison {
        not_captured: [gaps(&first, band), gaps(&second, band)],
        original: first,
        replica: second,
        regions,
        specks,
    }
}

/// Connected places that were not captured and lie further off than the tolerance.
fn gaps(field: &Field, band: &Band) -> Vec<Gap> {
    let missing = |i: u32| {
        let i = i as usize;
        !field.captured[i] && field.signed_mm[i].abs() > band.tolerance_mm
    };
    let mut sets = Sets::new(field.places.len());
    let all = || (0u32..).take(field.places.len()).filter(|i| missing(*i));
    for i in all() {
        for j in field.around.corner(i as usize) {
            if missing(*j) {
                sets.join(i, *j);
            }
        }
    }
    let mut keyed: Vec<(u32, u32)> = all().map(|i| (sets.find(i), i)).collect();
    keyed.sort_unstable();
    let mut found: Vec<Gap> = keyed
        .chunk_by(|a, b| a.0 == b.0)
        .map(|group| Gap {
            spot: Spot::around(group.iter().map(|(_, i)| field.places[*i as usize])),
            area_mm2: group
                .iter()
                .map(|(_, i)| field.shares_mm2[*i as usize])
                .sum(),
        })
        .collect();
    found.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    found
}
