//! The condition of a part's surface: what it measures, and what is wrong with it.

use crate::mesh::{self, Bounds, Measures, Mesh, Spot, Volume, whole};
use crate::space::{Crossing, Doubled, Tree, crossings, doubled_skins};
use serde_json::{Value, json};

/// A piece with less than this share of the area is scan noise, not a part of the object.
const ISLAND: f64 = 0.01;
/// Longest side of an object that needs no second look, millimetres: from a seal to a tomb.
const USUAL_MM: std::ops::RangeInclusive<f64> = 3.0..=3000.0;
/// Sides that a museum object mostly has, millimetres.
pub(crate) const LIKELY_MM: std::ops::RangeInclusive<f64> = 10.0..=1000.0;

/// Crossings of fewer triangles are folds as small as the noise of a scan: listed, not mentioned.
const FOLD: usize = 24;

/// Everything measured on one part.
#[derive(Debug, Clone)]
pub struct Condition {
    /// Extent, volume, connections.
    pub measures: Measures,
    /// Patches that lie on one another.
    pub doubled: Vec<Doubled>,
    /// Places where the surface passes through itself.
    pub crossings: Vec<Crossing>,
}

/// A flaw that the keeper should know of.
#[derive(Debug, Clone, PartialEq)]
pub struct Flaw {
    /// Stable short name of the rule, as in findings.
    pub rule: &'static str,
    /// What is wrong, a clause.
    pub what: String,
    /// What to do, a clause.
    pub remedy: &'static str,
}

impl Condition {
    /// Examines a surface. `None` never occurs for a mesh with a triangle; see [`Mesh::bounds`].
    pub fn of(mesh: &Mesh, tree: &Tree) -> Option<Self> {
        let measures = mesh::measure(mesh)?;
        Some(Self {
            doubled: doubled_skins(mesh, tree, measures.mean_edge_mm),
            crossings: crossings(mesh, tree),
            measures,
        })
    }

    /// Small pieces that float apart from the rest.
    pub fn islands(&self) -> &[mesh::Shell] {
        let shells = &self.measures.shells;
        let main = shells
            .iter()
            .take_while(|s| s.area_mm2 >= ISLAND * self.measures.area_mm2)
            .count();
        &shells[main.max(1).min(shells.len())..]
    }

    /// Flaws worth a word. `needs_volume` says that a mass depends on the volume.
    pub fn flaws(&self, needs_volume: bool) -> Vec<Flaw> {
        let m = &self.measures;
        let mut found = Vec::new();
        let mut flaw = |rule, what: String, remedy| found.push(Flaw { rule, what, remedy });
        if let Some(what) = unlikely_size(m.bounds.size().max_element()) {
            flaw(
                "model-size",
                what,
                "correct ‘unit’ in the record of the part, or leave it if the object is so large or small",
            );
        }
        if let [first, ..] = self.islands() {
            let count = self.islands().len();
            flaw(
                "scan-noise",
                format!(
                    "{count} small pieces float apart from the rest, the largest {}",
                    at(&first.spot)
                ),
                "delete them in the program that joined the scans, if they are noise",
            );
        }
        if let [first, ..] = m.edges.non_manifold.as_slice() {
            let count = m.edges.non_manifold.len();
            flaw(
                "non-manifold",
                format!(
                    "three or more triangles meet at {count} edges, for example {}",
                    at(first)
                ),
                "mend the model where they meet; until then it has no volume",
            );
        }
        if let [first, ..] = m.edges.ill_wound.as_slice() {
            let count = m.edges.ill_wound.len();
            flaw(
                "ill-wound",
                format!(
                    "neighbouring triangles face opposite ways at {count} edges, for example {}",
                    at(first)
                ),
                "make all triangles face outward; until then the model has no volume",
            );
        }
        if matches!(m.volume, Volume::Closed { mm3 } if mm3 < 0.0) {
            flaw(
                "inside-out",
                "the surface is inside out: its triangles face inward".to_owned(),
                "turn all triangles about, and export the model again",
            );
        }
        if let [first, ..] = self.doubled.as_slice() {
            let count = self.doubled.len();
            flaw(
                "doubled-skin",
                format!(
                    "{count} patches of surface lie on one another, the largest {:.1} mm² and {:.2} mm apart, {}",
                    first.area_mm2,
                    first.apart_mm,
                    at(&first.spot)
                ),
                "align the scans again, or join the layers; a plain surface scanned in pieces slips easily",
            );
        }
        let worth_a_word = self.crossings.iter().filter(|c| c.triangles >= FOLD);
        if let Some(first) = worth_a_word.clone().next() {
            let count = worth_a_word.count();
            flaw(
                "self-crossing",
                format!(
                    "the surface passes through itself in {count} places, for example {}",
                    at(&first.spot)
                ),
                "mend the model there, or join overlapping solids into one",
            );
        }
        if let (true, Volume::Unknown { why }, [first, ..]) =
            (needs_volume, m.volume, m.openings.as_slice())
        {
            flaw(
                "no-volume",
                format!(
                    "{why}, so no mass can be worked out; the surface has {} openings, the longest with an edge of {:.1} mm, {}",
                    m.openings.len(),
                    first.length_mm,
                    at(&first.spot)
                ),
                "weigh the body and write weighed_g, or close the openings in the model",
            );
        }
        found
    }

    /// All of it as plain data. Lengths, areas and volumes in millimetres and their powers.
    pub fn json(&self) -> Value {
        let m = &self.measures;
        let spots = |list: &[Spot]| list.iter().map(spot).collect::<Vec<_>>();
        json!({
            "vertices": m.vertices,
            "triangles": m.triangles,
            "triangles_per_mm2": m.density_per_mm2(),
            "mean_edge_mm": m.mean_edge_mm,
            "bounds_mm": bounds(&m.bounds),
            "area_mm2": m.area_mm2,
            "volume": volume(m.volume),
            "centroid_mm": m.solid.map(|s| s.centroid.to_array()),
            "inertia_unit_density_mm5": m.solid.map(|s| s.inertia.to_cols_array_2d()),
            "closed": m.is_closed(),
            "openings": m.openings.iter().map(|o| with(spot(&o.spot), &json!({
                "length_mm": o.length_mm, "area_mm2": o.area_mm2, "edges": o.edges,
            }))).collect::<Vec<_>>(),
            "shells": m.shells.iter().map(|s| with(spot(&s.spot), &json!({
                "triangles": s.triangles, "area_mm2": s.area_mm2,
            }))).collect::<Vec<_>>(),
            "islands": self.islands().len(),
            "non_manifold_edges": spots(&m.edges.non_manifold),
            "ill_wound_edges": spots(&m.edges.ill_wound),
            "degenerate_triangles": spots(&m.edges.degenerate),
            "duplicate_triangles": spots(&m.edges.duplicate),
            "doubled_skins": self.doubled.iter().map(|d| with(spot(&d.spot), &json!({
                "triangles": d.triangles, "area_mm2": d.area_mm2, "apart_mm": d.apart_mm,
            }))).collect::<Vec<_>>(),
            "self_crossings": self.crossings.iter().map(|c| with(spot(&c.spot), &json!({
                "triangles": c.triangles,
            }))).collect::<Vec<_>>(),
        })
    }
}

/// The parts of a body taken together, as plain data; null when there are none.
pub(crate) fn whole_json<'a>(parts: impl Iterator<Item = &'a Condition>) -> Value {
    let parts: Vec<&Measures> = parts.map(|c| &c.measures).collect();
    let Some(m) = whole(&parts) else {
        return Value::Null;
    };
    json!({
        "vertices": m.vertices,
        "triangles": m.triangles,
        "bounds_mm": bounds(&m.bounds),
        "area_mm2": m.area_mm2,
        "volume": volume(m.volume),
        "centroid_mm": m.solid.map(|s| s.centroid.to_array()),
        "inertia_unit_density_mm5": m.solid.map(|s| s.inertia.to_cols_array_2d()),
        "closed": m.closed,
        "openings": { "count": m.openings.0, "length_mm": m.openings.1 },
        "shells": m.shells,
    })
}

fn bounds(of: &Bounds) -> Value {
    json!({ "min": of.min.to_array(), "max": of.max.to_array() })
}

fn volume(of: Volume) -> Value {
    match of {
        Volume::Closed { mm3 } => json!({ "mm3": mm3, "basis": "closed surface" }),
        Volume::Bounded { mm3, within_mm3 } => json!({
            "mm3": mm3, "within_mm3": within_mm3,
            "basis": "openings closed flat; the bound is half a ball over each",
        }),
        Volume::Unknown { why } => json!({ "basis": "none", "why": why }),
    }
}

fn spot(spot: &Spot) -> Value {
    json!({ "centre_mm": spot.centre.to_array(), "radius_mm": spot.radius_mm })
}

fn with(mut one: Value, other: &Value) -> Value {
    if let (Value::Object(into), Value::Object(from)) = (&mut one, other) {
        into.extend(from.clone());
    }
    one
}

fn at(spot: &Spot) -> String {
    let [x, y, z] = spot.centre.to_array();
    format!("at ({x:.1}, {y:.1}, {z:.1}) mm")
}

/// Says so when a longest side of this many millimetres is far from what museums keep.
fn unlikely_size(longest_mm: f64) -> Option<String> {
    if USUAL_MM.contains(&longest_mm) {
        return None;
    }
    let units = [
        ("millimetres", 1.0),
        ("centimetres", 10.0),
        ("inches", 25.4),
        ("metres", 1000.0),
    ];
    // A slip from one unit to another multiplies by the ratio of the two.
    let guess = units.iter().find_map(|(from, a)| {
        units.iter().find_map(|(to, b)| {
            (LIKELY_MM.contains(&(longest_mm / a * b)) && from != to)
                .then(|| format!("; were {from} written where {to} were meant?"))
        })
    });
    Some(format!(
        "its longest side is {}{}",
        length(longest_mm),
        guess.unwrap_or_default()
    ))
}

fn length(mm: f64) -> String {
    if mm >= 1000.0 {
        format!("{:.2} m", mm / 1000.0)
    } else {
        format!("{mm:.3} mm")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mortar_of_four_metres_is_asked_about() {
        assert_eq!(unlikely_size(180.0), None);
        assert_eq!(unlikely_size(2500.0), None);
        let huge = unlikely_size(180_000.0).unwrap();
        assert!(
            huge.contains("180.00 m") && huge.contains("were metres written where millimetres"),
            "{huge}"
        );
        let tiny = unlikely_size(0.18).unwrap();
        assert!(
            tiny.contains("0.180 mm") && tiny.contains("were millimetres written where metres"),
            "{tiny}"
        );
    }
}
