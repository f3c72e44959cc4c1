//! Several parts taken as one body.

use super::{Measures, Solid, Volume};
use crate::mesh::Bounds;
use glam::{DMat3, DVec3};

/// What a body is in numbers. Parts that pass into one another are counted in full, each.
#[derive(Debug, Clone)]
pub struct Whole {
    /// Vertices that triangles use.
    pub vertices: usize,
    /// Triangles.
    pub triangles: usize,
    /// Upright box around all parts, millimetres.
    pub bounds: Bounds,
    /// Area, square millimetres.
    pub area_mm2: f64,
    /// Sum of the volumes; the bounds add up. Unknown when that of any part is.
    pub volume: Volume,
    /// Mass properties, when every part is closed.
    pub solid: Option<Solid>,
    /// Whether every part is closed.
    pub closed: bool,
    /// Openings of all parts, and the sum of their lengths, millimetres.
    pub openings: (usize, f64),
    /// Connected pieces of all parts.
    pub shells: usize,
}

/// Adds up the measures of parts. `None` when there are none.
pub fn whole(parts: &[&Measures]) -> Option<Whole> {
    let bounds = parts.iter().map(|m| m.bounds).reduce(Bounds::union)?;
    let openings = parts.iter().flat_map(|m| &m.openings);
    Some(Whole {
        vertices: parts.iter().map(|m| m.vertices).sum(),
        triangles: parts.iter().map(|m| m.triangles).sum(),
        bounds,
        area_mm2: parts.iter().map(|m| m.area_mm2).sum(),
        volume: parts
            .iter()
            .map(|m| m.volume)
            .reduce(sum)
            .unwrap_or(Volume::Closed { mm3: 0.0 }),
        solid: parts
            .iter()
            .map(|m| m.solid)
            .collect::<Option<Vec<_>>>()
            .map(|solids| joined(&solids)),
        closed: parts.iter().all(|m| m.is_closed()),
        openings: (
            openings.clone().count(),
            openings.map(|o| o.length_mm).sum(),
        ),
        shells: parts.iter().map(|m| m.shells.len()).sum(),
    })
}

fn sum(one: Volume, other: Volume) -> Volume {
    let with_bound = |volume: Volume| match volume {
        Volume::Closed { mm3 } => Some((mm3, 0.0)),
        Volume::Bounded { mm3, within_mm3 } => Some((mm3, within_mm3)),
        Volume::Unknown { .. } => None,
    };
    match (one, other, with_bound(one), with_bound(other)) {
        (Volume::Closed { mm3: a }, Volume::Closed { mm3: b }, ..) => Volume::Closed { mm3: a + b },
        (_, _, Some((a, within_a)), Some((b, within_b))) => Volume::Bounded {
            mm3: a + b,
            within_mm3: within_a + within_b,
        },
        _ => Volume::Unknown {
            why: "of one part no volume can be stated",
        },
    }
}

/// Inertia about the common centroid by the theorem of parallel axes (Huygens and Steiner; Goldstein,
/// *Classical Mechanics*, section 5.3).
fn joined(solids: &[Solid]) -> Solid {
    let volume_mm3: f64 = solids.iter().map(|s| s.volume_mm3).sum();
    let first: DVec3 = solids.iter().map(|s| s.centroid * s.volume_mm3).sum();
    let centroid = if volume_mm3 == 0.0 {
        DVec3::ZERO
    } else {
        first / volume_mm3
    };
    let inertia = solids.iter().fold(DMat3::ZERO, |sum, s| {
        let d = s.centroid - centroid;
        let outer = DMat3::from_cols(d * d.x, d * d.y, d * d.z);
        let moved = (DMat3::IDENTITY * d.length_squared() - outer) * s.volume_mm3;
        sum + s.inertia + moved
    });
    Solid {
        volume_mm3,
        centroid,
        inertia,
    }
}
