//! The hull of the dragon and the planes on which it stands, against Qhull (by way of SciPy).

use crate::pairs::{Ready, pairs};
use counterpart::stand::{hull, rest};
use glam::DVec3;

#[test]
fn the_hull_and_the_resting_plane_are_those_of_qhull() {
    let said = pairs().hull;
    let original = Ready::read("original");
    let points: Vec<DVec3> = original
        .mesh
        .positions()
        .iter()
        .map(|p| p.as_dvec3())
        .collect();
    let found = hull(&points).unwrap();
    let (volume, area) = (found.volume_mm3(&points), found.area_mm2(&points));
    println!(
        "hull: {volume} mm³ and {} mm³; {area} mm² and {} mm²; {} corners and {}, {} facets and {}",
        said.volume_mm3,
        said.area_mm2,
        found.points.len(),
        said.corners,
        found.faces.len(),
        said.facets
    );
    assert!((volume / said.volume_mm3 - 1.0).abs() < 1e-9);
    assert!((area / said.area_mm2 - 1.0).abs() < 1e-9);
    let centre = DVec3::from_array(said.centre);
    let settled = rest(&points, &found, centre, DVec3::Y, 0.0).unwrap();
    let plane = |p: &[f64; 4]| (DVec3::new(p[0], p[1], p[2]), -p[3]);
    let (down, offset) = plane(&said.settled);
    println!(
        "rests on {} after {} rolls, Qhull {down}; tilt {} and {}",
        settled.rest.down, settled.rolls, settled.rest.tilt_deg, said.tilt_deg
    );
    assert!(
        settled.rest.down.distance(down) < 1e-9,
        "{} and {down}",
        settled.rest.down
    );
    assert!((settled.rest.offset_mm - offset).abs() < 1e-9 * offset.abs().max(100.0));
    assert!((settled.rest.tilt_deg - said.tilt_deg).abs() < 1e-7);
    // Every plane on which it stays, and no other.
    let all = counterpart::stand::rests(&points, &found, centre, DVec3::Y, 0.0);
    assert_eq!(all.len(), said.stable.len());
    for stable in &said.stable {
        let (down, _) = plane(stable);
        assert!(all.iter().any(|r| r.down.distance(down) < 1e-9), "{down}");
    }
}
