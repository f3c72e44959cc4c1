//! Cuts through the scan against trimesh.

use crate::mesh;
use crate::pairs::pairs;
use counterpart::profile::{Plane, area_mm2, cut};
use counterpart::record::LengthUnit;
use counterpart::space::Sides;
use glam::{DVec2, DVec3};

fn length_mm(line: &[DVec2], closed: bool) -> f64 {
    let open: f64 = line.windows(2).map(|w| w[0].distance(w[1])).sum();
    match (closed, line) {
        (true, [first, .., last]) => open + first.distance(*last),
        _ => open,
    }
}

#[test]
fn cuts_are_as_long_and_hold_as_much_as_trimesh_says() {
    let scan = mesh("pairs/original.ply", LengthUnit::Millimetre);
    let sides = Sides::of(&scan);
    let welded = sides.welded();
    let places: Vec<DVec3> = welded.places.iter().map(|p| p.as_dvec3()).collect();
    for said in pairs().cuts {
        let plane = Plane::upright(DVec3::from_array(said.origin), said.azimuth_deg);
        let found = cut(&places, &welded.triangles, &plane);
        let closed = found.closed.iter().map(|l| length_mm(l, true));
        let open = found.open.iter().map(|l| length_mm(l, false));
        let length = closed.chain(open).sum::<f64>();
        let area = found.closed.iter().map(|l| area_mm2(l)).sum::<f64>();
        println!(
            "cut at {}°: {length} mm and {}, {area} mm² and {}; {} closed and {} open",
            said.azimuth_deg,
            said.length_mm,
            said.area_mm2,
            found.closed.len(),
            found.open.len()
        );
        assert!((length / said.length_mm - 1.0).abs() < 1e-6);
        assert!((area / said.area_mm2 - 1.0).abs() < 1e-6);
        assert!(found.open.is_empty(), "the scan is closed");
    }
}
