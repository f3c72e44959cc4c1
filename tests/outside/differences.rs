//! Comparison of the dragon against Open3D's distances and against volumes by the divergence
//! theorem (NumPy).

use crate::pairs::{Pair, Ready, floats, pairs};
use counterpart::align::{Pose, Start, Surface, Wish, align};
use counterpart::differ::{Band, Comparison, Sureness, compare};
use glam::DVec3;

/// Compares with a tolerance of twice what the surfaces say of their own noise and roundness.
fn differences(original: &Surface<'_>, replica: &Surface<'_>, pose: &Pose) -> (Comparison, f64) {
    let (g, h) = (original.grain(), replica.grain());
    let noise_mm =
        (g.noise_mm.powi(2) + h.noise_mm.powi(2) + g.sagitta_mm.powi(2) + h.sagitta_mm.powi(2))
            .sqrt();
    println!("{g:?} {h:?}");
    let band = Band {
        tolerance_mm: 2.0 * noise_mm,
        coating_mm: [0.0; 2],
    };
    let sure = Sureness {
        noise_mm,
        shared_mm: 0.0,
    };
    (
        compare(original, replica, pose, &band, &sure),
        band.tolerance_mm,
    )
}

fn laid(original: &Surface<'_>, replica: &Surface<'_>, pair: &Pair) -> Pose {
    let wish = Wish {
        start: Start::Near(pair.start()),
        fit_scale: false,
        pairs: Vec::new(),
        repeats: 0,
    };
    align(replica, original, &wish).pose
}

/// Open3D asks Embree in single precision, and so are the points that it is asked.
#[test]
fn distances_of_all_vertices_agree_with_open3d() {
    let said = pairs();
    let (original, replica) = (Ready::read("original"), Ready::read("noisy"));
    let (fixed, moving) = (original.surface(), replica.surface());
    let (found, _) = differences(&fixed, &moving, &said.noisy.start());
    for (name, field) in [("there.f32", &found.replica), ("home.f32", &found.original)] {
        let theirs = floats(name);
        assert_eq!(field.signed_mm.len(), theirs.len());
        let apart = field.signed_mm.iter().zip(&theirs);
        let worst = apart.map(|(a, b)| (a.abs() - b).abs()).fold(0.0, f64::max);
        let mean = theirs.iter().sum::<f64>() / theirs.len() as f64;
        println!(
            "{name}: worst {worst:e} mm, of {mean} mm in the mean and a diagonal of {} mm",
            said.diagonal_mm
        );
        assert!(mean > 0.3, "nothing to be compared");
        assert!(worst < 1e-6 * said.diagonal_mm, "{name}: {worst} mm");
    }
}

/// Two pads, two dents and a broken tip, under noise of a fifth to a sixth of their height.
#[test]
fn differences_on_a_scan_have_their_volume() {
    let said = pairs();
    let (original, replica) = (Ready::read("original"), Ready::read("changed"));
    let (fixed, moving) = (original.surface(), replica.surface());
    let pose = laid(&fixed, &moving, &said.changed);
    let (found, tolerance) = differences(&fixed, &moving, &pose);
    println!("tolerance {tolerance} mm, {:?}", found.specks);
    for r in &found.regions {
        println!(
            "{:?} {:.2} ± {:.2} mm³ at {:.1}, {:.2} mm",
            r.kind, r.volume_mm3, r.volume_expanded_mm3, r.centre, r.max_mm
        );
    }
    for known in &said.differences {
        let place = DVec3::from_array(known.place);
        let near = found
            .regions
            .iter()
            .find(|r| r.spot.centre.distance(place) < r.spot.radius_mm);
        let region = near.unwrap_or_else(|| panic!("nothing {} at {place}", known.kind));
        let off = region.volume_mm3 / known.volume_mm3 - 1.0;
        println!(
            "{} {:.2} of {:.2} mm³ ({:+.2} %)",
            known.kind,
            region.volume_mm3,
            known.volume_mm3,
            100.0 * off
        );
        assert_eq!(region.kind.word(), known.kind);
        assert!(
            off.abs() < 0.02,
            "{} of {}",
            region.volume_mm3,
            known.volume_mm3
        );
        assert!(region.max_mm > known.depth_mm - 3.0 * said.noise_mm);
    }
    assert_eq!(found.regions.len(), said.differences.len());
}

#[test]
fn other_triangles_and_noise_are_no_differences_on_a_scan() {
    let said = pairs();
    let original = Ready::read("original");
    let fixed = original.surface();
    for (name, pair) in [
        ("noisy", &said.noisy),
        ("split", &said.split),
        ("fewer", &said.fewer),
    ] {
        let replica = Ready::read(name);
        let moving = replica.surface();
        let pose = laid(&fixed, &moving, pair);
        let (found, tolerance) = differences(&fixed, &moving, &pose);
        println!("{name}: tolerance {tolerance:.3} mm, {:?}", found.specks);
        for r in &found.regions {
            println!(
                "{:?} {:.2} ± {:.2} mm³ at {:.1}, {:.2} mm",
                r.kind, r.volume_mm3, r.volume_expanded_mm3, r.centre, r.max_mm
            );
        }
        assert!(
            found.regions.is_empty(),
            "{name}: {} regions",
            found.regions.len()
        );
    }
}
