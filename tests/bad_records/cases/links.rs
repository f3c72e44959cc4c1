//! Links of notes.

use super::*;

pub(super) const CASES: &[Case] = &[
    at(
        "dangling-detail",
        NOTE,
        "[the hare](detail:hare)",
        "«[the hare](detail:hair)",
        "dangling-link",
    ),
    at(
        "dangling-step",
        NOTE,
        "[the scan](step:scan)",
        "«[the scan](step:scam)",
        "dangling-link",
    ),
    at(
        "dangling-source",
        NOTE,
        "[the hare](detail:hare)",
        "«[the hare](source:registre)",
        "dangling-link",
    ),
    at(
        "dangling-term",
        HARE_NOTE,
        "[bell](term:bell)",
        "«[bell](term:bells)",
        "dangling-link",
    ),
    at(
        "dangling-object",
        HARE_NOTE,
        "[object](object:mortar)",
        "«[object](object:pot)",
        "dangling-link",
    ),
    at(
        "dangling-across",
        "terms/bell/en.md",
        "[a hare](detail:mortar/hare)",
        "«[a hare](detail:mortar/pig)",
        "dangling-link",
    ),
    at(
        "detail-from-term",
        "terms/bell/en.md",
        "[a hare](detail:mortar/hare)",
        "«[a hare](detail:hare)",
        "dangling-link",
    ),
    // Without slashes and a host these lead to a page beside the one that they stand on.
    at(
        "web-address-without-slashes",
        NOTE,
        "[the hare](detail:hare)",
        "«[the hare](https:museum.example/hare)",
        "unknown-link",
    ),
    at(
        "web-address-without-a-host",
        NOTE,
        "[the hare](detail:hare)",
        "«[the hare](http://)",
        "unknown-link",
    ),
    at(
        "mail-to-nobody",
        NOTE,
        "[the hare](detail:hare)",
        "«[the hare](mailto:)",
        "unknown-link",
    ),
];
