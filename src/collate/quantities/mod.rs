//! What can be reckoned about an object: masses, layers, hours, powder, and whether the models
//! have the size that callipers found.
//!
//! Takes the object and its geometry; hands on [`Quantities`], every number with its uncertainty
//! or its reason for being absent, and findings where what the keeper wrote cannot all be so.

mod layers;
mod making;
mod mass;
mod pieces;
mod scale;

pub use layers::{Layers, count_layers};
pub use making::{ADDS_UP, Powder, Total, Work};
pub use mass::{BodyMass, MassReason, PartMass, Weighing};
pub use pieces::NoMass;
pub use scale::{ScaleCause, ScaleCheck};

use super::bodies::BodyGeometry;
use super::uncertain::Estimate;
use crate::record::{BodyKind, Findings, Object, Place, Sources, content_name};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;

/// All that was reckoned of one object.
#[derive(Debug, Clone)]
pub struct Quantities {
    /// Masses by body.
    pub masses: BTreeMap<BodyKind, BodyMass>,
    /// Mass of the replica over that of the original, each as weighed or else as reckoned.
    pub mass_ratio: Option<Estimate>,
    /// Mass of the replica less that of the original, from the same two, grams.
    pub mass_difference_g: Option<Estimate>,
    /// Layers of each printed part.
    pub layers: Vec<Layers>,
    /// Hours of people and of machines.
    pub work: Work,
    /// Where the powder went; `None` when no step speaks of it.
    pub powder: Option<Powder>,
    /// Every calliper reading beside the model.
    pub scale: Vec<ScaleCheck>,
}

/// What every part of the reckoning needs.
struct Given<'g> {
    root: &'g Path,
    object: &'g Object,
    bodies: &'g BTreeMap<BodyKind, BodyGeometry>,
    sources: &'g Sources,
}

impl Given<'_> {
    /// A place in the object's record.
    fn place(&self, path: &[&str]) -> Place {
        let record = content_name(self.root, &self.object.folder.join("record.toml"));
        self.sources.place_of(&record, path)
    }

    /// A place in the record of one step.
    fn place_in_step(&self, step: usize, path: &[&str]) -> Place {
        let folder = &self.object.making[step].folder;
        let record = content_name(self.root, &folder.join("record.toml"));
        self.sources.place_of(&record, path)
    }
}

/// Reckons everything that the records and the geometry of an object allow.
pub fn quantities(
    root: &Path,
    object: &Object,
    bodies: &BTreeMap<BodyKind, BodyGeometry>,
    sources: &Sources,
) -> (Quantities, Findings) {
    let given = Given {
        root,
        object,
        bodies,
        sources,
    };
    let mut findings = Findings::none();
    let masses = mass::masses(&given);
    let quantities = Quantities {
        mass_ratio: mass::ratio(&masses),
        mass_difference_g: mass::difference(&masses),
        masses,
        layers: layers::layers(&given, &mut findings),
        work: making::work(object),
        powder: making::powder(&given, &mut findings),
        scale: scale::checks(&given, &mut findings),
    };
    (quantities, findings)
}

impl Quantities {
    /// All of it as plain data.
    pub fn json(&self) -> Value {
        let masses = self
            .masses
            .iter()
            .map(|(kind, mass)| (kind.word().to_owned(), mass.json()));
        json!({
            "masses_g": Value::Object(masses.collect()),
            "mass_ratio": self.mass_ratio.as_ref().map(Estimate::json),
            "mass_difference_g": self.mass_difference_g.as_ref().map(Estimate::json),
            "layers": self.layers.iter().map(Layers::json).collect::<Vec<_>>(),
            "work": self.work.json(),
            "powder": self.powder.as_ref().map(Powder::json),
            "scale": self.scale.iter().map(ScaleCheck::json).collect::<Vec<_>>(),
        })
    }
}
