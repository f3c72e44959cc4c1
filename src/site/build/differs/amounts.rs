//! Numbers with their uncertainty, as a reader of each language expects them.

use crate::collate::{Estimate, Rounded};
use crate::site::words::Words;
use crate::site::{SiteError, figures};

/// A value with its expanded uncertainty, or alone when there is none to go by.
pub(in crate::site::build) fn with_uncertainty(
    value: f64,
    expanded: f64,
    unit: &str,
    words: &Words,
) -> Result<String, SiteError> {
    let in_unit = |number: String| in_unit(&number, unit);
    Ok(match Rounded::of(value, expanded) {
        Some(r) => format!(
            "{} ±\u{a0}{}",
            in_unit(figures::number(r.value, r.decimals, words)?),
            in_unit(figures::number(r.expanded, r.decimals, words)?)
        ),
        None => in_unit(figures::number(value, 2, words)?),
    })
}

pub(super) fn estimate(of: &Estimate, unit: &str, words: &Words) -> Result<String, SiteError> {
    with_uncertainty(of.value, of.expanded(), unit, words)
}

/// A difference: the same with its sign, plus too.
pub(super) fn signed(of: &Estimate, unit: &str, words: &Words) -> Result<String, SiteError> {
    let text = estimate(of, unit, words)?;
    let shown = of.rounded().map_or(of.value, |r| r.value);
    Ok(if shown > 0.0 {
        format!("+{text}")
    } else {
        text
    })
}

/// Two significant digits, as an uncertainty is stated.
pub(super) fn significant(value: f64, unit: &str, words: &Words) -> Result<String, SiteError> {
    let number = match Rounded::of(value, value) {
        Some(r) => figures::number(r.value, r.decimals, words)?,
        None => figures::number(value, 2, words)?,
    };
    Ok(in_unit(&number, unit))
}

/// A number and its unit, which stays on its line; the sign of a degree stands close.
fn in_unit(number: &str, unit: &str) -> String {
    match unit {
        "" => number.to_owned(),
        "°" => format!("{number}°"),
        unit => format!("{number}\u{a0}{unit}"),
    }
}

/// The same estimate in a unit of which `factor` make one of its own.
pub(super) fn scaled(of: &Estimate, factor: f64) -> Estimate {
    let parts = of.contributions.iter().map(|c| c.times(factor)).collect();
    Estimate::of(of.value * factor, of.basis, parts)
}

/// A volume of mm³ in cm³, with which a whole body is told.
pub(super) fn cubic_centimetres(of: &Estimate) -> Estimate {
    scaled(of, 1e-3)
}

/// A share as a percentage: one decimal below ten.
pub(super) fn percent(share: f64, words: &Words) -> Result<String, SiteError> {
    let hundredths = share * 100.0;
    let decimals = usize::from(hundredths < 9.95);
    Ok(format!(
        "{}\u{a0}%",
        figures::number(hundredths, decimals, words)?
    ))
}

/// As many decimals as the keeper wrote, at most three.
pub(super) fn as_written(value: f64, unit: &str, words: &Words) -> Result<String, SiteError> {
    let text = format!("{value}");
    let decimals = text
        .split_once('.')
        .map_or(0, |(_, fraction)| fraction.len().min(3));
    Ok(format!(
        "{}\u{a0}{unit}",
        figures::number(value, decimals, words)?
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::collate::{Basis, Contribution, How};
    use crate::site::theme::Theme;
    use crate::site::words;

    #[test]
    fn differences_have_signs_and_no_more_digits_than_are_known() {
        let langs = ["en", "cy"].map(|l| l.parse().unwrap());
        let all = words::read(&Theme::built_in(), &langs).unwrap();
        let words = &all[&langs[0]];
        let of = |value, standard| {
            let part = Contribution::standard("scan", How::Declared, standard);
            Estimate::of(value, Basis::Measured, vec![part])
        };
        let said = |value, standard| signed(&of(value, standard), "mm", words).unwrap();
        assert_eq!(said(0.584, 0.08), "+0.58\u{a0}mm ±\u{a0}0.16\u{a0}mm");
        assert_eq!(said(-0.584, 0.08), "−0.58\u{a0}mm ±\u{a0}0.16\u{a0}mm");
        assert_eq!(said(0.001, 0.08), "0.00\u{a0}mm ±\u{a0}0.16\u{a0}mm");
        let volume = cubic_centimetres(&of(553_000.0, 3_000.0));
        assert_eq!(
            estimate(&volume, "cm³", words).unwrap(),
            "553\u{a0}cm³ ±\u{a0}6\u{a0}cm³"
        );
        assert_eq!(significant(0.042_4, "mm", words).unwrap(), "0.042\u{a0}mm");
        assert_eq!(percent(0.841, words).unwrap(), "84\u{a0}%");
        assert_eq!(percent(0.036_9, words).unwrap(), "3.7\u{a0}%");
        let lean = signed(&of(-1.81, 0.06), "°", words).unwrap();
        assert_eq!(lean, "−1.81° ±\u{a0}0.12°");
    }
}
