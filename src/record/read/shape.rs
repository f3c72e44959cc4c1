//! The shape of each record: its keys and what may stand there. Serde stops at the first fault of
//! a file; walking the file beside its shape finds them all, and gives each a sentence a keeper
//! understands. A test holds these tables to the record types, key by key.

/// What may stand in one place of a record.
pub(crate) enum Shape {
    /// Words or a name.
    Text,
    /// The version of the format: 1.
    Format,
    /// A whole number, 0 or more.
    Whole,
    /// A finite number.
    Number,
    /// True or false.
    Flag,
    /// A day.
    Day,
    /// A language tag.
    Lang,
    /// The address of a licence or rights statement.
    Statement,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// An id given here.
    Id,
    /// An id given elsewhere.
    Mention(Refers),
    /// Text in every language of the site.
    Localised,
    /// Names of files, each under its language.
    FilesByLang,
    /// So many numbers.
    Numbers(usize),
    /// Named keys.
    Table(&'static [Key]),
    /// Any number of these.
    List(&'static Shape),
    /// Any number of these, each under an id.
    ById(&'static Shape),
    /// Any number of these, each under the path of a file.
    ByFile(&'static Shape),
}

/// To what a mentioned id refers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Refers {
    /// `[people]` of `site.toml`.
    Person,
    /// `[sources]` of the object.
    Source,
    /// `[materials]` of the object.
    Material,
    /// `[[rights]]` of the object.
    Rights,
    /// A part of a body.
    Part,
    /// A detail of the object.
    Detail,
}

/// One key of a table.
pub(crate) struct Key {
    pub(crate) name: &'static str,
    pub(crate) needed: bool,
    pub(crate) shape: Shape,
}

const fn need(name: &'static str, shape: Shape) -> Key {
    Key {
        name,
        needed: true,
        shape,
    }
}

const fn may(name: &'static str, shape: Shape) -> Key {
    Key {
        name,
        needed: false,
        shape,
    }
}

use Refers::{Detail, Material, Part, Person, Rights, Source};
use Shape::{
    ByFile, ById, Choice, Day, FilesByLang, Flag, Format, Id, Lang, List, Localised, Mention,
    Number, Numbers, Statement, Table, Text, Whole,
};

const EVIDENCE: &[Key] = &[
    need(
        "ground",
        Choice(&["measured", "observed", "documented", "conjectured"]),
    ),
    may("by", Mention(Person)),
    may("date", Day),
    may("source", Mention(Source)),
];

const PHOTOGRAPH: Shape = Table(&[
    need("file", Text),
    need("rights", Mention(Rights)),
    need("alt", Localised),
    may("caption", Localised),
]);

const RECORDING: Shape = Table(&[
    need("file", Text),
    need("rights", Mention(Rights)),
    need("title", Localised),
    may("language", Lang),
    may("captions", FilesByLang),
    may("transcript", FilesByLang),
    may("description", Localised),
    may("poster", Text),
    may("caption", Localised),
    may("speakers", List(&Mention(Person))),
    may("recorded_by", Mention(Person)),
]);

const VIEW: &[Key] = &[may("azimuth_deg", Number), may("elevation_deg", Number)];

const PART: Shape = Table(&[
    need("id", Id),
    need("name", Localised),
    need("model", Text),
    need("unit", Choice(&["mm", "cm", "m", "in"])),
    may("up", Choice(&["y", "z"])),
    need("material", Mention(Material)),
    need("rights", Mention(Rights)),
    may("solid", Flag),
    may("wall_mm", Number),
]);

const BODY: &[Key] = &[
    need("location", Localised),
    need("finish", Localised),
    may("alt", Localised),
    may(
        "weighed_g",
        Table(&[
            need("value_g", Number),
            need("uncertainty_g", Number),
            need("evidence", Table(EVIDENCE)),
        ]),
    ),
    may(
        "scan",
        Table(&[
            need("uncertainty_mm", Number),
            need("evidence", Table(EVIDENCE)),
        ]),
    ),
    may(
        "calipers",
        List(&Table(&[
            need("name", Localised),
            need("part", Mention(Part)),
            need("from_mm", Numbers(3)),
            need("to_mm", Numbers(3)),
            need("measured_mm", Number),
            need("uncertainty_mm", Number),
            need("evidence", Table(EVIDENCE)),
        ])),
    ),
    may("dated", Day),
    may("evidence", Table(EVIDENCE)),
    need("parts", List(&PART)),
];

const COLLATION: &[Key] = &[
    may("tolerance_mm", Number),
    may("fit_scale", Flag),
    may("coating_mm", Numbers(2)),
    may("evidence", Table(EVIDENCE)),
    may(
        "pairs",
        List(&Table(&[
            need("part", Mention(Part)),
            may("original", Mention(Detail)),
            may("original_mm", Numbers(3)),
            may("replica", Mention(Detail)),
            may("replica_mm", Numbers(3)),
        ])),
    ),
    may(
        "accepted",
        List(&Table(&[
            need("part", Mention(Part)),
            need("kind", Choice(&["gained", "lost", "moved"])),
            need("centre_mm", Numbers(3)),
            need("radius_mm", Number),
            need("reason", Localised),
            need("evidence", Table(EVIDENCE)),
        ])),
    ),
];

const STANDS: Shape = Choice(&["present", "absent", "altered", "unknown"]);

/// `site.toml`.
pub(crate) const SITE: &[Key] = &[
    need("format", Format),
    need("publisher", Text),
    need("address", Text),
    need("languages", List(&Lang)),
    need("name", Localised),
    need("introduction", Localised),
    may("statement", Localised),
    may(
        "look",
        Table(&[may("theme", Text), may("objects_on_a_page", Whole)]),
    ),
    may(
        "kiosk",
        Table(&[
            may("idle_seconds", Whole),
            may("screen_mm", Numbers(2)),
            may("lower_edge_mm", Number),
            may("tally", Flag),
            may("objects_on_a_screen", Whole),
        ]),
    ),
    may(
        "people",
        ById(&Table(&[
            need("name", Text),
            need("role", Localised),
            may("group", Flag),
            may("affiliation", Text),
        ])),
    ),
];

/// `translations.toml`.
pub(crate) const TRANSLATIONS: &[Key] = &[
    need("format", Format),
    may(
        "notes",
        ByFile(&Table(&[need("source", Text), need("digest", Text)])),
    ),
];

/// `<object>/record.toml`.
pub(crate) const OBJECT: &[Key] = &[
    need("format", Format),
    may("formerly", List(&Id)),
    need(
        "identification",
        Table(&[
            need("number", Text),
            need("name", Localised),
            need("date", Localised),
            may("place", Localised),
            may("maker", Localised),
            need("keeper", Localised),
            need("evidence", Table(EVIDENCE)),
        ]),
    ),
    need(
        "bodies",
        Table(&[need("original", Table(BODY)), may("replica", Table(BODY))]),
    ),
    need(
        "materials",
        ById(&Table(&[
            need("name", Localised),
            need("density_g_per_cm3", Numbers(2)),
            need("evidence", Table(EVIDENCE)),
        ])),
    ),
    need(
        "rights",
        List(&Table(&[
            need("id", Id),
            need("holder", Text),
            need("statement", Statement),
            need(
                "permits",
                List(&Choice(&["display", "download", "print", "deposit"])),
            ),
            may("from", Day),
            may("until", Day),
            may("credit", Localised),
            may("otherwise", Choice(&["stop", "leave-out"])),
            may("finest_mm", Number),
        ])),
    ),
    need("words_rights", Mention(Rights)),
    may(
        "sources",
        ById(&Table(&[
            may("author", Text),
            need("title", Text),
            may("lang", Lang),
            may("date", Text),
            may("held", Text),
        ])),
    ),
    may(
        "differences",
        List(&Table(&[
            need("aspect", Localised),
            need("original", Localised),
            need("replica", Localised),
            need("reason", Localised),
            need("evidence", Table(EVIDENCE)),
        ])),
    ),
    may("collation", Table(COLLATION)),
    may("front", Table(VIEW)),
    may("photographs", List(&PHOTOGRAPH)),
    may("recordings", List(&RECORDING)),
    need("label", Localised),
];

/// `details/<id>/record.toml`.
pub(crate) const DETAIL: &[Key] = &[
    need("format", Format),
    may("formerly", List(&Id)),
    may("order", Whole),
    need(
        "kind",
        Choice(&[
            "motif",
            "inscription",
            "repair",
            "damage",
            "addition",
            "trace",
            "construction",
            "loss",
        ]),
    ),
    need("part", Mention(Part)),
    need(
        "bearing",
        Table(&[
            need("original", STANDS),
            may("replica", STANDS),
            may("in_shape", Flag),
        ]),
    ),
    need(
        "anchor",
        Table(&[
            need("body", Choice(&["original", "replica"])),
            need("point_mm", Numbers(3)),
            need("radius_mm", Number),
        ]),
    ),
    may(
        "elsewhere",
        List(&Table(&[
            need("point_mm", Numbers(3)),
            need("radius_mm", Number),
        ])),
    ),
    may("view", Table(VIEW)),
    may("raking", Flag),
    may(
        "alt",
        Table(&[may("original", Localised), may("replica", Localised)]),
    ),
    need("evidence", Table(EVIDENCE)),
    may("description", Localised),
    may("spoken", FilesByLang),
    may("photographs", List(&PHOTOGRAPH)),
    may("recordings", List(&RECORDING)),
];

/// `terms/<id>/record.toml`.
pub(crate) const TERM: &[Key] = &[need("format", Format), may("formerly", List(&Id))];

/// `making/<NN-step>/record.toml`.
pub(crate) const STEP: &[Key] = &[
    need("format", Format),
    may("formerly", List(&Id)),
    may("date", Day),
    may("hours", Number),
    may("people", List(&Mention(Person))),
    may(
        "quantities",
        List(&Table(&[
            need("name", Localised),
            need("value", Number),
            need("unit", Text),
            may(
                "is",
                Choice(&[
                    "layer-thickness",
                    "machine-time",
                    "powder-used",
                    "parts-mass",
                    "supports-mass",
                    "scrap-mass",
                ]),
            ),
        ])),
    ),
    may("build_up", Numbers(3)),
    may("caution", Localised),
    need("evidence", Table(EVIDENCE)),
    may("photographs", List(&PHOTOGRAPH)),
    may("recordings", List(&RECORDING)),
];

#[cfg(test)]
mod tests;
