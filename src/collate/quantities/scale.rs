//! Has the model the size of the thing? A distance between two of its points beside the reading
//! of callipers.

use super::Given;
use crate::collate::differences::Basis;
use crate::collate::places::SNAP_MM;
use crate::collate::uncertain::{COVERAGE, Contribution, Estimate, How};
use crate::record::{Body, BodyKind, Caliper, Finding, Findings, LengthUnit, PartId, Severity};
use crate::space::Closest;
use glam::DVec3;
use serde_json::{Value, json};

/// How near the ratio must be to that of two units for a mistaken unit to be likely: well outside
/// what a scanner's scale or shrinkage does, well below the step from one unit to another.
const UNIT_SHARE: f64 = 0.05;

/// One reading of callipers beside the model.
#[derive(Debug, Clone, PartialEq)]
pub struct ScaleCheck {
    /// The body.
    pub body: BodyKind,
    /// Which of the body's readings, in the record's order.
    pub reading: usize,
    /// The part.
    pub part: PartId,
    /// What the callipers read, millimetres.
    pub read_mm: Estimate,
    /// The distance between the two points of the model, millimetres.
    pub model_mm: Estimate,
    /// How far each point was moved to lie on the surface, millimetres.
    pub snapped_mm: [f64; 2],
    /// Model less callipers, millimetres.
    pub difference_mm: Estimate,
    /// Model over callipers: above one, the model is too large.
    pub ratio: Estimate,
    /// Whether the difference is no more than its U. Then it is not shown that they differ.
    pub consistent: bool,
    /// Likely causes of a difference; empty when they are consistent.
    pub causes: Vec<ScaleCause>,
}

/// Why a model may have another size than the thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleCause {
    /// The record names another unit than the model has.
    Unit,
    /// The scanner's scale is off, or the program that joined the scans changed it.
    ScannerScale,
    /// The replica shrank or was built too large or too small.
    Shrinkage,
    /// The callipers were set to other places, or misread.
    Reading,
}

impl ScaleCause {
    /// A stable word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Unit => "unit",
            Self::ScannerScale => "scanner-scale",
            Self::Shrinkage => "shrinkage",
            Self::Reading => "reading",
        }
    }
}

impl ScaleCheck {
    pub(super) fn json(&self) -> Value {
        json!({
            "body": self.body.word(),
            "reading": self.reading,
            "part": self.part.as_str(),
            "read_mm": self.read_mm.json(),
            "model_mm": self.model_mm.json(),
            "snapped_mm": self.snapped_mm,
            "difference_mm": self.difference_mm.json(),
            "ratio": self.ratio.json(),
            "consistent": self.consistent,
            "causes": self.causes.iter().map(|c| c.word()).collect::<Vec<_>>(),
        })
    }
}

/// Checks every reading of every body.
pub(super) fn checks(given: &Given<'_>, findings: &mut Findings) -> Vec<ScaleCheck> {
    let mut found = Vec::new();
    for kind in given.bodies.keys() {
        let Some(body) = given.object.record.bodies.get(*kind) else {
            continue;
        };
        for (number, caliper) in body.calipers.iter().enumerate() {
            let Some(check) = check(given, *kind, body, number, caliper, findings) else {
                continue;
            };
            if !check.consistent {
                report(given, &check, body.scan.is_some(), findings);
            }
            found.push(check);
        }
    }
    found
}

fn check(
    given: &Given<'_>,
    kind: BodyKind,
    body: &Body,
    number: usize,
    caliper: &Caliper,
    findings: &mut Findings,
) -> Option<ScaleCheck> {
    let mut end = |key: &str, point_mm: [f64; 3]| {
        on_surface(given, kind, number, caliper, key, point_mm, findings)
    };
    let (from, to) = (end("from_mm", caliper.from_mm), end("to_mm", caliper.to_mm));
    let (from, to) = (from?, to?);
    let snapped_mm = [from.distance_mm, to.distance_mm];
    // The two ends are independent: √2 times the uncertainty of one point.
    let scan = body.scan.as_ref().map(|s| {
        Contribution::certificate("scan", How::Declared, s.uncertainty_mm, COVERAGE)
            .times(2f64.sqrt())
    });
    let snap = Contribution::rectangular("snap", How::Measured, snapped_mm[0].hypot(snapped_mm[1]));
    let model_mm = Estimate::of(
        from.point.distance(to.point),
        Basis::Measured,
        scan.into_iter().chain([snap]).collect(),
    );
    let callipers =
        Contribution::certificate("callipers", How::Measured, caliper.uncertainty_mm, COVERAGE);
    let read_mm = Estimate::of(caliper.measured_mm, Basis::Measured, vec![callipers]);
    let names = ["model", "callipers"];
    let ratio = model_mm.over(&read_mm, names)?;
    let difference_mm = model_mm.less(&read_mm, names);
    let consistent = difference_mm.is_not_shown();
    Some(ScaleCheck {
        body: kind,
        reading: number,
        part: caliper.part.clone(),
        causes: if consistent {
            Vec::new()
        } else {
            causes(kind, ratio.value)
        },
        read_mm,
        model_mm,
        snapped_mm,
        difference_mm,
        ratio,
        consistent,
    })
}

/// The end of a reading on its part's surface; a finding when it is nowhere near.
fn on_surface(
    given: &Given<'_>,
    kind: BodyKind,
    number: usize,
    caliper: &Caliper,
    key: &str,
    point_mm: [f64; 3],
    findings: &mut Findings,
) -> Option<Closest> {
    let part = given.bodies.get(&kind)?.part(&caliper.part)?;
    let found = part.tree.closest(DVec3::from_array(point_mm))?;
    if found.distance_mm <= SNAP_MM {
        return Some(found);
    }
    let near = found.point.to_array().map(|c| format!("{c:.2}")).join(", ");
    let number = number.to_string();
    findings.push(Finding {
        severity: Severity::Error,
        rule: "calliper-off-surface",
        place: given.place(&["bodies", kind.word(), "calipers", &number, key]),
        what: format!(
            "this end of the reading lies {:.2} mm from the surface of the part ‘{}’; at most {SNAP_MM} mm is allowed",
            found.distance_mm, part.id
        ),
        remedy: format!("the nearest point of the surface is [{near}]; write it, or correct the part"),
    });
    None
}

fn causes(kind: BodyKind, ratio: f64) -> Vec<ScaleCause> {
    let units = [
        LengthUnit::Millimetre,
        LengthUnit::Centimetre,
        LengthUnit::Metre,
        LengthUnit::Inch,
    ];
    let unit = units.iter().any(|a| {
        units
            .iter()
            .any(|b| a != b && (ratio / (a.in_mm() / b.in_mm()) - 1.0).abs() < UNIT_SHARE)
    });
    if unit {
        return vec![ScaleCause::Unit];
    }
    let mut causes = vec![ScaleCause::ScannerScale];
    causes.extend((kind == BodyKind::Replica).then_some(ScaleCause::Shrinkage));
    causes.push(ScaleCause::Reading);
    causes
}

fn report(given: &Given<'_>, check: &ScaleCheck, scan: bool, findings: &mut Findings) {
    let likely = |cause: &ScaleCause| match cause {
        ScaleCause::Unit => "correct ‘unit’ of the part, for the ratio is that of two units",
        ScaleCause::ScannerScale => {
            "ask for the scale factor of the scanner and whether the program that joined the scans kept it"
        }
        ScaleCause::Shrinkage => "ask the print shop whether the part shrank or was scaled",
        ScaleCause::Reading => "set the callipers once more",
    };
    let remedy = check.causes.iter().map(likely).collect::<Vec<_>>();
    let certificate = if scan {
        ""
    } else {
        "; for the model no ‘scan’ states an uncertainty"
    };
    let number = check.reading.to_string();
    let path = [
        "bodies",
        check.body.word(),
        "calipers",
        &number,
        "measured_mm",
    ];
    findings.push(Finding {
        severity: Severity::Advice,
        rule: "model-scale",
        place: given.place(&path),
        what: format!(
            "the callipers read {} mm, and between the same two points the model has {} mm: a ratio of {}, more than the uncertainties (k = 2) allow{certificate}",
            text(&check.read_mm),
            text(&check.model_mm),
            text(&check.ratio),
        ),
        remedy: remedy.join("; or "),
    });
}

/// A number as a finding says it.
fn text(of: &Estimate) -> String {
    match of.rounded() {
        Some(r) => format!("{:.*} ± {:.*}", r.decimals, r.value, r.decimals, r.expanded),
        None => format!("{:.2}", of.value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Inch and millimetre by the agreement of 1959; a linear shrinkage of 2 % is no unit.
    #[test]
    fn a_slip_of_units_is_told_from_a_scale() {
        for ratio in [0.1, 10.0, 1000.0, 25.4, 1.0 / 25.4, 2.54] {
            assert_eq!(
                causes(BodyKind::Original, ratio),
                [ScaleCause::Unit],
                "{ratio}"
            );
        }
        let shrunk = causes(BodyKind::Replica, 0.98);
        assert!(shrunk.contains(&ScaleCause::Shrinkage) && !shrunk.contains(&ScaleCause::Unit));
        assert!(!causes(BodyKind::Original, 0.98).contains(&ScaleCause::Shrinkage));
    }
}
