//! Numbers, lengths and dates as a reader of each language expects them.

use super::SiteError;
use super::words::Words;
use crate::record::Day;

/// A number with a fixed count of decimals, in the language's own marks; `−` for a minus.
pub(crate) fn number(value: f64, decimals: usize, words: &Words) -> Result<String, SiteError> {
    let plain = format!("{:.*}", decimals, value.abs());
    let (whole, fraction) = plain.split_once('.').unwrap_or((&plain, ""));
    let mut out = String::new();
    if value < 0.0 && plain.chars().any(|c| ('1'..='9').contains(&c)) {
        out.push('−');
    }
    // Groups of three with a thin no-break space from five digits up (SI Brochure, 9th ed., 5.4.4).
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && whole.len() > 4 && (whole.len() - i).is_multiple_of(3) {
            out.push('\u{202f}');
        }
        out.push(digit);
    }
    if !fraction.is_empty() {
        out.push_str(words.get("decimal_mark")?);
        out.push_str(fraction);
    }
    Ok(out)
}

/// A length: `131.8 mm`, with a no-break space (SI Brochure, 5.4.3).
pub(crate) fn millimetres(
    value_mm: f64,
    decimals: usize,
    words: &Words,
) -> Result<String, SiteError> {
    Ok(format!("{}\u{a0}mm", number(value_mm, decimals, words)?))
}

/// The longest of 1, 2, 5 × a power of ten that is not above `longest`.
pub(crate) fn round_length(longest: f64) -> f64 {
    let power = 10f64.powf(longest.log10().floor());
    [5.0, 2.0, 1.0]
        .into_iter()
        .map(|step| step * power)
        .find(|length| *length <= longest)
        .unwrap_or(power)
}

/// A mass: grams below a kilogram, kilograms above.
pub(crate) fn mass(value_g: f64, words: &Words) -> Result<String, SiteError> {
    if value_g.abs() < 1000.0 {
        Ok(format!("{}\u{a0}g", number(value_g, 0, words)?))
    } else {
        Ok(format!("{}\u{a0}kg", number(value_g / 1000.0, 2, words)?))
    }
}

/// A file size in decimal kilobytes or megabytes (IEC 80000-13 keeps these for powers of ten).
pub(crate) fn file_size(bytes: usize, words: &Words) -> Result<String, SiteError> {
    #[expect(clippy::cast_precision_loss, reason = "a size shown with two digits")]
    let kilobytes = bytes as f64 / 1000.0;
    if kilobytes < 1000.0 {
        Ok(format!("{}\u{a0}kB", number(kilobytes.max(1.0), 0, words)?))
    } else {
        Ok(format!("{}\u{a0}MB", number(kilobytes / 1000.0, 1, words)?))
    }
}

/// A day in words: `4 March 2025`.
pub(crate) fn day(day: Day, words: &Words) -> Result<String, SiteError> {
    let (year, month, date) = day.parts();
    words.fill(
        "day_format",
        &[
            ("day", &date.to_string()),
            ("month", words.get(&format!("month_{month}"))?),
            ("year", &year.to_string()),
        ],
    )
}

/// Letters of the key: a, b, … z, aa, ab, …
pub(crate) fn letter(index: usize) -> String {
    let mut rest = index + 1;
    let mut out = Vec::new();
    while rest > 0 {
        rest -= 1;
        #[expect(clippy::cast_possible_truncation, reason = "a remainder below 26")]
        out.push(b'a' + (rest % 26) as u8);
        rest /= 26;
    }
    out.iter().rev().map(|b| char::from(*b)).collect()
}

/// A key that orders titles without regard to case and accents.
pub(crate) fn sort_key(title: &str) -> String {
    use unicode_normalization::UnicodeNormalization;
    title
        .nfd()
        .filter(|c| !unicode_normalization::char::is_combining_mark(*c))
        .flat_map(char::to_lowercase)
        .collect()
}

/// Cut at the end of a word, with an ellipsis, when it has more than `most` characters.
pub(crate) fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let cut: String = text.chars().take(most - 1).collect();
    let whole = cut
        .rsplit_once(' ')
        .map_or(cut.as_str(), |(whole, _)| whole);
    format!("{}…", whole.trim_end_matches([',', ';', ':', '.']))
}

#[cfg(test)]
mod tests {
    use super::{letter, round_length};

    #[test]
    fn scale_bars_are_round() {
        assert_eq!(
            [9.9, 10.0, 49.0, 51.0, 0.3].map(round_length),
            [5.0, 10.0, 20.0, 50.0, 0.2]
        );
    }

    #[test]
    fn letters_run_on_after_z() {
        let run: Vec<String> = [0, 25, 26, 51, 52, 701, 702].map(letter).into();
        assert_eq!(run, ["a", "z", "aa", "az", "ba", "zz", "aaa"]);
    }
}
