//! What a scan measures and what is wrong with it, said as soon as it is there.

use crate::collate::{Condition, Flaw, LIKELY_MM};
use crate::limits::Limits;
use crate::mesh::{self, MeshError, Volume};
use crate::progress::Listener;
use crate::record::{LengthUnit, UpAxis};
use crate::space::Tree;
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// One scan, measured.
#[derive(Debug)]
pub struct Scan {
    /// Width, height and depth, millimetres; the second is upward.
    pub size_mm: [f64; 3],
    /// All that was measured.
    pub condition: Condition,
    /// What is wrong with it.
    pub flaws: Vec<Flaw>,
}

/// A unit in which the numbers of a scan may be meant.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct UnitChoice {
    /// The unit.
    pub unit: LengthUnit,
    /// The longest side would then be so many millimetres.
    pub longest_mm: f64,
    /// Whether most objects in museums are about as large: ten millimetres to a metre.
    pub likely: bool,
}

/// Pieces of work that `look` tells of.
const WORK: usize = 3;

/// Reads a scan and measures it.
///
/// # Errors
/// As for [`mesh::read`].
pub fn look(
    path: &Path,
    unit: LengthUnit,
    up: UpAxis,
    limits: &Limits,
    listener: &dyn Listener,
) -> Result<Scan, MeshError> {
    listener.progress(0, WORK, "reading the scan");
    let mesh = mesh::read(path, unit, up, limits)?;
    listener.progress(1, WORK, "sorting its triangles");
    let tree = Tree::build(&mesh);
    listener.progress(2, WORK, "measuring it, and looking for flaws");
    let condition = Condition::of(&mesh, &tree).ok_or_else(MeshError::empty)?;
    listener.progress(WORK, WORK, "measured");
    Ok(Scan {
        size_mm: condition.measures.bounds.size().to_array(),
        flaws: condition.flaws(true),
        condition,
    })
}

/// In which units a scan may have been saved, the likely ones first. A format that states its unit
/// leaves no choice.
///
/// # Errors
/// As for [`mesh::read`], when it can be read in no unit.
pub fn unit_choices(path: &Path, limits: &Limits) -> Result<Vec<UnitChoice>, MeshError> {
    use LengthUnit::{Centimetre, Inch, Metre, Millimetre};
    use mesh::Format;
    let all = [Millimetre, Centimetre, Metre, Inch];
    let format = Format::of(path);
    let (mut found, mut fault) = (None, MeshError::empty());
    for unit in if format == Some(Format::Gltf) {
        &[Metre][..]
    } else {
        &all[..]
    } {
        match mesh::read(path, *unit, UpAxis::Y, limits) {
            Ok(mesh) => {
                found = mesh.bounds().map(|b| (*unit, b.size().max_element()));
                break;
            }
            Err(error) => fault = error,
        }
        // Only 3MF is read in one unit and not in another.
        if format != Some(Format::ThreeMf) {
            break;
        }
    }
    let (read, longest) = found.ok_or(fault)?;
    let stated = matches!(format, Some(Format::Gltf | Format::ThreeMf));
    let mut choices: Vec<UnitChoice> = all
        .into_iter()
        .filter(|unit| !stated || *unit == read)
        .map(|unit| {
            let longest_mm = longest / read.in_mm() * unit.in_mm();
            let likely = LIKELY_MM.contains(&longest_mm);
            UnitChoice {
                unit,
                longest_mm,
                likely,
            }
        })
        .collect();
    choices.sort_by_key(|c| !c.likely);
    Ok(choices)
}

impl Scan {
    /// In plain words, a line each.
    pub fn plain(&self) -> String {
        let m = &self.condition.measures;
        let [width, height, depth] = self.size_mm;
        let mut out = format!(
            "{width:.1} mm wide, {height:.1} mm high, {depth:.1} mm deep; {} triangles, {:.1} cm² of surface\n",
            m.triangles,
            m.area_mm2 / 100.0
        );
        let _ = match m.volume {
            Volume::Closed { mm3 } => writeln!(
                out,
                "closed, with a volume of {:.2} cm³",
                mm3.abs() / 1000.0
            ),
            Volume::Bounded { mm3, within_mm3 } => writeln!(
                out,
                "{} openings; with these closed flat, a volume of {:.2} cm³, give or take {:.2} cm³ (half a ball over each)",
                m.openings.len(),
                mm3 / 1000.0,
                within_mm3 / 1000.0
            ),
            Volume::Unknown { why } => writeln!(out, "no volume: {why}"),
        };
        for flaw in &self.flaws {
            let _ = writeln!(out, "flaw: {}; {}", flaw.what, flaw.remedy);
        }
        if self.flaws.is_empty() {
            out.push_str("no flaw was found\n");
        }
        out
    }

    /// As plain data.
    pub fn json(&self) -> serde_json::Value {
        let flaws = self.flaws.iter();
        let flaws = flaws
            .map(|f| serde_json::json!({ "rule": f.rule, "what": f.what, "remedy": f.remedy }));
        serde_json::json!({
            "size_mm": self.size_mm,
            "measures": self.condition.json(),
            "flaws": flaws.collect::<Vec<_>>(),
        })
    }
}
