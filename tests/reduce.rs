//! Reduced meshes, and the distances between surfaces, against closed forms.

mod shapes;

use counterpart::mesh::Mesh;
use counterpart::reduce::{Focus, Measured, simplify, simplify_within};
use counterpart::space::Tree;
use glam::{DVec3, Vec3};
use shapes::{moved, sheet, sphere, together, torus, turned};
use std::f64::consts::PI;

fn deviation(a: &Mesh, b: &Mesh, focuses: &[Focus]) -> Measured {
    counterpart::reduce::deviation(a, &Tree::build(a), b, focuses)
}

/// Two sheets of side 10, one lifted by 0.25 and slid by 3: the lifted one overhangs by 3, so the
/// greatest distance is √(3² + 0.25²), and where they overlap it is 0.25.
#[test]
fn distances_of_two_sheets() {
    let (low, high) = (
        sheet(7, 0.0),
        moved(&sheet(10, 0.25), Vec3::new(3.0, 0.0, 0.0)),
    );
    let exact = (9.0f64 + 0.0625).sqrt();
    let found = deviation(&low, &high, &[]).whole;
    assert!(
        found.met_mm <= exact + 1e-9 && found.max_mm >= exact - 1e-9,
        "{found:?}"
    );
    assert!(found.max_mm < exact * 1.055, "{found:?}");
    // Squares over one sheet: 7/10 of it at 0.25², and ∫₀³ (x² + 0.25²) dx / 10 = 9/10 + 0.3 · 0.25².
    let rms = (0.0625 + 0.9f64).sqrt();
    assert!(
        (found.rms_mm - rms).abs() < 0.01 * rms,
        "{found:?} and {rms}"
    );
    // 5 % of the area lies beyond 3 − 0.05 · 10 = 2.5.
    let p95 = (2.5f64.powi(2) + 0.0625).sqrt();
    assert!((found.p95_mm - p95).abs() < 0.25, "{found:?} and {p95}");
    let apart = deviation(&low, &moved(&low, Vec3::Y * 0.5), &[]).whole;
    assert!(
        (apart.max_mm - 0.5).abs() < 1e-6 && (apart.rms_mm - 0.5).abs() < 1e-6,
        "{apart:?}"
    );
    let same = deviation(&low, &low, &[]).whole;
    assert!(same.max_mm < 1e-9, "{same:?}");
}

/// Two spheres about one middle: the mean distance is the difference of their radii, and no
/// facet strays further than its sagitta adds.
#[test]
fn distances_of_two_spheres() {
    let inner = sphere(96);
    let scaled: Vec<Vec3> = inner.positions().iter().map(|p| *p * 1.05).collect();
    let outer = Mesh::new(scaled, inner.triangles().to_vec()).unwrap();
    let found = deviation(&inner, &outer, &[]).whole;
    let sagitta = 21.0 * (1.0 - (PI / 96.0).cos());
    assert!(
        found.max_mm >= 1.0 - sagitta && found.max_mm < 1.055 + sagitta,
        "{found:?}"
    );
    assert!((found.rms_mm - 1.0).abs() < 0.01, "{found:?}");
    assert!(found.met_mm <= found.max_mm);
}

/// A spike that no corner, middle or edge of the coarse pieces touches is still within the bound.
#[test]
fn a_bound_holds_between_the_samples() {
    let flat = sheet(2, 0.0);
    let fine = sheet(64, 0.0);
    let mut positions = fine.positions().to_vec();
    let spike = positions
        .iter()
        .position(|p| p.distance(Vec3::new(3.125, 0.0, 1.40625)) < 0.01)
        .unwrap();
    positions[spike].y = 0.8;
    let spiked = Mesh::new(positions, fine.triangles().to_vec()).unwrap();
    for found in [
        deviation(&flat, &spiked, &[]),
        deviation(&spiked, &flat, &[]),
    ] {
        assert!(
            found.whole.max_mm >= 0.8 && found.whole.max_mm < 0.845,
            "{found:?}"
        );
    }
}

/// The deviation of a reduced torus is at least the sagitta of its largest facet and is bracketed
/// by measuring its vertices against the exact surface.
#[test]
fn a_reduced_mesh_strays_as_far_as_it_says() {
    let mesh = torus(160);
    let reduced = simplify(&mesh, 4000, &[]);
    assert!(reduced.triangles().len() <= 4400);
    let found = deviation(&mesh, &reduced, &[]).whole;
    let from_exact = |p: DVec3| (DVec3::new(p.x.hypot(p.z) - 30.0, p.y, 0.0).length() - 10.0).abs();
    let worst = (0..reduced.triangles().len() as u32)
        .map(|f| from_exact(reduced.corners(f).iter().sum::<DVec3>() / 3.0))
        .fold(0.0, f64::max);
    let mesh_itself = 10.0 * (1.0 - (PI / 160.0).cos()) + 40.0 * (1.0 - (PI / 160.0).cos());
    assert!(
        found.max_mm + mesh_itself >= worst,
        "{} and {worst}",
        found.max_mm
    );
    assert!(found.rms_mm > 0.0 && found.rms_mm < found.p95_mm);
    assert!(found.p95_mm < found.max_mm);
    assert!(found.max_mm < 0.5);
}

/// A ball with a bumpy patch: with the same number of triangles, the patch is nearer to the full
/// mesh when the visitors look at it.
#[test]
fn triangles_are_kept_where_the_visitors_look() {
    let smooth = sphere(200);
    let focus = Focus {
        centre: DVec3::new(0.0, 0.0, 20.0),
        radius_mm: 6.0,
    };
    let positions = smooth.positions().iter().map(|p| {
        let bump = 0.3 * ((p.x * 4.0).sin() * (p.y * 4.0).sin());
        *p * (1.0 + bump / 20.0)
    });
    let mesh = Mesh::new(positions.collect(), smooth.triangles().to_vec()).unwrap();
    let plain = simplify(&mesh, 9000, &[]);
    let looked_at = simplify(&mesh, 9000, &[focus]);
    let inside = |reduced: &Mesh| deviation(&mesh, reduced, &[focus]).inside.unwrap();
    let (without, with) = (inside(&plain), inside(&looked_at));
    assert!(looked_at.triangles().len() <= 9100);
    // Where a distance counts once and a half as much again, it should be about two thirds.
    assert!(
        with.rms_mm < 0.7 * without.rms_mm,
        "{with:?} and {without:?}"
    );
    assert!(
        with.max_mm < 0.8 * without.max_mm,
        "{with:?} and {without:?}"
    );
}

#[test]
fn a_tolerance_is_kept() {
    let mesh = torus(120);
    for most in [0.5, 0.2] {
        let (reduced, measured) = simplify_within(&mesh, &Tree::build(&mesh), most, &[]);
        assert!(measured.whole.max_mm <= most, "{measured:?}");
        let left = reduced.triangles().len();
        assert!(left < mesh.triangles().len() / 3, "{left}");
    }
    // Nothing less than all of it stays within a millionth of a millimetre.
    let (reduced, measured) = simplify_within(&mesh, &Tree::build(&mesh), 1e-6, &[]);
    assert_eq!(reduced.triangles().len(), mesh.triangles().len());
    assert!(measured.whole.max_mm <= 1e-6);
}

/// A ball with a needle of radius 0.05 and length 12: with few triangles left, the needle must not
/// be lost at no cost.
#[test]
fn a_needle_is_not_lost() {
    let ball = sphere(160);
    let needle = turned(
        &[
            (0.0, 0.0),
            (0.05, 0.0),
            (0.04, 4.0),
            (0.03, 8.0),
            (0.0, 12.0),
        ],
        12,
        false,
    );
    let mesh = together(&ball, &moved(&needle, Vec3::Y * 19.9));
    let reduced = simplify(&mesh, 2000, &[]);
    let tip = DVec3::new(0.0, 31.9, 0.0);
    let tree = Tree::build(&reduced);
    assert!(tree.closest(tip).unwrap().distance_mm < 0.5);
    let found = deviation(&mesh, &reduced, &[]).whole;
    assert!(found.max_mm < 1.0, "{found:?}");
}

/// A surface large enough to be cut into blocks stays closed, wherever the blocks meet, and is the
/// same on any number of processors.
#[test]
fn no_seam_opens_between_blocks() {
    let ring = torus(480);
    assert!(ring.triangles().len() > 400_000);
    let reduced = simplify(&ring, 20_000, &[]);
    let measures = counterpart::mesh::measure(&reduced).unwrap();
    assert!(measures.openings.is_empty(), "{:?}", measures.openings);
    assert_eq!(measures.shells.len(), 1);
    assert!(reduced.triangles().len() <= 20_000);
    let strays = deviation(&ring, &reduced, &[]).whole;
    assert!(strays.max_mm < 0.1, "{strays:?}");
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1);
    let again = alone
        .build()
        .unwrap()
        .install(|| simplify(&ring, 20_000, &[]));
    assert_eq!(again.triangles(), reduced.triangles());
    assert_eq!(again.positions(), reduced.positions());
}
