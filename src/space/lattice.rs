//! Directions spread evenly over the sphere.

use glam::DVec3;

/// 2π (1 − 1/φ): the turn from one point of the lattice to the next.
const GOLDEN_DEG: f64 = 137.507_764_050_037_85;

/// `count` directions, evenly spread: the Fibonacci lattice, each point standing for the same area
/// (Swinbank and Purser, "Fibonacci grids", Quarterly Journal of the Royal Meteorological Society
/// 132, 2006). It runs from +Y down and begins at the azimuth given, counted from +Z toward +X, so
/// that a thing turned about the upright axis is seen from directions turned with it.
pub(crate) fn lattice(count: u32, azimuth_deg: f64) -> impl Iterator<Item = DVec3> {
    (0..count).map(move |i| {
        let height = 1.0 - (2.0 * f64::from(i) + 1.0) / f64::from(count);
        let azimuth_deg = azimuth_deg + GOLDEN_DEG * f64::from(i);
        let (sin, cos) = azimuth_deg.to_radians().sin_cos();
        let ring = (1.0 - height * height).sqrt();
        DVec3::new(ring * sin, height, ring * cos)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cap of half-angle a has the share (1 − cos a) / 2 of the sphere, and so of the points, and
    /// no direction is far from the nearest of them: a hexagon of area 4π/n has a radius of
    /// √(8π / (3√3 n)).
    #[test]
    fn directions_are_spread_evenly() {
        let count = 400;
        let all: Vec<DVec3> = lattice(count, 33.0).collect();
        for pole in [DVec3::Y, DVec3::X, DVec3::new(1.0, -2.0, 0.5).normalize()] {
            for half in [20.0_f64, 60.0, 90.0, 140.0] {
                let share = (1.0 - half.to_radians().cos()) / 2.0;
                let within = all.iter().filter(|d| d.dot(pole) > half.to_radians().cos());
                let found = within.count() as f64 / f64::from(count);
                assert!((found - share).abs() < 0.01, "{half}: {found} and {share}");
            }
        }
        let hexagon = (8.0 * std::f64::consts::PI / (27.0_f64.sqrt() * f64::from(count))).sqrt();
        let farthest = lattice(5000, 0.0).map(|d| {
            let nearest = all.iter().map(|e| e.dot(d)).fold(-1.0, f64::max);
            nearest.acos()
        });
        let farthest = farthest.fold(0.0, f64::max);
        assert!(farthest < 1.6 * hexagon, "{farthest} and {hexagon}");
    }
}
