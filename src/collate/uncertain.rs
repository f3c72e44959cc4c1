//! A number with what is known about its uncertainty, after the *Guide to the expression of
//! uncertainty in measurement* (JCGM 100:2008, the GUM; NIST Technical Note 1297 says the same
//! more briefly).
//!
//! Independent contributions add in quadrature, each times its sensitivity (GUM 5.1.2). What moves
//! together, such as the density of one metal in two parts, is added up first by whoever knows it.

use super::differences::Basis;
use serde_json::{Value, json};

/// Coverage factor of every expanded uncertainty that is stated: about 95 % for a normal law.
pub const COVERAGE: f64 = 2.0;

/// How a contribution is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// Stated by the keeper or a certificate.
    Declared,
    /// Found by measuring here.
    Measured,
    /// Neither: a considered guess of the program's.
    Assumed,
}

impl How {
    /// A stable word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Declared => "declared",
            Self::Measured => "measured",
            Self::Assumed => "assumed",
        }
    }
}

/// One source of uncertainty, in the unit of the result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contribution {
    /// Stable key, for words in each language: `density`.
    pub name: &'static str,
    /// Standard uncertainty that it brings to the result.
    pub standard: f64,
    /// How it is known.
    pub how: How,
}

impl Contribution {
    /// A standard uncertainty as it is.
    pub fn standard(name: &'static str, how: How, standard: f64) -> Self {
        let standard = standard.abs();
        Self {
            name,
            standard,
            how,
        }
    }

    /// Anywhere within plus or minus `half_width`, all equally likely: a/√3 (GUM 4.3.7).
    pub fn rectangular(name: &'static str, how: How, half_width: f64) -> Self {
        Self::standard(name, how, half_width / 3f64.sqrt())
    }

    /// An expanded uncertainty with its coverage factor, as certificates state it: U/k (GUM 4.3.3).
    pub fn certificate(name: &'static str, how: How, expanded: f64, coverage: f64) -> Self {
        Self::standard(name, how, expanded / coverage)
    }

    /// The mean of repeated readings: s/√n (GUM 4.2.3). `None` for fewer than two readings, which
    /// show no scatter. With few readings twice this covers less than 95 % (GUM G.3.2).
    pub fn repeated(name: &'static str, readings: &[f64]) -> Option<Self> {
        if readings.len() < 2 {
            return None;
        }
        #[expect(clippy::cast_precision_loss, reason = "counts of readings")]
        let n = readings.len() as f64;
        let mean = readings.iter().sum::<f64>() / n;
        let squares: f64 = readings.iter().map(|r| (r - mean).powi(2)).sum();
        let scatter = (squares / (n - 1.0)).sqrt();
        Some(Self::standard(name, How::Measured, scatter / n.sqrt()))
    }

    /// The same, where the result moves by `sensitivity` when its cause moves by one (GUM 5.1.3).
    #[must_use]
    pub fn times(self, sensitivity: f64) -> Self {
        Self::standard(self.name, self.how, self.standard * sensitivity)
    }
}

/// A value, its combined standard uncertainty, and from what that comes.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// Best value.
    pub value: f64,
    /// Combined standard uncertainty, in the unit of the value; zero when nothing is known of it.
    pub standard: f64,
    /// What it is made up of, independent of one another.
    pub contributions: Vec<Contribution>,
    /// How the value is known.
    pub basis: Basis,
}

/// An estimate as it may be stated: no more digits than are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rounded {
    /// The value.
    pub value: f64,
    /// Expanded uncertainty (k = 2).
    pub expanded: f64,
    /// Decimals with which both are written.
    pub decimals: usize,
}

impl Rounded {
    /// The value to the place of its uncertainty; `None` without an uncertainty to go by.
    pub fn of(value: f64, expanded: f64) -> Option<Self> {
        if !(expanded.is_finite() && expanded > 0.0 && value.is_finite()) {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, reason = "exponents of doubles")]
        let exponent = expanded.log10().floor() as i32;
        let last = exponent - 1;
        let digits = (expanded / 10f64.powi(last)).round();
        // 99.6 becomes 100: three digits, of which two are zeros.
        let last = if digits % 100.0 == 0.0 {
            last + 2
        } else if digits % 10.0 == 0.0 {
            last + 1
        } else {
            last
        };
        Some(Self {
            value: to_place(value, last),
            expanded: to_place(expanded, last),
            decimals: usize::try_from(-last).unwrap_or(0),
        })
    }
}

impl Estimate {
    /// Combines independent contributions: u² = Σ uᵢ² (GUM 5.1.2, sensitivities already in).
    pub fn of(value: f64, basis: Basis, contributions: Vec<Contribution>) -> Self {
        let squares: f64 = contributions.iter().map(|c| c.standard.powi(2)).sum();
        Self {
            value,
            standard: squares.sqrt(),
            contributions,
            basis,
        }
    }

    /// Expanded uncertainty, U = 2u.
    pub fn expanded(&self) -> f64 {
        COVERAGE * self.standard
    }

    /// This over another that is independent of it; the contributions are named by where they
    /// come from. `None` when the other is zero.
    pub fn over(&self, other: &Self, names: [&'static str; 2]) -> Option<Self> {
        if other.value == 0.0 {
            return None;
        }
        let ratio = self.value / other.value;
        let parts = vec![
            Contribution::standard(names[0], self.how(), self.standard / other.value),
            Contribution::standard(names[1], other.how(), other.standard * ratio / other.value),
        ];
        Some(Self::of(ratio, Basis::Estimated, parts))
    }

    /// This less another that is independent of it; without an uncertainty when that of either is
    /// not known, for what is known of one alone would promise too much.
    pub fn less(&self, other: &Self, names: [&'static str; 2]) -> Self {
        if self.contributions.is_empty() || other.contributions.is_empty() {
            return Self::of(self.value - other.value, Basis::Estimated, Vec::new());
        }
        let parts = vec![
            Contribution::standard(names[0], self.how(), self.standard),
            Contribution::standard(names[1], other.how(), other.standard),
        ];
        Self::of(self.value - other.value, Basis::Estimated, parts)
    }

    /// Whether zero is as good as this value: |value| is no more than U. It says that a
    /// difference is not shown, never that there is none.
    pub fn is_not_shown(&self) -> bool {
        self.value.abs() <= self.expanded()
    }

    /// The least certain of what it rests on.
    fn how(&self) -> How {
        let rank = |how| match how {
            How::Measured => 0,
            How::Declared => 1,
            How::Assumed => 2,
        };
        let worst = self
            .contributions
            .iter()
            .map(|c| c.how)
            .max_by_key(|h| rank(*h));
        worst.unwrap_or(How::Declared)
    }

    /// Two significant digits of U and the value to the same place: at most two are wanted
    /// (GUM 7.2.6), and rounding to one alone could change U by a third (0.15 to 0.2). Where the
    /// second digit is a zero one says as much, and less is pretended: 0.05, not 0.050. `None`
    /// when there is no uncertainty to go by.
    pub fn rounded(&self) -> Option<Rounded> {
        Rounded::of(self.value, self.expanded())
    }

    /// All of it as plain data.
    pub fn json(&self) -> Value {
        let rounded = self.rounded();
        json!({
            "value": self.value,
            "standard": self.standard,
            "expanded": self.expanded(),
            "coverage": COVERAGE,
            "decimals": rounded.map(|r| r.decimals),
            "basis": self.basis.word(),
            "contributions": self.contributions.iter().map(|c| json!({
                "name": c.name, "standard": c.standard, "how": c.how.word(),
            })).collect::<Vec<_>>(),
        })
    }
}

/// The number nearest to `value` whose last digit stands at 10 to the power of `place`. Powers of
/// ten below one are no doubles, so those above it are multiplied and divided by.
fn to_place(value: f64, place: i32) -> f64 {
    if place < 0 {
        let unit = 10f64.powi(-place);
        (value * unit).round() / unit
    } else {
        let unit = 10f64.powi(place);
        (value / unit).round() * unit
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, wanted: f64, within: f64) {
        assert!((found - wanted).abs() <= within, "{found}, not {wanted}");
    }

    /// Computed by hand from the formulas of NIST TN 1297, sections 4 to 6: 0.03/√3 = 0.017321,
    /// 0.012 and 0.025/2 = 0.0125 make 0.02450; twice that is 0.049.
    #[test]
    fn a_length_of_three_contributions() {
        let parts = vec![
            Contribution::rectangular("resolution", How::Assumed, 0.03),
            Contribution::standard("repeats", How::Measured, 0.012),
            Contribution::certificate("scan", How::Declared, 0.025, 2.0),
        ];
        let length = Estimate::of(130.4967, Basis::Measured, parts);
        near(length.standard, 0.0245, 5e-5);
        near(length.expanded(), 0.049, 5e-5);
        let stated = length.rounded().unwrap();
        assert_eq!(
            (stated.value, stated.expanded, stated.decimals),
            (130.497, 0.049, 3)
        );
    }

    /// By hand, as above: 0.5 % of 194.84 g is 0.9742 g; 43.98 cm³ × 0.02 g/cm³ is 0.8797 g.
    #[test]
    fn a_mass_of_volume_and_density() {
        let (volume_cm3, density): (f64, f64) = (43.982_297, 4.43);
        let parts = vec![
            Contribution::standard("volume", How::Measured, 0.005 * volume_cm3).times(density),
            Contribution::standard("density", How::Declared, 0.02).times(volume_cm3),
        ];
        let mass = Estimate::of(volume_cm3 * density, Basis::Estimated, parts);
        near(mass.value, 194.8416, 5e-5);
        near(mass.standard, 1.3126, 5e-5);
        let stated = mass.rounded().unwrap();
        assert_eq!(
            (stated.value, stated.expanded, stated.decimals),
            (194.8, 2.6, 1)
        );
    }

    /// JCGM 100:2008, example H.1, the calibration of an end gauge of 50 mm, in nanometres; from
    /// memory. First-order combined standard uncertainty: 32 nm.
    #[test]
    fn an_end_gauge() {
        let (length_nm, expansion_per_k, mean_off_k) = (50.000_623e6, 11.5e-6, -0.1);
        let compared = Estimate::of(
            215.0,
            Basis::Measured,
            vec![
                // Standard deviation 13 nm pooled from 25 readings, five of them here.
                Contribution::standard("repeats", How::Measured, 13.0 / 5f64.sqrt()),
                // 10 nm at 95 % with five degrees of freedom: t = 2.57.
                Contribution::certificate("comparator-random", How::Declared, 10.0, 2.57),
                Contribution::certificate("comparator-systematic", How::Declared, 20.0, 3.0),
            ],
        );
        near(compared.standard, 9.7, 0.05);
        let parts = vec![
            Contribution::certificate("standard", How::Declared, 75.0, 3.0),
            Contribution::standard("comparison", How::Measured, compared.standard),
            Contribution::rectangular("expansion-difference", How::Assumed, 1e-6)
                .times(-length_nm * mean_off_k),
            Contribution::rectangular("temperature-difference", How::Assumed, 0.05)
                .times(-length_nm * expansion_per_k),
        ];
        let each: Vec<f64> = parts.iter().map(|p| p.standard).collect();
        for (found, wanted) in each.iter().zip([25.0, 9.7, 2.9, 16.6]) {
            near(*found, wanted, 0.05);
        }
        let gauge = Estimate::of(length_nm + 215.0, Basis::Measured, parts);
        near(gauge.standard, 32.0, 0.5);
    }

    /// s/√n by hand: 10.1, 10.2, 10.3 scatter by 0.1.
    #[test]
    fn repeated_readings() {
        let found = Contribution::repeated("repeats", &[10.1, 10.2, 10.3]).unwrap();
        near(found.standard, 0.1 / 3f64.sqrt(), 1e-12);
        assert_eq!(Contribution::repeated("repeats", &[10.1]), None);
    }

    #[test]
    fn no_more_digits_than_are_known() {
        let stated = |value, expanded: f64| {
            let part = Contribution::standard("all", How::Declared, expanded / 2.0);
            let r = Estimate::of(value, Basis::Measured, vec![part]).rounded()?;
            Some((r.value, r.expanded, r.decimals))
        };
        assert_eq!(stated(130.499, 0.05), Some((130.5, 0.05, 2)));
        assert_eq!(stated(130.499, 0.0996), Some((130.5, 0.1, 1)));
        assert_eq!(stated(1478.3, 130.0), Some((1480.0, 130.0, 0)));
        assert_eq!(stated(1478.3, 99.7), Some((1500.0, 100.0, 0)));
        assert_eq!(stated(1478.3, 4.0), Some((1478.0, 4.0, 0)));
        assert_eq!(stated(1.0, 0.0), None);
    }

    /// Quotient and difference by the rules for products and sums (NIST TN 1297, A.3): relative
    /// uncertainties of 3 % and 4 % make 5 %.
    #[test]
    fn quotient_and_difference() {
        let one = |value, standard| {
            let part = Contribution::standard("all", How::Measured, standard);
            Estimate::of(value, Basis::Measured, vec![part])
        };
        let (a, b) = (one(200.0, 6.0), one(100.0, 4.0));
        let ratio = a.over(&b, ["a", "b"]).unwrap();
        near(ratio.value, 2.0, 1e-12);
        near(ratio.standard, 0.1, 1e-12);
        let less = a.less(&one(190.0, 8.0), ["a", "b"]);
        near(less.standard, 10.0, 1e-12);
        assert!(less.is_not_shown());
        assert!(!a.less(&one(170.0, 8.0), ["a", "b"]).is_not_shown());
        assert_eq!(a.over(&one(0.0, 1.0), ["a", "b"]), None);
    }
}
