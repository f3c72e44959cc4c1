//! Times of the mesh work on one range scan, as JSON for benches/against.py to set beside those of
//! other libraries. The first argument is the folder of `./check outside`.

use counterpart::align::{Fit, Pose, Start, Surface, Wish, align};
use counterpart::differ::{Band, Comparison, Sureness, compare};
use counterpart::limits::Limits;
use counterpart::mesh::{Mesh, read, weld};
use counterpart::record::{LengthUnit, UpAxis};
use counterpart::reduce::{deviation, simplify};
use counterpart::space::{Sides, Tree};
use glam::{DMat3, DQuat, DVec3, Vec3};
use rayon::prelude::*;
use std::path::Path;
use std::time::Instant;

/// Runs of each, of which the fastest counts.
const RUNS: usize = 5;

fn timed<T>(mut work: impl FnMut() -> T) -> (f64, T) {
    let mut best = f64::INFINITY;
    let mut last = None;
    for _ in 0..RUNS {
        let start = Instant::now();
        let result = work();
        best = best.min(start.elapsed().as_secs_f64());
        last = Some(result);
    }
    (best, last.expect("at least one run"))
}

/// Two bodies, and how the replica truly lies, as benches/against.py wrote them.
struct Pair {
    original: Mesh,
    replica: Mesh,
    truth: Pose,
    near: Pose,
}

impl Pair {
    fn read(folder: &Path) -> Self {
        let mesh = |name: &str| {
            let path = folder.join(name);
            read(&path, LengthUnit::Millimetre, UpAxis::Y, &Limits::default()).expect("a body")
        };
        let text = std::fs::read_to_string(folder.join("motions.json")).expect("two motions");
        let motions: serde_json::Value = serde_json::from_str(&text).expect("two motions");
        let pose = |name: &str| {
            let at =
                |row: usize, column: usize| motions[name][row][column].as_f64().expect("4 × 4");
            let column = |k| DVec3::new(at(0, k), at(1, k), at(2, k));
            let turn = DMat3::from_cols(column(0), column(1), column(2));
            Pose {
                scale: 1.0,
                turn: DQuat::from_mat3(&turn).normalize(),
                shift: column(3),
            }
        };
        Self {
            original: mesh("body.ply"),
            replica: mesh("copy.ply"),
            truth: pose("truth"),
            near: pose("near"),
        }
    }

    /// What `counterpart collate` does with two meshes, once they are read: trees and sides, the
    /// fit with its repeats, distances both ways and regions.
    fn collated(&self, start: Start) -> (Fit, Comparison) {
        let (first, second) = rayon::join(
            || (Tree::build(&self.original), Sides::of(&self.original)),
            || (Tree::build(&self.replica), Sides::of(&self.replica)),
        );
        let fixed = Surface::of(&self.original, &first.0, &first.1).expect("a surface");
        let moving = Surface::of(&self.replica, &second.0, &second.1).expect("a surface");
        let wish = Wish {
            start,
            fit_scale: false,
            pairs: Vec::new(),
            repeats: 6,
        };
        let fit = align(&moving, &fixed, &wish);
        let noise_mm = fixed.grain().noise_mm.hypot(moving.grain().noise_mm);
        let band = Band {
            tolerance_mm: 2.0 * noise_mm.hypot(fixed.grain().sagitta_mm),
            coating_mm: [0.0; 2],
        };
        let sure = Sureness {
            noise_mm,
            shared_mm: fit.along_normals_mm,
        };
        let comparison = compare(&fixed, &moving, &fit.pose, &band, &sure);
        comparison
            .original
            .summary(-band.tolerance_mm, band.tolerance_mm);
        comparison
            .replica
            .summary(-band.tolerance_mm, band.tolerance_mm);
        (fit, comparison)
    }

    /// Seconds, how far the vertices come to lie from where they belong (root mean square), and what
    /// was found.
    fn report(&self, start: Start) -> serde_json::Value {
        let (seconds, (fit, comparison)) = timed(|| self.collated(start));
        let all = self.replica.positions();
        let squares = all.iter().map(|p| {
            let p = p.as_dvec3();
            fit.pose.point(p).distance_squared(self.truth.point(p))
        });
        serde_json::json!({
            "seconds": seconds,
            "astray_mm": (squares.sum::<f64>() / all.len() as f64).sqrt(),
            "regions_mm3": comparison.regions.iter().map(|r| r.volume_mm3).collect::<Vec<_>>(),
        })
    }
}

/// Rays as benches/against.py wrote them, metres there: where from, and which way.
fn rays(path: &Path) -> Vec<(DVec3, DVec3)> {
    let bytes = std::fs::read(path).expect("rays");
    let numbers: Vec<f32> = (bytes.as_chunks::<4>().0.iter())
        .map(|b| f32::from_le_bytes(*b))
        .collect();
    let point = |n: &[f32]| Vec3::from_slice(n).as_dvec3();
    (numbers.as_chunks::<6>().0.iter())
        .map(|ray| (point(&ray[..3]) * 1000.0, point(&ray[3..])))
        .collect()
}

/// First hits of a picture's rays, and whether anything stands before each of the others.
fn traced(folder: &Path, tree: &Tree) -> serde_json::Value {
    let primary = rays(&folder.join("primary.f32"));
    let (primary_s, hits) = timed(|| {
        let all = primary.par_iter().map(|(from, way)| tree.ray(*from, *way));
        all.collect::<Vec<_>>()
    });
    let shade = rays(&folder.join("shade.f32"));
    let (shade_s, shaded) = timed(|| {
        let all = shade
            .par_iter()
            .map(|(from, way)| tree.blocked(*from, *way, f64::INFINITY));
        all.collect::<Vec<_>>()
    });
    serde_json::json!({
        "primary_s": primary_s, "met": hits.iter().flatten().count(),
        "shade_s": shade_s, "shaded": shaded.iter().filter(|s| **s).count(),
    })
}

fn main() {
    let Some(folder) = std::env::args().skip(1).find(|a| !a.starts_with("--")) else {
        println!("run benches/against, which names the folder of files");
        return;
    };
    let folder = Path::new(&folder);
    let path = folder.join("dragon.ply");
    let (read_s, mesh) =
        timed(|| read(&path, LengthUnit::Metre, UpAxis::Y, &Limits::default()).expect("a scan"));
    let welded = weld(&mesh);
    let mesh = Mesh::new(welded.places, welded.triangles).expect("the same scan");
    let (build_s, tree) = timed(|| Tree::build(&mesh));
    let points: Vec<DVec3> = std::fs::read(folder.join("near.f32"))
        .expect("points near the surface")
        .as_chunks::<12>()
        .0
        .iter()
        .map(|p| {
            let [x, y, z] =
                std::array::from_fn(|k| f32::from_le_bytes(std::array::from_fn(|i| p[4 * k + i])));
            Vec3::new(x, y, z).as_dvec3() * 1000.0
        })
        .collect();
    let (closest_s, sum) = timed(|| {
        tree.closest_of_many(&points)
            .iter()
            .flatten()
            .map(|c| c.distance_mm)
            .sum::<f64>()
    });
    let mut report = serde_json::json!({
        "read_s": read_s, "build_s": build_s, "closest_s": closest_s,
        "mean_distance_mm": sum / points.len() as f64,
    });
    if let (Some(report), serde_json::Value::Object(more)) =
        (report.as_object_mut(), traced(folder, &tree))
    {
        report.extend(more);
    }
    if std::env::args().any(|a| a == "--rays") {
        println!("{report}");
        return;
    }
    for budget in [100_000, 20_000] {
        let (seconds, reduced) = timed(|| simplify(&mesh, budget, &[]));
        let places: Vec<u8> = reduced
            .positions()
            .iter()
            .flat_map(|p| p.to_array())
            .flat_map(f32::to_le_bytes)
            .collect();
        let faces: Vec<u8> = reduced
            .triangles()
            .iter()
            .flatten()
            .flat_map(|i| i.to_le_bytes())
            .collect();
        std::fs::write(folder.join(format!("reduced-{budget}.f32")), places)
            .expect("it is written");
        std::fs::write(folder.join(format!("reduced-{budget}.u32")), faces).expect("it is written");
        let start = Instant::now();
        let measured = deviation(&mesh, &tree, &reduced, &[]).whole;
        report[format!("simplify_{budget}_s")] = seconds.into();
        report[format!("deviation_{budget}_s")] = start.elapsed().as_secs_f64().into();
        report[format!("deviation_{budget}_max_mm")] = measured.max_mm.into();
        report[format!("deviation_{budget}_rms_mm")] = measured.rms_mm.into();
    }
    let pair = Pair::read(folder);
    report["collate_near"] = pair.report(Start::Near(pair.near));
    report["collate_nothing"] = pair.report(Start::Nothing);
    println!("{report}");
}
