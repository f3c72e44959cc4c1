//! One fault a case. In the new text `«` marks the place that the finding must name; it is taken
//! out before the file is written, and line and column are counted from it.

mod comparison;
mod content;
mod frame;
mod links;
mod recordings;
mod translations;

pub(crate) enum Lay {
    /// In this file, this text becomes that.
    Change(&'static str, &'static str, &'static str),
    /// This file has these bytes instead.
    Write(&'static str, &'static [u8]),
    /// This file or folder is gone.
    Remove(&'static str),
    /// This file or folder has that name instead.
    Rename(&'static str, &'static str),
    /// A symbolic link with this name, leading there.
    Link(&'static str, &'static str),
}

pub(crate) struct Case {
    pub(crate) name: &'static str,
    pub(crate) lay: Lay,
    pub(crate) rule: &'static str,
    /// The file, where it is not the one changed.
    pub(crate) file: Option<&'static str>,
    pub(crate) error: bool,
}

const SITE: &str = "site.toml";
const TRANSLATIONS: &str = "translations.toml";
const OBJECT: &str = "mortar/record.toml";
const HARE: &str = "mortar/details/hare/record.toml";
const PAD: &str = "mortar/details/pad/record.toml";
const SCAN: &str = "mortar/making/01-scan/record.toml";
const TALK: &str = "mortar/making/01-scan/talk.en.vtt";
const PRINT: &str = "mortar/making/02-print/record.toml";
const NOTE: &str = "mortar/en.md";
const HARE_NOTE: &str = "mortar/details/hare/en.md";

use Lay::Change;

pub(super) const fn at(
    name: &'static str,
    file: &'static str,
    old: &'static str,
    new: &'static str,
    rule: &'static str,
) -> Case {
    Case {
        name,
        lay: Change(file, old, new),
        rule,
        file: None,
        error: true,
    }
}

pub(super) const fn advice(
    name: &'static str,
    file: &'static str,
    old: &'static str,
    new: &'static str,
    rule: &'static str,
) -> Case {
    Case {
        name,
        lay: Change(file, old, new),
        rule,
        file: None,
        error: false,
    }
}

pub(super) const fn whole(
    name: &'static str,
    lay: Lay,
    rule: &'static str,
    file: &'static str,
) -> Case {
    Case {
        name,
        lay,
        rule,
        file: Some(file),
        error: true,
    }
}

/// All of them.
pub(crate) fn cases() -> impl Iterator<Item = &'static Case> {
    [
        frame::CASES,
        content::CASES,
        links::CASES,
        comparison::CASES,
        recordings::CASES,
        translations::CASES,
    ]
    .into_iter()
    .flatten()
}
