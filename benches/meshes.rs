//! Times of the mesh work on one range scan, as JSON for benches/against.py to set beside those of
//! other libraries. The first argument is the folder of `./check outside`.

use counterpart::limits::Limits;
use counterpart::mesh::{Mesh, read, weld};
use counterpart::record::{LengthUnit, UpAxis};
use counterpart::reduce::{deviation, simplify};
use counterpart::space::Tree;
use glam::{DVec3, Vec3};
use std::path::Path;
use std::time::Instant;

/// Runs of each, of which the fastest counts.
const RUNS: usize = 3;

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
    println!("{report}");
}
