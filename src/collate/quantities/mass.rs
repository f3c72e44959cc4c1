//! Masses of the bodies: reckoned from the models, beside the scale's reading where there is one.

use super::Given;
use super::pieces::{self, NoMass};
use crate::collate::differences::Basis;
use crate::collate::uncertain::{COVERAGE, Contribution, Estimate, How};
use crate::record::{Body, BodyKind, PartId};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The mass of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartMass {
    /// Which part.
    pub part: PartId,
    /// Volume × density in grams, or why there is none.
    pub reckoned_g: Result<Estimate, NoMass>,
}

/// The mass of one body.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyMass {
    /// Its parts, in the record's order.
    pub parts: Vec<PartMass>,
    /// Sum over the parts, grams, when each has a mass.
    pub reckoned_g: Option<Estimate>,
    /// Reading of a scale, grams.
    pub weighed_g: Option<Estimate>,
    /// The two beside each other.
    pub weighing: Option<Weighing>,
}

/// A weighed mass beside a reckoned one.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighing {
    /// Weighed less reckoned, grams.
    pub difference_g: Estimate,
    /// Whether the difference is no more than its U. Then it is not shown that they differ.
    pub consistent: bool,
    /// What can have made them differ; empty when they are consistent.
    pub reasons: Vec<MassReason>,
}

/// Why a body may be lighter or heavier than its model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MassReason {
    /// Voids inside: pores, casting flaws, powder-bed gaps.
    HiddenVoids,
    /// A core of lighter stuff, such as clay, left inside.
    LighterCore,
    /// A part that is taken for solid is a shell.
    ShellTakenForSolid,
    /// A heavier filling, such as lead.
    HeavierFilling,
    /// The metal is another alloy than was assumed.
    OtherAlloy,
    /// The wall of a shell is thinner or thicker than stated.
    OtherWall,
    /// The model is not as large as the body: a mass goes with the cube of the size.
    SizeOfModel,
}

impl MassReason {
    /// A stable word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::HiddenVoids => "hidden-voids",
            Self::LighterCore => "lighter-core",
            Self::ShellTakenForSolid => "shell-taken-for-solid",
            Self::HeavierFilling => "heavier-filling",
            Self::OtherAlloy => "other-alloy",
            Self::OtherWall => "other-wall",
            Self::SizeOfModel => "size-of-model",
        }
    }
}

impl BodyMass {
    /// The mass to be told: weighed, else reckoned.
    pub fn best_g(&self) -> Option<&Estimate> {
        self.weighed_g.as_ref().or(self.reckoned_g.as_ref())
    }

    /// All of it as plain data.
    pub(super) fn json(&self) -> Value {
        let parts = self.parts.iter().map(|p| {
            let mass = match &p.reckoned_g {
                Ok(mass) => mass.json(),
                Err(why) => json!({ "none": why.word() }),
            };
            (p.part.to_string(), mass)
        });
        json!({
            "parts": Value::Object(parts.collect()),
            "reckoned": self.reckoned_g.as_ref().map(Estimate::json),
            "weighed": self.weighed_g.as_ref().map(Estimate::json),
            "weighing": self.weighing.as_ref().map(|w| json!({
                "difference": w.difference_g.json(),
                "consistent": w.consistent,
                "reasons": w.reasons.iter().map(|r| r.word()).collect::<Vec<_>>(),
            })),
        })
    }
}

/// Masses of all bodies.
pub(super) fn masses(given: &Given<'_>) -> BTreeMap<BodyKind, BodyMass> {
    let of = |kind: &BodyKind| Some((*kind, mass(given, *kind)?));
    given.bodies.keys().filter_map(of).collect()
}

fn mass(given: &Given<'_>, kind: BodyKind) -> Option<BodyMass> {
    let record = &given.object.record;
    let body = record.bodies.get(kind)?;
    let geometry = given.bodies.get(&kind)?;
    let mut parts = Vec::new();
    for part in &body.parts {
        let reckoned_g = match (
            geometry.part(&part.id),
            record.materials.get(&part.material),
        ) {
            (Some(found), Some(material)) => pieces::part_mass_g(part, body, found, material),
            // Reading refuses a part without a material, and a body without a model has no geometry.
            _ => Err(NoMass::Open),
        };
        parts.push(PartMass {
            part: part.id.clone(),
            reckoned_g,
        });
    }
    let whole = !parts.is_empty() && parts.iter().all(|p| p.reckoned_g.is_ok());
    let each = body
        .parts
        .iter()
        .zip(&parts)
        .filter_map(|(p, m)| Some((&p.material, m.reckoned_g.as_ref().ok()?)));
    let reckoned_g = whole.then(|| pieces::sum(each));
    let weighed_g = body.weighed_g.as_ref().map(|w| {
        let scale = Contribution::certificate("scale", How::Measured, w.uncertainty_g, COVERAGE);
        Estimate::of(w.value_g, Basis::Measured, vec![scale])
    });
    let weighing = match (&weighed_g, &reckoned_g) {
        (Some(weighed), Some(reckoned)) => Some(compare(weighed, reckoned, body)),
        _ => None,
    };
    Some(BodyMass {
        parts,
        reckoned_g,
        weighed_g,
        weighing,
    })
}

fn compare(weighed: &Estimate, reckoned: &Estimate, body: &Body) -> Weighing {
    let difference_g = weighed.less(reckoned, ["weighed", "reckoned"]);
    let consistent = difference_g.is_not_shown();
    let mut reasons = Vec::new();
    if !consistent {
        let solid = body.parts.iter().any(|p| p.solid == Some(true));
        if difference_g.value < 0.0 {
            reasons.extend([MassReason::HiddenVoids, MassReason::LighterCore]);
            reasons.extend(solid.then_some(MassReason::ShellTakenForSolid));
        } else {
            reasons.push(MassReason::HeavierFilling);
        }
        reasons.push(MassReason::OtherAlloy);
        let shell = body.parts.iter().any(|p| p.solid == Some(false));
        reasons.extend(shell.then_some(MassReason::OtherWall));
        reasons.push(MassReason::SizeOfModel);
    }
    Weighing {
        difference_g,
        consistent,
        reasons,
    }
}

/// Replica less original, grams.
pub(super) fn difference(masses: &BTreeMap<BodyKind, BodyMass>) -> Option<Estimate> {
    let of = |kind| masses.get(&kind).and_then(BodyMass::best_g);
    let (original, replica) = (of(BodyKind::Original)?, of(BodyKind::Replica)?);
    Some(replica.less(original, ["mass-of-replica", "mass-of-original"]))
}

/// Replica over original. Where both are reckoned from scans of one scanner, their errors partly
/// take each other away; leaving that out makes the uncertainty larger, not smaller.
pub(super) fn ratio(masses: &BTreeMap<BodyKind, BodyMass>) -> Option<Estimate> {
    let of = |kind| masses.get(&kind).and_then(BodyMass::best_g);
    let (original, replica) = (of(BodyKind::Original)?, of(BodyKind::Replica)?);
    replica.over(original, ["mass-of-replica", "mass-of-original"])
}
