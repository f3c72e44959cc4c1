//! The direction from which an object is first seen, where nobody said.

use super::score::{above, slant};
use super::{LeftOut, Patch, Scenery, toward_eye};
use crate::record::ViewFrom;
use rayon::prelude::*;

/// A front lies so far to either side of +Z at most, degrees: "right" and "forward" are counted as
/// one faces that side.
const ASIDE_DEG: i32 = 45;
/// Heights that are tried, degrees.
const HEIGHTS_DEG: [i32; 6] = [5, 10, 15, 20, 25, 30];
/// From one to the next, degrees.
const STEP_DEG: usize = 5;

/// A patch of the key, on its body.
#[derive(Debug, Clone)]
pub struct Keyed<'a> {
    /// The body around it.
    pub scenery: Scenery<'a>,
    /// The patch.
    pub patch: Patch,
}

/// The view from which most of the key is seen, and seen well. Without a key, straight from +Z.
pub fn front(key: &[Keyed<'_>]) -> ViewFrom {
    let views: Vec<ViewFrom> = (-ASIDE_DEG..=ASIDE_DEG)
        .step_by(STEP_DEG)
        .flat_map(|azimuth| HEIGHTS_DEG.map(|height| (azimuth, height)))
        .map(|(azimuth, height)| ViewFrom {
            azimuth_deg: f64::from(azimuth),
            elevation_deg: f64::from(height),
        })
        .collect();
    let marks: Vec<f64> = views
        .par_iter()
        .map(|from| {
            let seen = key.iter().map(|k| {
                let seen = k.scenery.seen(&k.patch, *from, &LeftOut::default());
                seen * slant(toward_eye(*from).dot(k.patch.normal))
            });
            seen.sum::<f64>() * above(from.elevation_deg)
        })
        .collect();
    // Of equals that which turns least.
    let best = views.iter().zip(marks).max_by(|(a, p), (b, q)| {
        p.total_cmp(q)
            .then(b.azimuth_deg.abs().total_cmp(&a.azimuth_deg.abs()))
            .then(b.elevation_deg.total_cmp(&a.elevation_deg))
    });
    match best {
        Some((from, mark)) if mark > 0.0 => *from,
        _ => ViewFrom::default(),
    }
}
