//! The century in which a thing was made, from a date that is written in words.

use crate::find::fold;

/// No date of a museum's object is written with a later year than this.
const LAST_YEAR: u32 = 2099;
/// Words beside which a number is no year of our reckoning, in languages of museums that we know.
const NO_YEAR: [&str; 12] = [
    "bc",
    "bce",
    "bp",
    "ah",
    "cc",
    "ccc",
    "years",
    "year",
    "oed",
    "blwydd",
    "flynyddoedd",
    "jahre",
];

/// "1600–1699" of a date in which 1647 is written: the first number of three or four digits that can be a
/// year. Of a date that may be of another reckoning nothing is said: better none than a false one.
pub(super) fn century(date: &str) -> Option<String> {
    let plain = fold(date).replace('.', "");
    let mut words = plain.split(|c: char| !c.is_alphanumeric());
    if words.any(|word| NO_YEAR.contains(&word)) {
        return None;
    }
    // "12,000" is one number, and no year.
    let numbers = date.split(|c: char| !c.is_ascii_digit() && ![',', '.', '\u{a0}'].contains(&c));
    let year: u32 = numbers
        .map(|n| n.trim_matches([',', '.', '\u{a0}']))
        .filter(|n| (3..=4).contains(&n.len()))
        .find_map(|n| n.parse().ok().filter(|year| *year <= LAST_YEAR))?;
    let first = year / 100 * 100;
    Some(format!("{first}–{}", first + 99))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_in_words_has_its_century() {
        assert_eq!(
            century("1647, cast in its lettering").as_deref(),
            Some("1600–1699")
        );
        assert_eq!(century("about 850").as_deref(), Some("800–899"));
        assert_eq!(century("cast in 1647.").as_deref(), Some("1600–1699"));
        assert_eq!(century("14th century"), None);
        for other in [
            "320 BC",
            "about 320 b.c.",
            "320 CC",
            "12,000 years old",
            "5000 years old",
            "mark 5000",
            "1.200 pieces",
        ] {
            assert_eq!(century(other), None, "{other}");
        }
        assert_eq!(century("undated"), None);
    }
}
