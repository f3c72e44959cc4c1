//! What each record may hold: keys, kinds of value, and which must be there.
//!
//! The types in `record` say the same to serde, which stops at the first fault; this table lets
//! all faults of a file be found in one reading, each with its place.

/// What a value must be.
#[derive(Debug, Clone, Copy)]
pub(super) enum Want {
    /// Words; not empty.
    Text,
    /// A number, whole or not.
    Number,
    /// A whole number, not negative.
    Whole,
    /// true or false.
    Flag,
    /// 2025-03-04
    Day,
    /// An id of ours.
    Id,
    /// One of these words.
    OneOf(&'static [&'static str]),
    /// A table with one text per language of the site.
    Localised,
    /// The address of a licence or rights statement.
    Statement,
    /// A language tag.
    Lang,
    /// A list of exactly so many numbers.
    Numbers(usize),
    /// A table.
    Table(Schema),
    /// A table of tables, by id.
    ById(Schema),
    /// A list of tables.
    Tables(Schema),
    /// A list of these.
    List(&'static Want),
    /// The number of the record format.
    Format,
}

/// One key.
#[derive(Debug, Clone, Copy)]
pub(super) struct Field {
    pub(super) name: &'static str,
    pub(super) want: Want,
    pub(super) required: bool,
}

/// All keys of a table.
pub(super) type Schema = &'static [Field];

const fn must(name: &'static str, want: Want) -> Field {
    Field {
        name,
        want,
        required: true,
    }
}

const fn may(name: &'static str, want: Want) -> Field {
    Field {
        name,
        want,
        required: false,
    }
}

use Want::{
    ById, Day, Flag, Format, Id, Lang, List, Localised, Number, Numbers, OneOf, Statement, Table,
    Tables, Text, Whole,
};

const STANDS: Want = OneOf(&["present", "absent", "altered", "unknown"]);

const EVIDENCE: Schema = &[
    must(
        "ground",
        OneOf(&["measured", "observed", "documented", "conjectured"]),
    ),
    may("by", Id),
    may("date", Day),
    may("source", Id),
];

const PHOTOGRAPHS: Want = Tables(&[
    must("file", Text),
    must("rights", Id),
    must("alt", Localised),
    may("caption", Localised),
]);

const VIEW: Schema = &[may("azimuth_deg", Number), may("elevation_deg", Number)];

const BODY: Schema = &[
    must("location", Localised),
    must("finish", Localised),
    may(
        "weighed_g",
        Table(&[
            must("value_g", Number),
            must("uncertainty_g", Number),
            must("evidence", Table(EVIDENCE)),
        ]),
    ),
    may("dated", Day),
    must(
        "parts",
        Tables(&[
            must("id", Id),
            must("name", Localised),
            must("model", Text),
            must("unit", OneOf(&["mm", "cm", "m", "in"])),
            must("material", Id),
            must("rights", Id),
            may("solid", Flag),
        ]),
    ),
];

/// `site.toml`
pub(super) const SITE: Schema = &[
    must("format", Format),
    must("publisher", Text),
    must("address", Text),
    must("languages", List(&Lang)),
    must("name", Localised),
    must("introduction", Localised),
    may("statement", Localised),
    may("look", Table(&[may("theme", Text)])),
    may("kiosk", Table(&[may("idle_seconds", Whole)])),
    may(
        "people",
        ById(&[
            must("name", Text),
            must("role", Localised),
            may("affiliation", Text),
        ]),
    ),
];

/// An object's `record.toml`
pub(super) const OBJECT: Schema = &[
    must("format", Format),
    must(
        "identification",
        Table(&[
            must("number", Text),
            must("name", Localised),
            must("date", Localised),
            may("place", Localised),
            may("maker", Localised),
            must("keeper", Localised),
            must("evidence", Table(EVIDENCE)),
        ]),
    ),
    must(
        "bodies",
        Table(&[must("original", Table(BODY)), may("replica", Table(BODY))]),
    ),
    must(
        "materials",
        ById(&[
            must("name", Localised),
            must("density_g_per_cm3", Numbers(2)),
            must("evidence", Table(EVIDENCE)),
        ]),
    ),
    must(
        "rights",
        Tables(&[
            must("id", Id),
            must("holder", Text),
            must("statement", Statement),
            must("permits", List(&OneOf(&["display", "download", "print"]))),
            may("from", Day),
            may("until", Day),
            may("credit", Localised),
        ]),
    ),
    must("words_rights", Id),
    may(
        "sources",
        ById(&[
            may("author", Text),
            must("title", Text),
            may("lang", Lang),
            may("date", Text),
            may("held", Text),
        ]),
    ),
    may(
        "differences",
        Tables(&[
            must("aspect", Localised),
            must("original", Localised),
            must("replica", Localised),
            must("reason", Localised),
            must("evidence", Table(EVIDENCE)),
        ]),
    ),
    may("front", Table(VIEW)),
    may("photographs", PHOTOGRAPHS),
    must("label", Localised),
];

/// A detail's `record.toml`
pub(super) const DETAIL: Schema = &[
    must("format", Format),
    may("order", Whole),
    must(
        "kind",
        OneOf(&[
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
    must("part", Id),
    must(
        "bearing",
        Table(&[must("original", STANDS), may("replica", STANDS)]),
    ),
    must(
        "anchor",
        Table(&[
            must("body", OneOf(&["original", "replica"])),
            must("point_mm", Numbers(3)),
            must("radius_mm", Number),
        ]),
    ),
    may("view", Table(VIEW)),
    must("evidence", Table(EVIDENCE)),
    may("photographs", PHOTOGRAPHS),
];

/// A step's `record.toml`
pub(super) const STEP: Schema = &[
    must("format", Format),
    may("date", Day),
    may("hours", Number),
    may("people", List(&Id)),
    may(
        "quantities",
        Tables(&[
            must("name", Localised),
            must("value", Number),
            must("unit", Text),
        ]),
    ),
    may("caution", Localised),
    must("evidence", Table(EVIDENCE)),
    may("photographs", PHOTOGRAPHS),
];
