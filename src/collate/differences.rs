//! Quantities of the two bodies that can be set side by side.

use super::bodies::BodyGeometry;
use crate::record::{Body, Material, MaterialId};
use std::collections::BTreeMap;

/// How a number is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Computed from the scan or read from an instrument.
    Measured,
    /// Stated by the keeper.
    Declared,
    /// Derived from a measurement and an assumption.
    Estimated,
}

impl Basis {
    /// A stable word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Declared => "declared",
            Self::Estimated => "estimated",
        }
    }
}

/// Lowest and highest value that the inputs allow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Lowest.
    pub low: f64,
    /// Highest.
    pub high: f64,
}

/// A mass, or the reason why there is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Read from a scale: value and expanded uncertainty (k = 2), grams.
    Weighed {
        /// Reading, grams.
        value_g: f64,
        /// Expanded uncertainty, grams.
        uncertainty_g: f64,
    },
    /// Volume × density, grams, over the range of densities.
    Estimated(Span),
    /// A part's surface has openings, so it encloses no volume that could be stated.
    Open,
    /// It is not known that all parts are solid, so a volume says nothing about the mass.
    NotKnownSolid,
}

/// The mass of a body: weighed if it was weighed; else volume × density when every part is closed
/// and known to be solid. `volume_mm3 · 10⁻³ = volume_cm3`, and g/cm³ · cm³ = g.
pub fn body_mass_g(
    body: &Body,
    geometry: &BodyGeometry,
    materials: &BTreeMap<MaterialId, Material>,
) -> Amount {
    if let Some(weighed) = &body.weighed_g {
        return Amount::Weighed {
            value_g: weighed.value_g,
            uncertainty_g: weighed.uncertainty_g,
        };
    }
    let mut total = Span {
        low: 0.0,
        high: 0.0,
    };
    for part in &body.parts {
        if part.solid != Some(true) {
            return Amount::NotKnownSolid;
        }
        let Some(found) = geometry.part(&part.id) else {
            return Amount::Open;
        };
        let Some(material) = materials.get(&part.material) else {
            return Amount::NotKnownSolid;
        };
        // The bound of a volume with small openings widens the span.
        let Some((low, high)) = found.condition.measures.volume.span_mm3() else {
            return Amount::Open;
        };
        total.low += low * 1e-3 * material.density_g_per_cm3[0];
        total.high += high * 1e-3 * material.density_g_per_cm3[1];
    }
    Amount::Estimated(total)
}
