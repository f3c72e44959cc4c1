//! Which source a translation was made from.

use super::Lay::Change;
use super::*;

pub(super) const CASES: &[Case] = &[
    at(
        "translation-from-itself",
        TRANSLATIONS,
        "source = \"en.md\"",
        "source = «\"cy.md\"",
        "translation-source",
    ),
    at(
        "translation-from-nothing",
        TRANSLATIONS,
        "source = \"en.md\"",
        "source = «\"fr.md\"",
        "translation-source",
    ),
    at(
        "translation-digest-cut",
        TRANSLATIONS,
        "digest = \"",
        "digest = «\"0",
        "translation-digest",
    ),
    at(
        "translation-key",
        TRANSLATIONS,
        "digest = \"",
        "«made = 2025-01-01\ndigest = \"",
        "unknown-key",
    ),
    at(
        "translation-without-digest",
        TRANSLATIONS,
        "digest = ",
        "source2 = ",
        "missing-key",
    ),
    advice(
        "translation-of-nothing",
        TRANSLATIONS,
        "[notes.\"mortar/cy.md\"]",
        "«[notes.\"mortar/pestle/cy.md\"]",
        "translation-unknown",
    ),
    Case {
        error: false,
        ..whole(
            "translation-older",
            Change(NOTE, "# ", "# The new words: "),
            "translation-older",
            "mortar/cy.md",
        )
    },
];
