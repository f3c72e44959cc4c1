//! The columns of a table, and what Spectrum calls them.
//!
//! Spectrum is the UK standard for collections management (Collections Trust); its units of
//! information are named here from memory of version 5. Where one means what a column of ours
//! means, it is taken as the column's title, and written so when asked for.

use crate::record::Lang;

/// A column's name, and the unit of information of Spectrum that means the same.
pub(super) struct Column {
    pub(super) name: &'static str,
    /// Whether its texts are in a language.
    pub(super) spoken: bool,
    /// The first is the one written.
    pub(super) spectrum: &'static [&'static str],
}

const fn plain(name: &'static str, spectrum: &'static [&'static str]) -> Column {
    Column {
        name,
        spoken: false,
        spectrum,
    }
}

const fn spoken(name: &'static str, spectrum: &'static [&'static str]) -> Column {
    Column {
        name,
        spoken: true,
        spectrum,
    }
}

/// Columns that there is one of, in the order in which they are written.
pub(super) const SINGLE: &[Column] = &[
    plain("object", &[]),
    plain("number", &["Object number"]),
    spoken("title", &["Title"]),
    spoken("name", &["Object name"]),
    spoken("date", &["Object production date"]),
    spoken("place", &["Object production place"]),
    spoken(
        "maker",
        &[
            "Object production person",
            "Object production people",
            "Object production organisation",
        ],
    ),
    spoken("keeper", &["Owner"]),
    spoken("location", &["Current location", "Object current location"]),
    spoken("finish", &["Physical description"]),
    spoken("label", &["Label text"]),
    spoken("words", &["Brief description"]),
    plain("scanned", &[]),
    spoken("replica.location", &[]),
    spoken("replica.finish", &[]),
    plain("replica.made", &[]),
    plain("words_rights", &[]),
];

/// Columns of each material: `material.1.name.en`.
pub(super) const MATERIAL: &[Column] = &[
    plain("id", &[]),
    spoken("name", &["Material"]),
    plain("lowest_g_per_cm3", &[]),
    plain("highest_g_per_cm3", &[]),
];

/// Columns of each agreement: `rights.1.holder`.
pub(super) const RIGHTS: &[Column] = &[
    plain("id", &[]),
    plain("holder", &["Right holder"]),
    plain("statement", &["Right type"]),
    plain("permits", &[]),
    plain("from", &["Right begin date"]),
    plain("until", &["Right end date"]),
    plain("otherwise", &[]),
    plain("finest_mm", &[]),
    spoken("credit", &["Credit line"]),
];

/// Columns that are written and never read: what is measured is measured anew.
pub(super) const MEASURED: &[&str] = &["width_mm", "height_mm", "depth_mm", "mass_g"];

/// What a title means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Meaning {
    /// A value: its key without the language, and the language.
    Value(String, Option<Lang>),
    /// Measured by us, and not taken.
    Measured,
    /// None of ours.
    Unknown,
}

/// The most materials and agreements that are numbered.
const MOST: usize = 99;

/// What the title of a column means. `only` is the language of titles that name none.
pub(super) fn meaning(title: &str, only: Option<&Lang>) -> Result<Meaning, String> {
    let title = title.trim();
    let bare = title.strip_prefix("replica.").unwrap_or(title);
    let bare = bare.strip_suffix("_within").unwrap_or(bare);
    if MEASURED.contains(&bare) {
        return Ok(Meaning::Measured);
    }
    let (key, lang) = apart(title);
    let Some((key, spoken)) = known(&key) else {
        return Ok(Meaning::Unknown);
    };
    match (spoken, lang, only) {
        (true, Some(lang), _) => Ok(Meaning::Value(key, Some(lang))),
        (true, None, Some(only)) => Ok(Meaning::Value(key, Some(only.clone()))),
        (true, None, None) => Err(format!(
            "The column ‘{title}’ does not say its language. Name it ‘{title}.en’, or the like."
        )),
        (false, None, _) => Ok(Meaning::Value(key, None)),
        (false, Some(_), _) => Ok(Meaning::Unknown),
    }
}

/// A title and the language after it: `name.en`, `Object name (en)`.
fn apart(title: &str) -> (String, Option<Lang>) {
    let bracket = title
        .strip_suffix(')')
        .and_then(|rest| rest.rsplit_once('('));
    let dot = title.rsplit_once('.');
    for (key, tag) in bracket.into_iter().chain(dot) {
        // `material.1.name` ends in a word that is no language: known names come first.
        if known(title).is_none()
            && known(key.trim()).is_some()
            && let Ok(lang) = tag.trim().parse()
        {
            return (key.trim().to_owned(), Some(lang));
        }
    }
    (title.to_owned(), None)
}

/// Our key for a title without its language, and whether its texts are in a language.
fn known(title: &str) -> Option<(String, bool)> {
    let same = |unit: &&&str| unit.eq_ignore_ascii_case(title);
    let named = |c: &&Column| c.name == title || c.spectrum.iter().any(|unit| same(&unit));
    if let Some(column) = SINGLE.iter().find(named) {
        return Some((column.name.to_owned(), column.spoken));
    }
    for (group, columns) in [("material", MATERIAL), ("rights", RIGHTS)] {
        let unit = |c: &&Column| c.spectrum.iter().any(|unit| same(&unit));
        if let Some(column) = columns.iter().find(unit) {
            return Some((format!("{group}.1.{}", column.name), column.spoken));
        }
        let rest = title.strip_prefix(group).and_then(|r| r.strip_prefix('.'));
        if let Some((number, name)) = rest.and_then(|r| r.split_once('.'))
            && number.parse().is_ok_and(|n: usize| (1..=MOST).contains(&n))
            && !number.starts_with(['0', '+'])
            && let Some(column) = columns.iter().find(|c| c.name == name)
        {
            return Some((title.to_owned(), column.spoken));
        }
    }
    None
}

/// Spectrum's name for one of our keys.
pub(super) fn spectrum(key: &str) -> Option<&'static str> {
    let first = |c: &Column| c.spectrum.first().copied();
    if let Some(column) = SINGLE.iter().find(|c| c.name == key) {
        return first(column);
    }
    let material = key.strip_prefix("material.1.").map(|name| (name, MATERIAL));
    let rights = key.strip_prefix("rights.1.").map(|name| (name, RIGHTS));
    let (name, columns) = material.or(rights)?;
    columns.iter().find(|c| c.name == name).and_then(first)
}
