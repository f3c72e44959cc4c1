//! Layers of a printed part: its height along the build over the thickness of a layer.

use super::Given;
use crate::collate::bodies::PartGeometry;
use crate::collate::differences::Basis;
use crate::collate::uncertain::{COVERAGE, Contribution, Estimate, How};
use crate::record::{
    BodyKind, Finding, Findings, ObjectRecord, PartId, QuantityKind, Severity, StepId, StepRecord,
};
use glam::DVec3;
use serde_json::{Value, json};

/// The layers of one part, as it was turned for the build, supports not counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Layers {
    /// The step in which it was built.
    pub step: StepId,
    /// The part.
    pub part: PartId,
    /// Its height along the build, millimetres, from the model.
    pub height_mm: Estimate,
    /// Thickness of one layer as stated, micrometres.
    pub thickness_um: f64,
    /// How many.
    pub count: u64,
    /// Fewest and most that the uncertainty of the height (k = 2) allows; `None` when nothing is
    /// known of it.
    pub between: Option<[u64; 2]>,
}

impl Layers {
    pub(super) fn json(&self) -> Value {
        json!({
            "step": self.step.as_str(),
            "part": self.part.as_str(),
            "height_mm": self.height_mm.json(),
            "thickness_um": self.thickness_um,
            "count": self.count,
            "between": self.between,
        })
    }
}

/// How many layers make a height: the next whole number above their quotient, the height taken in
/// whole micrometres, as the coordinates of a model carry no more, and the layer in whole
/// nanometres. `None` for a height or layer that is not above zero.
pub fn count_layers(height_mm: f64, thickness_um: f64) -> Option<u64> {
    let height_um = whole(height_mm * 1000.0)?;
    let thickness_nm = whole(thickness_um * 1000.0)?;
    Some((height_um * 1000).div_ceil(thickness_nm))
}

/// The nearest whole number, if it is above zero and so small that nothing is lost.
fn whole(value: f64) -> Option<u64> {
    let rounded = value.round();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 1 and 10^12"
    )]
    (1.0..1e12).contains(&rounded).then_some(rounded as u64)
}

/// Layers of every part of the replica, when one step tells how it was built.
pub(super) fn layers(given: &Given<'_>, findings: &mut Findings) -> Vec<Layers> {
    let built = |record: &StepRecord| {
        let layer = record.quantities.iter().enumerate().find_map(|(i, q)| {
            let (kind, value) = q.reckoned()?;
            (kind == QuantityKind::LayerThickness).then_some((i, value))
        })?;
        Some((layer, record.build_up?))
    };
    let steps = &given.object.making;
    let mut found = steps
        .iter()
        .enumerate()
        .filter_map(|(i, s)| Some((i, built(&s.record)?)));
    let Some((step, ((_, thickness_um), build_up))) = found.next() else {
        return Vec::new();
    };
    if let Some((other, ((number, _), _))) = found.next() {
        findings.push(Finding {
            severity: Severity::Advice,
            rule: "layers-of-two-builds",
            place: given.place_in_step(other, &["quantities", &number.to_string(), "is"]),
            what: format!(
                "two steps, ‘{}’ and ‘{}’, state a layer thickness, and nothing tells which part was built in which; so no layers are counted",
                steps[step].id, steps[other].id
            ),
            remedy: "leave ‘is’ out of one of the two".to_owned(),
        });
        return Vec::new();
    }
    let Some(up) = DVec3::from_array(build_up).try_normalize() else {
        return Vec::new(); // Three zeros: reading has reported it.
    };
    let parts = given.bodies.get(&BodyKind::Replica);
    parts
        .iter()
        .flat_map(|b| &b.parts)
        .filter_map(|part| {
            let height_mm = Estimate::of(
                height_mm(part, up),
                Basis::Measured,
                uncertain(&given.object.record),
            );
            let count = |height_mm| count_layers(height_mm, thickness_um);
            let (value, most) = (height_mm.value, height_mm.expanded());
            Some(Layers {
                step: steps[step].id.clone(),
                part: part.id.clone(),
                thickness_um,
                count: count(value)?,
                between: (most > 0.0)
                    .then(|| Some([count(value - most)?, count(value + most)?]))
                    .flatten(),
                height_mm,
            })
        })
        .collect()
}

/// What makes the built height uncertain: the two ends of the scan, and the finish. A model made
/// by scanning has it at both ends, one made for the machine has not, and no record says which.
fn uncertain(record: &ObjectRecord) -> Vec<Contribution> {
    let scan = record.bodies.replica.as_ref().and_then(|b| b.scan.as_ref());
    let scan = scan.map(|s| {
        Contribution::certificate("scan", How::Declared, s.uncertainty_mm, COVERAGE)
            .times(2f64.sqrt())
    });
    let finish = record
        .collation
        .coating_mm
        .map(|[_, most]| Contribution::rectangular("coating", How::Declared, 2.0 * most));
    scan.into_iter().chain(finish).collect()
}

fn height_mm(part: &PartGeometry, up: DVec3) -> f64 {
    let positions = part.mesh.positions();
    let (low, high) = part
        .mesh
        .triangles()
        .iter()
        .flatten()
        .map(|&i| positions[i as usize].as_dvec3().dot(up))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
            (low.min(at), high.max(at))
        });
    high - low
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 4350 layers of 30 µm are 130.5 mm exactly, and so on by division (common practice, no
    /// source: height over layer thickness, the last layer counted whole).
    #[test]
    fn layers_are_counted_whole() {
        for (height_mm, thickness_um, count) in [
            (130.5, 30.0, 4350),
            (130.5, 50.0, 2610),
            (130.5, 60.0, 2175),
            (130.51, 30.0, 4351),
            // What single precision makes of 130.5 and of 130.1: no layer more.
            (f64::from(130.499_99_f32), 30.0, 4350),
            (f64::from(130.1_f32), 20.0, 6505),
            (1.0, 12.5, 80),
            (0.001, 30.0, 1),
        ] {
            assert_eq!(
                count_layers(height_mm, thickness_um),
                Some(count),
                "{height_mm}"
            );
        }
        assert_eq!(count_layers(0.0, 30.0), None);
        assert_eq!(count_layers(130.5, 0.0), None);
        assert_eq!(count_layers(f64::NAN, 30.0), None);
    }
}
