//! The mass of one part from its surface, and of several parts of one body.
//!
//! Mass = volume × density, `volume_mm3 · 10⁻³ = volume_cm3`. The volume is that of the model: it
//! knows nothing of hidden voids, cores or fillings.

use crate::collate::bodies::PartGeometry;
use crate::collate::differences::Basis;
use crate::collate::uncertain::{COVERAGE, Contribution, Estimate, How};
use crate::mesh::{Volume, curvature};
use crate::record::{Body, Material, MaterialId, Part};
use std::collections::BTreeMap;

/// How far a wall may be from its stated thickness, as a share of it. Records give one figure for
/// a whole part, and walls are uneven; a tenth is an assumption of ours, no source.
const WALL_SHARE: f64 = 0.1;
/// A wall's volume with a wider bound than this share says too little to be stated.
const WIDEST: f64 = 0.2;

/// Why no mass can be reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoMass {
    /// The surface encloses no volume that could be stated.
    Open,
    /// It is not known whether the part is solid.
    NotKnownSolid,
    /// It is a shell, and nobody says how thick.
    WallNotKnown,
    /// The stated wall does not fit inside the part, or its edges are too sharp for it.
    WallTooThick,
}

impl NoMass {
    /// A stable word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::NotKnownSolid => "not-known-solid",
            Self::WallNotKnown => "wall-not-known",
            Self::WallTooThick => "wall-too-thick",
        }
    }
}

/// The space that metal fills in one part, in mm³, with what makes it uncertain.
struct Filled {
    volume_mm3: f64,
    contributions: Vec<Contribution>,
}

/// The mass of one part, in grams.
pub(super) fn part_mass_g(
    part: &Part,
    body: &Body,
    geometry: &PartGeometry,
    material: &Material,
) -> Result<Estimate, NoMass> {
    let scan_mm = body
        .scan
        .as_ref()
        .map(|s| Contribution::certificate("scan", How::Declared, s.uncertainty_mm, COVERAGE));
    let filled = match (part.solid, part.wall_mm) {
        (Some(true), _) => solid(geometry, scan_mm)?,
        (Some(false), Some(wall_mm)) => shell(geometry, wall_mm, scan_mm)?,
        (Some(false), None) => return Err(NoMass::WallNotKnown),
        (None, _) => return Err(NoMass::NotKnownSolid),
    };
    let [low, high] = material.density_g_per_cm3;
    let density = f64::midpoint(low, high);
    let volume_cm3 = filled.volume_mm3 * 1e-3;
    let mut contributions = vec![
        Contribution::rectangular("density", How::Declared, (high - low) / 2.0).times(volume_cm3),
    ];
    let per_mm3 = density * 1e-3;
    contributions.extend(filled.contributions.iter().map(|c| c.times(per_mm3)));
    contributions.retain(|c| c.standard > 0.0);
    Ok(Estimate::of(
        volume_cm3 * density,
        Basis::Estimated,
        contributions,
    ))
}

/// A solid part fills its surface. A scan that is off by u everywhere, in or out, changes the
/// volume by u times the area: the worst case, since errors that change sign from place to place
/// take each other away.
fn solid(geometry: &PartGeometry, scan_mm: Option<Contribution>) -> Result<Filled, NoMass> {
    let m = &geometry.condition.measures;
    let (volume_mm3, openings_mm3) = stated(m.volume)?;
    let openings = Contribution::rectangular("openings", How::Measured, openings_mm3);
    let scan = scan_mm.map(|c| c.times(m.area_mm2));
    Ok(Filled {
        volume_mm3,
        contributions: scan.into_iter().chain([openings]).collect(),
    })
}

/// A shell fills the wall along its surface. Where the surface moves out by u and the wall stays
/// as thick, the volume grows by u times the difference of the outer and the inner area.
fn shell(
    geometry: &PartGeometry,
    wall_mm: f64,
    scan_mm: Option<Contribution>,
) -> Result<Filled, NoMass> {
    let m = &geometry.condition.measures;
    let (whole_mm3, openings_mm3) = stated(m.volume)?;
    let bent = curvature(&geometry.mesh).ok_or(NoMass::Open)?;
    let wall = bent.wall(m.area_mm2, wall_mm);
    if wall.inner_area_mm2 <= 0.0
        || wall.volume_mm3 <= 0.0
        || wall.volume_mm3 > whole_mm3
        || wall.within_mm3 > WIDEST * wall.volume_mm3
    {
        return Err(NoMass::WallTooThick);
    }
    let scan = scan_mm.map(|c| c.times(m.area_mm2 - wall.inner_area_mm2));
    let others = [
        Contribution::rectangular("wall", How::Assumed, WALL_SHARE * wall_mm)
            .times(wall.inner_area_mm2),
        Contribution::rectangular("sharp-edges", How::Measured, wall.within_mm3),
        // What is missing of the surface lacks its wall too, but never more than a solid there.
        Contribution::rectangular("openings", How::Measured, openings_mm3),
    ];
    Ok(Filled {
        volume_mm3: wall.volume_mm3,
        contributions: scan.into_iter().chain(others).collect(),
    })
}

fn stated(volume: Volume) -> Result<(f64, f64), NoMass> {
    match volume {
        Volume::Closed { mm3 } => Ok((mm3.abs(), 0.0)),
        Volume::Bounded { mm3, within_mm3 } => Ok((mm3.abs(), within_mm3)),
        Volume::Unknown { .. } => Err(NoMass::Open),
    }
}

/// The sum of the parts of one body. What is wrong with one part for the same reason as with
/// another moves with it and is added up plainly (GUM 5.2.2, note 1): the density of one
/// material, the scanner, our assumption about walls. The rest is independent from part to part.
pub(super) fn sum<'m>(parts: impl Iterator<Item = (&'m MaterialId, &'m Estimate)>) -> Estimate {
    let mut total_g = 0.0;
    let mut together: BTreeMap<(&'static str, Option<&MaterialId>, usize), Contribution> =
        BTreeMap::new();
    for (number, (material, mass)) in parts.enumerate() {
        total_g += mass.value;
        for c in &mass.contributions {
            let key = match c.name {
                "density" => (c.name, Some(material), 0),
                "scan" | "wall" => (c.name, None, 0),
                _ => (c.name, None, number),
            };
            together
                .entry(key)
                .and_modify(|sum| sum.standard += c.standard)
                .or_insert(*c);
        }
    }
    // One line for each name: what is left under a name is independent.
    let mut named: BTreeMap<&'static str, Contribution> = BTreeMap::new();
    for ((name, ..), c) in together {
        named
            .entry(name)
            .and_modify(|sum| sum.standard = sum.standard.hypot(c.standard))
            .or_insert(c);
    }
    Estimate::of(total_g, Basis::Estimated, named.into_values().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 3 and 4 make 7 where they move together, and 5 where they do not (GUM 5.2.2).
    #[test]
    fn what_moves_together_is_added_up_first() {
        let part = |name, standard| {
            let one = Contribution::standard(name, How::Declared, standard);
            Estimate::of(100.0, Basis::Estimated, vec![one])
        };
        let (bell, iron): (MaterialId, MaterialId) =
            ("bell".parse().unwrap(), "iron".parse().unwrap());
        let total = |name, other: &MaterialId| {
            let (a, b) = (part(name, 3.0), part(name, 4.0));
            let sum = sum([(&bell, &a), (other, &b)].into_iter());
            assert_eq!((sum.value, sum.contributions.len()), (200.0, 1));
            sum.standard
        };
        assert_eq!(total("density", &bell), 7.0);
        assert_eq!(total("density", &iron), 5.0);
        assert_eq!(total("scan", &iron), 7.0);
        assert_eq!(total("openings", &bell), 5.0);
    }
}
