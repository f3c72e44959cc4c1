//! How large the two bodies are, side by side: the boxes around them, and what they enclose.
//!
//! Reckoned when the replica lies on the original, so that height is height on both.

use super::bodies::BodyGeometry;
use super::differences::Basis;
use super::uncertain::{COVERAGE, Contribution, Estimate, How};
use crate::mesh::Volume;
use crate::record::{Body, BodyKind, Object};
use glam::DVec3;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// How large one body is, or by how much one is larger than another.
#[derive(Debug, Clone, PartialEq)]
pub struct Extent {
    /// Width, height and depth of the box around all parts, millimetres; +Y is up.
    pub size_mm: [Estimate; 3],
    /// What the surfaces of all parts enclose, cubic millimetres; `None` when one of them encloses
    /// nothing that could be stated.
    pub volume_mm3: Option<Estimate>,
}

/// How large both bodies are.
#[derive(Debug, Clone, PartialEq)]
pub struct Extents {
    /// By body.
    pub bodies: BTreeMap<BodyKind, Extent>,
    /// Replica less original.
    pub difference: Option<Extent>,
}

/// Measures the bodies as they lie.
pub(super) fn extents(object: &Object, bodies: &BTreeMap<BodyKind, BodyGeometry>) -> Extents {
    let of = |(kind, geometry): (&BodyKind, &BodyGeometry)| {
        let body = object.record.bodies.get(*kind)?;
        Some((*kind, extent(body, geometry)))
    };
    let bodies: BTreeMap<_, _> = bodies.iter().filter_map(of).collect();
    let difference = match (
        bodies.get(&BodyKind::Original),
        bodies.get(&BodyKind::Replica),
    ) {
        (Some(original), Some(replica)) => Some(replica.less(original)),
        _ => None,
    };
    Extents { bodies, difference }
}

fn extent(body: &Body, geometry: &BodyGeometry) -> Extent {
    let scan = body
        .scan
        .as_ref()
        .map(|s| Contribution::certificate("scan", How::Declared, s.uncertainty_mm, COVERAGE));
    // Two ends, independent of one another: √2 times the uncertainty of one point.
    let ends: Vec<Contribution> = scan.iter().map(|s| s.times(2f64.sqrt())).collect();
    let side = |length| Estimate::of(length, Basis::Measured, ends.clone());
    let size: DVec3 = geometry.bounds.size();
    Extent {
        size_mm: size.to_array().map(side),
        volume_mm3: volume(geometry, scan),
    }
}

/// A scan that is off by u everywhere, in or out, changes the volume by u times the area: the worst
/// case, since errors that change sign from place to place take each other away. One scanner saw
/// all parts, so the areas are added up first; openings have nothing to do with one another.
fn volume(geometry: &BodyGeometry, scan: Option<Contribution>) -> Option<Estimate> {
    let (mut volume_mm3, mut area_mm2, mut openings) = (0.0, 0.0, 0f64);
    for part in &geometry.parts {
        let measures = &part.condition.measures;
        let within_mm3 = match measures.volume {
            Volume::Closed { mm3 } => {
                volume_mm3 += mm3.abs();
                0.0
            }
            Volume::Bounded { mm3, within_mm3 } => {
                volume_mm3 += mm3.abs();
                within_mm3
            }
            Volume::Unknown { .. } => return None,
        };
        let hole = Contribution::rectangular("openings", How::Measured, within_mm3);
        openings = openings.hypot(hole.standard);
        area_mm2 += measures.area_mm2;
    }
    // Without a certificate nothing is known of the larger share, and no U is better than half of it.
    let known = scan.map(|s| {
        let mut parts = vec![s.times(area_mm2)];
        if openings > 0.0 {
            parts.push(Contribution::standard("openings", How::Measured, openings));
        }
        parts
    });
    Some(Estimate::of(
        volume_mm3,
        Basis::Measured,
        known.unwrap_or_default(),
    ))
}

/// The difference of two that were measured.
fn less(one: &Estimate, other: &Estimate) -> Estimate {
    Estimate {
        basis: Basis::Measured,
        ..one.less(other, ["replica", "original"])
    }
}

impl Extent {
    fn less(&self, other: &Self) -> Self {
        let [x, y, z] = &self.size_mm;
        let [ox, oy, oz] = &other.size_mm;
        let volumes = self.volume_mm3.as_ref().zip(other.volume_mm3.as_ref());
        Self {
            size_mm: [less(x, ox), less(y, oy), less(z, oz)],
            volume_mm3: volumes.map(|(own, theirs)| less(own, theirs)),
        }
    }

    fn json(&self) -> Value {
        json!({
            "size_mm": self.size_mm.iter().map(Estimate::json).collect::<Vec<_>>(),
            "volume_mm3": self.volume_mm3.as_ref().map(Estimate::json),
        })
    }
}

impl Extents {
    /// All of it as plain data.
    pub fn json(&self) -> Value {
        let bodies = self
            .bodies
            .iter()
            .map(|(kind, e)| (kind.word().to_owned(), e.json()));
        let difference = (
            "difference".to_owned(),
            json!(self.difference.as_ref().map(Extent::json)),
        );
        Value::Object(bodies.chain([difference]).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 3 and 4 make 5; and what is known of one side alone is no uncertainty of both.
    #[test]
    fn a_difference_is_as_sure_as_both_sides() {
        let side = |value, standard: Option<f64>| {
            let parts = standard.map(|s| Contribution::standard("scan", How::Declared, s));
            Estimate::of(value, Basis::Measured, parts.into_iter().collect())
        };
        let both = less(&side(140.5, Some(0.03)), &side(140.0, Some(0.04)));
        assert!((both.value - 0.5).abs() < 1e-12 && (both.expanded() - 0.1).abs() < 1e-12);
        let one = less(&side(140.5, Some(0.03)), &side(140.0, None));
        assert_eq!((one.expanded(), one.rounded()), (0.0, None));
    }
}
