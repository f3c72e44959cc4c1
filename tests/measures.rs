//! Measures and flaws against closed forms.
//!
//! Volumes, areas, centroids and moments of inertia of sphere, torus, cone, frustum and box are
//! those of any handbook (for example Bronshtein et al., *Handbook of Mathematics*, and the list
//! of moments of inertia in Beer and Johnston, *Vector Mechanics for Engineers*), from memory.

mod shapes;

use counterpart::mesh::{
    Mesh, Volume, curvature, edge_flaws, is_closed, measure, openings, shells, solid, whole,
};
use counterpart::space::{Sides, Tree, crossings, doubled_skins};
use glam::{DVec3, Vec3};
use shapes::{block, frustum, moved, sheet, sphere, tetrahedron, together, torus, turned};
use std::f64::consts::{PI, TAU};

/// Relative error of the measured value.
fn off(measured: f64, exact: f64) -> f64 {
    (measured - exact).abs() / exact.abs()
}

/// Errors of a quantity at two refinements, the second twice as fine: an inscribed surface comes
/// nearer with the square of its steps.
fn second_order(name: &str, exact: f64, at: impl Fn(u32) -> f64) {
    let (coarse, fine) = (off(at(96), exact), off(at(192), exact));
    let ratio = coarse / fine;
    assert!(
        (3.9..4.1).contains(&ratio),
        "{name}: {coarse:e} then {fine:e}, ratio {ratio}"
    );
    assert!(fine < 1e-3, "{name}: {fine:e}");
}

#[test]
fn sphere_converges_in_volume_area_and_inertia() {
    let r: f64 = 20.0;
    let mass = 4.0 / 3.0 * PI * r.powi(3);
    second_order("volume", mass, |n| solid(&sphere(n)).volume_mm3);
    second_order("area", 4.0 * PI * r * r, |n| {
        measure(&sphere(n)).unwrap().area_mm2
    });
    second_order("inertia", 0.4 * mass * r * r, |n| {
        solid(&sphere(n)).inertia.y_axis.y
    });
    assert!(solid(&sphere(64)).centroid.length() < 1e-5);
}

#[test]
fn torus_converges_in_volume_area_and_inertia() {
    let (big, small): (f64, f64) = (30.0, 10.0);
    let mass = 2.0 * PI * PI * big * small * small;
    second_order("volume", mass, |n| solid(&torus(n)).volume_mm3);
    second_order("area", 4.0 * PI * PI * big * small, |n| {
        measure(&torus(n)).unwrap().area_mm2
    });
    let axial = mass * (big * big + 0.75 * small * small);
    let across = mass * (0.5 * big * big + 0.625 * small * small);
    second_order("axial inertia", axial, |n| {
        solid(&torus(n)).inertia.y_axis.y
    });
    second_order("transverse inertia", across, |n| {
        solid(&torus(n)).inertia.x_axis.x
    });
}

#[test]
fn cone_and_frustum_converge() {
    let h: f64 = 30.0;
    for upper in [0.0, 12.0] {
        let (a, b): (f64, f64) = (20.0, upper);
        let squares = a * a + a * b + b * b;
        let volume = PI * h / 3.0 * squares;
        let slant = (h * h + (a - b).powi(2)).sqrt();
        let area = PI * (a * a + b * b + slant * (a + b));
        let height = h / 4.0 * (a * a + 2.0 * a * b + 3.0 * b * b) / squares;
        second_order("volume", volume, |n| solid(&frustum(upper, n)).volume_mm3);
        second_order("area", area, |n| {
            measure(&frustum(upper, n)).unwrap().area_mm2
        });
        assert!((solid(&frustum(upper, 96)).centroid.y - height).abs() < 1e-5);
        // Axial inertia of a frustum, 3/10 m (a⁵ − b⁵)/(a³ − b³).
        let axial = 0.3 * volume * (a.powi(5) - b.powi(5)) / (a.powi(3) - b.powi(3));
        second_order("axial inertia", axial, |n| {
            solid(&frustum(upper, n)).inertia.y_axis.y
        });
    }
    let (volume, r) = (PI * h / 3.0 * 400.0, 20.0f64);
    let across = volume * (3.0 / 20.0 * r * r + 3.0 / 80.0 * h * h);
    second_order("cone across", across, |n| {
        solid(&frustum(0.0, n)).inertia.x_axis.x
    });
}

/// V = abc/6; centroid a quarter of each leg; Ixx about the corner m (b² + c²)/10.
#[test]
fn tetrahedron_exactly_wherever_it_lies() {
    for by in [Vec3::ZERO, Vec3::new(4096.0, -512.0, 1024.0)] {
        let found = solid(&moved(&tetrahedron(), by));
        assert!(off(found.volume_mm3, 1000.0) < 1e-12);
        let centre = DVec3::new(2.5, 5.0, 7.5);
        assert!((found.centroid - by.as_dvec3() - centre).length() < 1e-9);
        let at_corner = 1000.0 * (400.0 + 900.0) / 10.0;
        let about_centre = at_corner - 1000.0 * (centre.y.powi(2) + centre.z.powi(2));
        assert!(off(found.inertia.x_axis.x, about_centre) < 1e-9);
    }
}

/// ∫ H dA of a sphere is 4πr, of a torus 2π²R, of a box π (a + b + c) (Santaló, *Integral Geometry
/// and Geometric Probability*, chapter 13, from memory); χ is 2, 0 and 2. With it Steiner's formula
/// gives the wall inside: 4π/3 (r³ − (r − t)³), and 2π²R (r² − (r − t)²) for the ring.
#[test]
fn walls_of_ball_and_ring_converge() {
    second_order("bending of a sphere", 4.0 * PI * 20.0, |n| {
        curvature(&sphere(n)).unwrap().mean_integral_mm
    });
    second_order("bending of a torus", 2.0 * PI * PI * 30.0, |n| {
        curvature(&torus(n)).unwrap().mean_integral_mm
    });
    let wall = |mesh: &Mesh, t| {
        let found = curvature(mesh).unwrap();
        assert_eq!(found.sharp_mm, 0.0);
        found.wall(measure(mesh).unwrap().area_mm2, t)
    };
    let ball = 4.0 / 3.0 * PI * (20f64.powi(3) - 17f64.powi(3));
    second_order("wall of a ball", ball, |n| wall(&sphere(n), 3.0).volume_mm3);
    let ring = 2.0 * PI * PI * 30.0 * (100.0 - 49.0);
    second_order("wall of a ring", ring, |n| wall(&torus(n), 3.0).volume_mm3);
    assert_eq!(curvature(&sphere(64)).unwrap().euler, 2);
    assert_eq!(curvature(&torus(64)).unwrap().euler, 0);
    second_order("inside of a ball", 4.0 * PI * 17.0 * 17.0, |n| {
        wall(&sphere(n), 3.0).inner_area_mm2
    });
    assert!(wall(&sphere(96), 20.5).inner_area_mm2 < 10.0);
}

/// The box 10 × 20 × 30 of the standards sheet: V 6000, A 2200; without one triangle it is open,
/// and inside out it is negative.
#[test]
fn box_by_hand() {
    let mesh = block(Vec3::ZERO, Vec3::new(10.0, 20.0, 30.0));
    let triangles = mesh.triangles().to_vec();
    let found = measure(&mesh).unwrap();
    assert_eq!(found.volume, Volume::Closed { mm3: 6000.0 });
    assert_eq!(found.area_mm2, 2200.0);
    assert!(found.is_closed() && found.solid.is_some());
    assert!(
        off(
            solid(&mesh).inertia.x_axis.x,
            6000.0 * (400.0 + 900.0) / 12.0
        ) < 1e-12
    );
    // M = π (a + b + c). Turned outward by 1 mm Steiner's formula gives the parallel body exactly:
    // V + A + M + 4π/3 for corners that make a ball; inward the sharp edges widen the bound, and the
    // wall by hand, 6000 − 8 · 18 · 28 mm³, lies within it.
    let bent = curvature(&mesh).unwrap();
    assert!(off(bent.mean_integral_mm, PI * 60.0) < 1e-12);
    assert_eq!(bent.euler, 2);
    let outward = -bent.wall(2200.0, -1.0).volume_mm3;
    assert!(off(outward, 2200.0 + PI * 60.0 + 4.0 / 3.0 * PI) < 1e-12);
    let inward = bent.wall(2200.0, 1.0);
    let by_hand = 6000.0 - 8.0 * 18.0 * 28.0;
    assert!((inward.volume_mm3 - by_hand).abs() < inward.within_mm3);
    assert!(off(inward.within_mm3, 4.0 * 60.0 * (1.0 - PI / 4.0)) < 1e-12);
    let open =
        measure(&Mesh::new(mesh.positions().to_vec(), triangles[1..].to_vec()).unwrap()).unwrap();
    assert!(
        matches!(open.volume, Volume::Unknown { .. }),
        "{:?}",
        open.volume
    );
    assert_eq!(open.openings.len(), 1);
    assert!((open.openings[0].length_mm - (20.0 + 30.0 + 1300f64.sqrt())).abs() < 1e-9);
    let inside_out = triangles.iter().map(|t| [t[0], t[2], t[1]]).collect();
    let turned = measure(&Mesh::new(mesh.positions().to_vec(), inside_out).unwrap()).unwrap();
    assert_eq!(turned.volume, Volume::Closed { mm3: -6000.0 });
    let mut one_wrong = triangles;
    one_wrong[3].swap(0, 1);
    let wrong = Mesh::new(mesh.positions().to_vec(), one_wrong).unwrap();
    assert_eq!(edge_flaws(&wrong).ill_wound.len(), 3);
}

/// A tube: two openings, each a regular polygon of 90 sides of length 2r sin(π/90).
#[test]
fn openings_have_length_and_place() {
    let tube = turned(&[(10.0, 0.0), (10.0, 50.0)], 90, false);
    let found = openings(&tube);
    assert_eq!(found.len(), 2);
    for (opening, y) in found.iter().zip([0.0, 50.0]) {
        assert!((opening.length_mm - 90.0 * 20.0 * (PI / 90.0).sin()).abs() < 1e-4);
        assert_eq!(opening.edges, 90);
        assert!((opening.area_mm2 - 45.0 * 100.0 * (TAU / 90.0).sin()).abs() < 1e-3);
        let other = 50.0 - y;
        assert!(
            [y, other]
                .iter()
                .any(|y| (opening.spot.centre - DVec3::new(0.0, *y, 0.0)).length() < 1e-4)
        );
        assert!((opening.spot.radius_mm - 10.0).abs() < 1e-4);
    }
}

/// A sphere that lacks a small cap: the true volume lies within the stated bound.
#[test]
fn a_small_opening_leaves_a_bounded_volume() {
    let whole = sphere(128);
    let kept = whole
        .triangles()
        .iter()
        .filter(|t| !t.iter().any(|&i| whole.positions()[i as usize].y > 19.5));
    let open = Mesh::new(whole.positions().to_vec(), kept.copied().collect()).unwrap();
    assert!(!is_closed(&open));
    let Volume::Bounded { mm3, within_mm3 } = measure(&open).unwrap().volume else {
        panic!("a bound was expected");
    };
    let exact = solid(&whole).volume_mm3;
    assert!(
        (mm3 - exact).abs() < within_mm3,
        "{mm3} ± {within_mm3}, {exact}"
    );
    assert!(
        (mm3 - exact).abs() > 1.0,
        "the opening is too small to show anything"
    );
    assert!(within_mm3 < 0.05 * mm3);
    assert!(measure(&open).unwrap().solid.is_none());
}

#[test]
fn worthless_triangles_and_pieces_are_counted() {
    let mesh = sheet(4, 0.0);
    let mut triangles = mesh.triangles().to_vec();
    triangles.push([triangles[5][1], triangles[5][2], triangles[5][0]]);
    triangles.push([0, 1, 2]);
    triangles.push([3, 3, 4]);
    let flawed = Mesh::new(mesh.positions().to_vec(), triangles).unwrap();
    let flaws = edge_flaws(&flawed);
    assert_eq!(flaws.duplicate.len(), 1);
    assert_eq!(flaws.degenerate.len(), 2);
    let pieces = shells(&together(
        &sphere(32),
        &moved(&tetrahedron(), Vec3::X * 50.0),
    ));
    assert_eq!(pieces.len(), 2);
    assert_eq!(pieces[1].triangles, 4);
    assert!((pieces[1].area_mm2 - 900.0).abs() < 1e-3);
    // Three sheets that share an edge.
    let fan = [[0.0, 0.0], [0.0, 5.0], [5.0, 0.0], [-5.0, 0.0], [0.0, -5.0]]
        .map(|[x, y]| Vec3::new(x, y, 0.0));
    let lifted = Vec3::new(0.0, 2.0, 3.0);
    let pages = Mesh::new(
        [fan.as_slice(), &[lifted]].concat(),
        vec![[0, 1, 2], [1, 0, 3], [0, 1, 5]],
    )
    .unwrap();
    assert_eq!(edge_flaws(&pages).non_manifold.len(), 1);
}

#[test]
fn doubled_skins_are_told_from_thin_walls() {
    let count = |mesh: &Mesh| {
        let edge = measure(mesh).unwrap().mean_edge_mm;
        doubled_skins(mesh, &Tree::build(mesh), edge)
    };
    let doubled = count(&together(&sheet(20, 0.0), &sheet(17, 0.1)));
    assert_eq!(doubled.len(), 1);
    assert!((doubled[0].area_mm2 - 200.0).abs() < 20.0, "{doubled:?}");
    assert!((doubled[0].apart_mm - 0.1).abs() < 1e-3);
    assert!((doubled[0].spot.centre - DVec3::new(5.0, 0.05, 5.0)).length() < 0.5);
    // A dish with a wall 0.2 thick has two skins that face opposite ways.
    let dish = turned(
        &[
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 10.0),
            (19.8, 10.0),
            (19.8, 0.2),
            (0.0, 0.2),
        ],
        200,
        false,
    );
    assert!(is_closed(&dish));
    assert_eq!(count(&dish), []);
    assert_eq!(count(&torus(64)), []);
}

#[test]
fn crossings_are_found_where_they_are() {
    let one = sphere(48);
    let apart = together(&one, &moved(&one, Vec3::X * 41.0));
    assert_eq!(crossings(&apart, &Tree::build(&apart)), []);
    let through = together(&one, &moved(&one, Vec3::X * 32.0));
    let found = crossings(&through, &Tree::build(&through));
    assert_eq!(found.len(), 1);
    // Two spheres of radius 20, centres 32 apart, meet in a circle of radius 12 about x = 16.
    assert!(
        (found[0].spot.centre - DVec3::X * 16.0).length() < 1.0,
        "{found:?}"
    );
    assert!((12.0..15.0).contains(&found[0].spot.radius_mm), "{found:?}");
    assert_eq!(crossings(&torus(64), &Tree::build(&torus(64))), []);
}

/// Distance to the torus is that to its ring less the tube's radius, negative inside.
#[test]
fn signed_distance_to_a_torus() {
    let mesh = torus(256);
    let (tree, sides) = (Tree::build(&mesh), Sides::of(&mesh));
    let mut inside = 0;
    for i in 0..4000u32 {
        let at = |k: u32| f64::from(i.wrapping_mul(k) % 1009) / 1009.0 * 100.0 - 50.0;
        let p = DVec3::new(at(7919), at(104_729) * 0.3, at(1_299_709));
        let ring = (p.x.hypot(p.z) - 30.0).hypot(p.y) - 10.0;
        let found = sides.distance_mm(&tree, p).unwrap();
        assert!((found - ring).abs() < 0.02, "{p}: {found} and {ring}");
        inside += u32::from(found < 0.0);
    }
    assert!(inside > 200, "{inside}");
}

/// Nearest points on edges and corners, where the sign of one triangle alone would be wrong.
#[test]
fn sign_at_sharp_corners() {
    let mesh = tetrahedron();
    let (tree, sides) = (Tree::build(&mesh), Sides::of(&mesh));
    for (p, outside) in [
        (DVec3::new(-0.1, -0.2, -0.1), true),
        (DVec3::new(10.5, -0.1, -0.1), true),
        (DVec3::new(-0.1, 20.3, 0.0), true),
        (DVec3::new(5.0, -0.1, -0.1), true),
        (DVec3::new(0.1, 0.1, 0.1), false),
        (DVec3::new(1.0, 1.0, 25.0), false),
    ] {
        let found = sides.distance_mm(&tree, p).unwrap();
        assert_eq!(found > 0.0, outside, "{p}: {found}");
    }
}

/// Parts taken together are what one mesh of all of them is: volume, centroid and inertia are
/// integrals over the space, and the parts lie apart.
#[test]
fn parts_together_are_what_they_are_in_one_mesh() {
    let parts = [
        frustum(0.0, 64),
        moved(&torus(40), Vec3::new(90.0, 5.0, -20.0)),
        moved(&tetrahedron(), Vec3::new(-70.0, 0.0, 40.0)),
    ];
    let one = together(&together(&parts[0], &parts[1]), &parts[2]);
    let expected = measure(&one).unwrap();
    let measured: Vec<_> = parts.iter().map(|p| measure(p).unwrap()).collect();
    let found = whole(&measured.iter().collect::<Vec<_>>()).unwrap();
    assert_eq!(found.triangles, expected.triangles);
    assert_eq!(found.bounds, expected.bounds);
    assert_eq!(found.shells, 3);
    assert!(found.closed);
    assert!((found.area_mm2 / expected.area_mm2 - 1.0).abs() < 1e-12);
    let (a, b) = (found.solid.unwrap(), expected.solid.unwrap());
    assert!((a.volume_mm3 / b.volume_mm3 - 1.0).abs() < 1e-9);
    assert!(a.centroid.distance(b.centroid) < 1e-6);
    let difference = a.inertia - b.inertia;
    let size = b.inertia.x_axis.x.abs();
    for value in difference.to_cols_array() {
        assert!(value.abs() < 1e-9 * size, "{difference} of {size}");
    }
    assert!(matches!(found.volume, Volume::Closed { .. }));
    // One open part, and no volume is claimed for the whole.
    let open = measure(&sheet(4, 0.0)).unwrap();
    let with_open = whole(&[&measured[0], &open]).unwrap();
    assert!(matches!(with_open.volume, Volume::Unknown { .. }) && with_open.solid.is_none());
    assert_eq!(with_open.openings.0, 1);
    assert!((with_open.openings.1 - 40.0).abs() < 1e-9);
    assert!(whole(&[]).is_none());
}
