//! Directions from which a place is tried.

use crate::record::ViewFrom;
use crate::space::lattice;

/// `count` directions, evenly spread, the first at the azimuth given.
pub(super) fn directions(count: u32, azimuth_deg: f64) -> impl Iterator<Item = ViewFrom> {
    lattice(count, azimuth_deg).map(|toward| ViewFrom {
        azimuth_deg: toward.x.atan2(toward.z).to_degrees(),
        elevation_deg: toward.y.asin().to_degrees(),
    })
}

/// The same azimuth within −180 to 180.
pub(super) fn around(azimuth_deg: f64) -> f64 {
    let turned = azimuth_deg.rem_euclid(360.0);
    if turned > 180.0 {
        turned - 360.0
    } else {
        turned
    }
}
