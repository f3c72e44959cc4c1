//! Alignment of the dragon against known motions and Open3D's point-to-plane registration, and of
//! pairs of points against NumPy's singular value decomposition.

use crate::pairs::{Pair, Ready, pairs};
use counterpart::align::{Pose, Start, Surface, Wish, align, from_pairs};
use counterpart::differ::{Band, Comparison, Sureness, compare};
use glam::{DMat3, DVec3};

fn wish(start: Start) -> Wish {
    Wish {
        start,
        fit_scale: false,
        pairs: Vec::new(),
        repeats: 0,
    }
}

/// Greatest and root mean square distance by which a pose puts the vertices elsewhere.
fn astray(found: &Pose, truth: &Pose, replica: &Ready) -> (f64, f64) {
    let all = replica.mesh.positions();
    let (most, sum) = all
        .iter()
        .map(|p| {
            found
                .point(p.as_dvec3())
                .distance(truth.point(p.as_dvec3()))
        })
        .fold((0.0f64, 0.0), |(m, s), d| (m.max(d), s + d * d));
    (most, (sum / all.len() as f64).sqrt())
}

fn plain(original: &Surface<'_>, replica: &Surface<'_>, pose: &Pose) -> Comparison {
    let band = Band {
        tolerance_mm: f64::INFINITY,
        coating_mm: [0.0; 2],
    };
    let sure = Sureness {
        noise_mm: 0.0,
        shared_mm: 0.0,
    };
    compare(original, replica, pose, &band, &sure)
}

/// What a fit leaves, measured as make_pairs.py measures Open3D's: closest distances over the
/// vertices of both.
fn left_mm(original: &Surface<'_>, replica: &Surface<'_>, pose: &Pose) -> f64 {
    let found = plain(original, replica, pose);
    let all = || {
        [&found.original, &found.replica]
            .into_iter()
            .flat_map(|f| &f.signed_mm)
    };
    (all().map(|d| d * d).sum::<f64>() / all().count() as f64).sqrt()
}

#[test]
fn a_moved_scan_is_brought_back() {
    let said = pairs();
    let (original, replica) = (Ready::read("original"), Ready::read("moved"));
    let (fixed, moving) = (original.surface(), replica.surface());
    let truth = said.moved.truth();
    for start in [Start::Near(said.moved.start()), Start::Nothing] {
        let found = align(&moving, &fixed, &wish(start));
        let (most, _) = astray(&found.pose, &truth, &replica);
        println!("moved dragon, {start:?}: {most:e} mm astray at most");
        assert!(most < 1e-6 * said.diagonal_mm, "{most} mm astray");
        assert!(found.determined(), "{:#?}", found.directions);
    }
}

/// Open3D is given a hundred steps, vertices and their normals, and all pairs within 4 mm.
#[test]
fn noise_is_fitted_as_well_as_open3d_does() {
    let said = pairs();
    let original = Ready::read("original");
    let fixed = original.surface();
    for (name, pair) in [("noisy", &said.noisy), ("split", &said.split)] {
        let replica = Ready::read(name);
        let moving = replica.surface();
        let found = align(&moving, &fixed, &wish(Start::Near(pair.start())));
        let (most, off) = astray(&found.pose, &pair.truth(), &replica);
        let left = left_mm(&fixed, &moving, &found.pose);
        println!(
            "{name} dragon: {off:.2e} mm astray (at most {most:.2e}), said {:.2e}; left {left:.6} mm, Open3D {:.6}",
            found.at_points_mm, pair.rms_mm
        );
        assert!(
            off < 3.0 * found.at_points_mm,
            "{name}: {off} and {}",
            found.at_points_mm
        );
        assert!(found.at_points_mm < said.noise_mm, "{name}: says nothing");
        assert!(
            left < 1.001 * pair.rms_mm,
            "{name}: {left} and {}",
            pair.rms_mm
        );
    }
}

/// Pads, dents and what is broken off do not pull: least squares over all pairs are drawn away.
#[test]
fn differences_do_not_pull_the_fit() {
    let said = pairs();
    let (original, replica) = (Ready::read("original"), Ready::read("changed"));
    let pair: &Pair = &said.changed;
    let found = align(
        &replica.surface(),
        &original.surface(),
        &wish(Start::Near(pair.start())),
    );
    let (most, off) = astray(&found.pose, &pair.truth(), &replica);
    println!(
        "changed dragon: {off:.2e} mm astray (at most {most:.2e}), said {:.2e}",
        found.at_points_mm
    );
    assert!(
        off < 3.0 * found.at_points_mm,
        "{off} and {}",
        found.at_points_mm
    );
}

#[test]
fn pairs_of_points_as_numpy_fits_them() {
    let sets = pairs().sets;
    assert_eq!(sets.len(), 50);
    for set in &sets {
        let points = |all: &[[f64; 3]]| {
            all.iter()
                .map(|p| DVec3::from_array(*p))
                .collect::<Vec<_>>()
        };
        let both: Vec<(DVec3, DVec3)> =
            points(&set.from).into_iter().zip(points(&set.to)).collect();
        let found = from_pairs(&both, false).unwrap();
        let theirs = DMat3::from_cols_array_2d(&set.turn).transpose();
        let turn = DMat3::from_quat(found.pose.turn);
        let apart = (turn - theirs)
            .to_cols_array()
            .map(f64::abs)
            .into_iter()
            .fold(0.0, f64::max);
        assert!(apart < 1e-9, "turns differ by {apart}");
        assert!((turn.determinant() - 1.0).abs() < 1e-12);
        let shift = DVec3::from_array(set.shift);
        assert!(found.pose.shift.distance(shift) < 1e-9 * shift.length().max(100.0));
        // What is left of an exact motion is rounding alone.
        assert!((found.rms_mm - set.rms_mm).abs() < 1e-9 * (1.0 + set.rms_mm));
        for (ours, known) in found.singular.iter().zip(set.singular) {
            assert!(
                (ours - known).abs() < 1e-9 * set.singular[0],
                "{ours} and {known}"
            );
        }
    }
}
