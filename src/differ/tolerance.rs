//! How far two surfaces may lie apart before it counts as a difference.

use serde::{Deserialize, Serialize};

/// One thing that went into a tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Share {
    /// What.
    pub of: Source,
    /// Standard uncertainty, millimetres.
    pub standard_mm: f64,
}

/// Where an uncertainty of a distance comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Source {
    /// The original's scan, from its certificate.
    OriginalCertificate,
    /// The replica's scan, from its certificate.
    ReplicaCertificate,
    /// Noise and grain of the original's points, seen in the points themselves.
    OriginalNoise,
    /// Noise and grain of the replica's points.
    ReplicaNoise,
    /// Flat triangles where the original is round.
    OriginalTriangles,
    /// Flat triangles where the replica is round.
    ReplicaTriangles,
    /// The fit of one on the other.
    Fit,
}

impl Source {
    /// A stable name, for interface words and data.
    pub fn word(self) -> &'static str {
        match self {
            Self::OriginalCertificate => "original-certificate",
            Self::ReplicaCertificate => "replica-certificate",
            Self::OriginalNoise => "original-noise",
            Self::ReplicaNoise => "replica-noise",
            Self::OriginalTriangles => "original-triangles",
            Self::ReplicaTriangles => "replica-triangles",
            Self::Fit => "fit",
        }
    }
}

/// A tolerance with what it is made of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tolerance {
    /// Distances up to this do not count, millimetres.
    pub value_mm: f64,
    /// Whether the keeper stated it; else it is twice the root of the sum of the squares of the
    /// shares (k = 2; JCGM 100:2008, 5.1.2 and 6.2).
    pub stated: bool,
    /// The standard uncertainty of one distance, millimetres.
    pub standard_mm: f64,
    /// What went into it, the largest first.
    pub shares: Vec<Share>,
}

/// Coverage factor: about 95 %.
pub const COVERAGE: f64 = 2.0;

impl Tolerance {
    /// Combines the shares; a stated value stands in place of the derived one. Never below
    /// `floor_mm`, what the numbers of a model file can hold.
    pub fn of(mut shares: Vec<Share>, stated_mm: Option<f64>, floor_mm: f64) -> Self {
        shares.retain(|s| s.standard_mm > 0.0);
        shares.sort_by(|a, b| b.standard_mm.total_cmp(&a.standard_mm));
        let standard_mm = shares
            .iter()
            .map(|s| s.standard_mm * s.standard_mm)
            .sum::<f64>()
            .sqrt();
        Self {
            value_mm: stated_mm.unwrap_or((COVERAGE * standard_mm).max(floor_mm)),
            stated: stated_mm.is_some(),
            standard_mm,
            shares,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Technical Note 1297, section 5: the root of the sum of squares; section 6: times k.
    #[test]
    fn shares_combine_in_quadrature() {
        let share = |of, standard_mm| Share { of, standard_mm };
        let shares = vec![
            share(Source::OriginalCertificate, 0.03 / 3f64.sqrt()),
            share(Source::Fit, 0.012),
            share(Source::ReplicaCertificate, 0.0125),
        ];
        let derived = Tolerance::of(shares.clone(), None, 0.0);
        assert!((derived.standard_mm - 0.0245).abs() < 5e-5);
        assert!((derived.value_mm - 0.049).abs() < 5e-4);
        assert_eq!(Tolerance::of(shares, Some(0.3), 0.0).value_mm, 0.3);
    }
}
