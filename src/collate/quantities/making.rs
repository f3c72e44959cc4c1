//! Hours and powder, summed over the steps of the making.

use super::Given;
use crate::record::{Finding, Findings, Object, QuantityKind, Severity};
use serde_json::{Value, json};

/// How far parts, supports and scrap together may be from the powder used, as a share of it. A
/// number written with three digits is off by half a unit of the last one, 0.5 in 100 at most; so
/// this much can come from rounding alone.
pub const ADDS_UP: f64 = 0.005;

/// A sum over the steps that state something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Total {
    /// The sum.
    pub value: f64,
    /// How many steps state it.
    pub steps: usize,
}

/// Hours that went into the making, as stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Work {
    /// Hours of people.
    pub people_h: Option<Total>,
    /// Hours that machines ran.
    pub machine_h: Option<Total>,
    /// All steps, whether they state hours or not.
    pub steps: usize,
}

/// Where the powder went, in grams, as stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Powder {
    /// Gone from the store.
    pub used_g: Option<f64>,
    /// In the parts.
    pub parts_g: Option<f64>,
    /// In the supports.
    pub supports_g: Option<f64>,
    /// In neither.
    pub scrap_g: Option<f64>,
    /// Whether parts, supports and scrap make up the powder used; `None` when one of the four is
    /// not stated.
    pub adds_up: Option<bool>,
}

impl Work {
    pub(super) fn json(&self) -> Value {
        let total = |t: Option<Total>| t.map(|t| json!({ "hours": t.value, "steps": t.steps }));
        json!({
            "people": total(self.people_h),
            "machine": total(self.machine_h),
            "steps": self.steps,
        })
    }
}

impl Powder {
    /// What share of the powder used is in the parts, the supports and the scrap.
    pub fn shares(&self) -> [Option<f64>; 3] {
        let used_g = self.used_g.filter(|used| *used > 0.0);
        [self.parts_g, self.supports_g, self.scrap_g].map(|g| Some(g? / used_g?))
    }

    pub(super) fn json(&self) -> Value {
        let [parts, supports, scrap] = self.shares();
        json!({
            "used_g": self.used_g,
            "parts_g": self.parts_g,
            "supports_g": self.supports_g,
            "scrap_g": self.scrap_g,
            "shares": { "parts": parts, "supports": supports, "scrap": scrap },
            "adds_up": self.adds_up,
        })
    }
}

/// Sums the hours of all steps.
pub(super) fn work(object: &Object) -> Work {
    let hours: Vec<f64> = object
        .making
        .iter()
        .filter_map(|s| s.record.hours)
        .collect();
    let people_h = (!hours.is_empty()).then(|| Total {
        value: hours.iter().sum(),
        steps: hours.len(),
    });
    Work {
        people_h,
        machine_h: total(object, QuantityKind::MachineTime),
        steps: object.making.len(),
    }
}

/// The sum of one kind of quantity over all steps; `None` when no step states it.
fn total(object: &Object, kind: QuantityKind) -> Option<Total> {
    let (mut value, mut steps) = (0.0, 0);
    for step in &object.making {
        let here: Vec<f64> = step
            .record
            .quantities
            .iter()
            .filter_map(|q| q.reckoned())
            .filter(|(is, _)| *is == kind)
            .map(|(_, value)| value)
            .collect();
        value += here.iter().sum::<f64>();
        steps += usize::from(!here.is_empty());
    }
    (steps > 0).then_some(Total { value, steps })
}

/// Sums the powder of all steps, and reports when the sums cannot all be right.
pub(super) fn powder(given: &Given<'_>, findings: &mut Findings) -> Option<Powder> {
    let of = |kind| total(given.object, kind).map(|t| t.value);
    let used_g = of(QuantityKind::PowderUsed);
    let went = [
        of(QuantityKind::PartsMass),
        of(QuantityKind::SupportsMass),
        of(QuantityKind::ScrapMass),
    ];
    if used_g.is_none() && went.iter().all(Option::is_none) {
        return None;
    }
    let [parts_g, supports_g, scrap_g] = went;
    let sum_g: f64 = went.iter().flatten().sum();
    let all = went.iter().all(Option::is_some);
    let adds_up = used_g.filter(|_| all).map(|used| balanced(used, sum_g));
    if let Some(used) = used_g {
        // Before all is known, more may not have come out than went in.
        let wrong = adds_up == Some(false) || (!all && sum_g > used * (1.0 + ADDS_UP));
        if wrong {
            report(given, used, sum_g, findings);
        }
    }
    Some(Powder {
        used_g,
        parts_g,
        supports_g,
        scrap_g,
        adds_up,
    })
}

fn balanced(used_g: f64, sum_g: f64) -> bool {
    (used_g - sum_g).abs() <= ADDS_UP * used_g
}

fn report(given: &Given<'_>, used_g: f64, sum_g: f64, findings: &mut Findings) {
    let steps = given.object.making.iter().enumerate();
    let first = steps
        .flat_map(|(s, step)| {
            let quantities = step.record.quantities.iter().enumerate();
            quantities.map(move |(q, quantity)| (s, q, quantity.is))
        })
        .find(|(_, _, is)| *is == Some(QuantityKind::PowderUsed));
    let Some((step, quantity, _)) = first else {
        return;
    };
    findings.push(Finding {
        severity: Severity::Error,
        rule: "powder-sum",
        place: given.place_in_step(step, &["quantities", &quantity.to_string(), "value"]),
        what: format!(
            "powder used is {} g in all, but parts, supports and scrap are {} g in all; rounding explains a difference of {:.1} % at most",
            grams(used_g),
            grams(sum_g),
            ADDS_UP * 100.0
        ),
        remedy: "correct the number that is wrong; what was lost in filters or as spatter belongs to \"scrap-mass\", and powder that was sieved and kept is not used".to_owned(),
    });
}

/// As many decimals as are needed to tell tenths of a gram apart.
fn grams(value: f64) -> String {
    let text = format!("{value:.1}");
    text.trim_end_matches(".0").to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 2000 g used allow 1990 g to 2010 g.
    #[test]
    fn rounding_is_forgiven_and_no_more() {
        for sum_g in [1990.0, 2000.0, 2010.0] {
            assert!(balanced(2000.0, sum_g), "{sum_g}");
        }
        for sum_g in [1989.0, 2011.0] {
            assert!(!balanced(2000.0, sum_g), "{sum_g}");
        }
        assert!(balanced(0.0, 0.0));
    }

    #[test]
    fn shares_are_of_the_powder_used() {
        let powder = Powder {
            used_g: Some(2000.0),
            parts_g: Some(1500.0),
            supports_g: Some(400.0),
            scrap_g: None,
            adds_up: None,
        };
        assert_eq!(powder.shares(), [Some(0.75), Some(0.2), None]);
        let nothing = Powder {
            used_g: Some(0.0),
            ..powder
        };
        assert_eq!(nothing.shares(), [None; 3]);
    }
}
