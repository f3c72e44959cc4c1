//! Reads one model, measures it and makes three levels of it:
//! `cargo run --release --example levels -- MODEL UNIT`, UNIT one of mm cm m in.

use counterpart::collate::Condition;
use counterpart::limits::Limits;
use counterpart::mesh;
use counterpart::record::{LengthUnit, UpAxis};
use counterpart::reduce::{deviation, simplify};
use counterpart::space::Tree;
use std::path::Path;
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [model, unit] = arguments.as_slice() else {
        return Err("name a model and its unit: mm, cm, m or in".into());
    };
    let unit = match unit.as_str() {
        "mm" => LengthUnit::Millimetre,
        "cm" => LengthUnit::Centimetre,
        "m" => LengthUnit::Metre,
        "in" => LengthUnit::Inch,
        other => return Err(format!("‘{other}’ is not a unit: write mm, cm, m or in").into()),
    };
    let start = Instant::now();
    let step = |done: u32, what: &str| {
        let bar = "#".repeat(done as usize) + &".".repeat(6 - done as usize);
        println!("[{bar}] {:6.1} s  {what}", start.elapsed().as_secs_f64());
    };
    step(0, "reading");
    let scan = mesh::read(Path::new(model), unit, UpAxis::Y, &Limits::default())?;
    step(
        1,
        &format!("{} triangles; building the tree", scan.triangles().len()),
    );
    let tree = Tree::build(&scan);
    step(2, "measuring");
    let condition = Condition::of(&scan, &tree).ok_or("a mesh without triangles")?;
    println!(
        "         {:.1} mm² of surface, {} openings, {} shells, {} doubled skins, {} crossings",
        condition.measures.area_mm2,
        condition.measures.openings.len(),
        condition.measures.shells.len(),
        condition.doubled.len(),
        condition.crossings.len()
    );
    drop(condition);
    for (done, triangles) in (3..).zip([200_000, 80_000, 20_000]) {
        step(done, &format!("level of {triangles} triangles"));
        let level = simplify(&scan, triangles, &[]);
        let strays = deviation(&scan, &tree, &level, &[]).whole;
        println!(
            "         {} triangles, nowhere more than {:.4} mm off, RMS {:.4} mm",
            level.triangles().len(),
            strays.max_mm,
            strays.rms_mm
        );
    }
    step(6, "done");
    Ok(())
}
