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
    /// So many numbers.
    Numbers(usize),
    /// Named keys.
    Table(&'static [Key]),
    /// Any number of these.
    List(&'static Shape),
    /// Any number of these, each under an id.
    ById(&'static Shape),
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

use Refers::{Material, Part, Person, Rights, Source};
use Shape::{
    ById, Choice, Day, Flag, Format, Id, Lang, List, Localised, Mention, Number, Numbers,
    Statement, Table, Text, Whole,
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
]);

const BODY: &[Key] = &[
    need("location", Localised),
    need("finish", Localised),
    may(
        "weighed_g",
        Table(&[
            need("value_g", Number),
            need("uncertainty_g", Number),
            need("evidence", Table(EVIDENCE)),
        ]),
    ),
    may("dated", Day),
    need("parts", List(&PART)),
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
    may("look", Table(&[may("theme", Text)])),
    may("kiosk", Table(&[may("idle_seconds", Whole)])),
    may(
        "people",
        ById(&Table(&[
            need("name", Text),
            need("role", Localised),
            may("affiliation", Text),
        ])),
    ),
];

/// `<object>/record.toml`.
pub(crate) const OBJECT: &[Key] = &[
    need("format", Format),
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
            need("permits", List(&Choice(&["display", "download", "print"]))),
            may("from", Day),
            may("until", Day),
            may("credit", Localised),
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
    may("front", Table(VIEW)),
    may("photographs", List(&PHOTOGRAPH)),
    need("label", Localised),
];

/// `details/<id>/record.toml`.
pub(crate) const DETAIL: &[Key] = &[
    need("format", Format),
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
        Table(&[need("original", STANDS), may("replica", STANDS)]),
    ),
    need(
        "anchor",
        Table(&[
            need("body", Choice(&["original", "replica"])),
            need("point_mm", Numbers(3)),
            need("radius_mm", Number),
        ]),
    ),
    may("view", Table(VIEW)),
    need("evidence", Table(EVIDENCE)),
    may("photographs", List(&PHOTOGRAPH)),
];

/// `making/<NN-step>/record.toml`.
pub(crate) const STEP: &[Key] = &[
    need("format", Format),
    may("date", Day),
    may("hours", Number),
    may("people", List(&Mention(Person))),
    may(
        "quantities",
        List(&Table(&[
            need("name", Localised),
            need("value", Number),
            need("unit", Text),
        ])),
    ),
    may("caution", Localised),
    need("evidence", Table(EVIDENCE)),
    may("photographs", List(&PHOTOGRAPH)),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record as r;
    use serde::de::DeserializeOwned;

    /// The keys a type accepts, in its own words: serde names them when it meets another.
    fn keys_of<T: DeserializeOwned + std::fmt::Debug>() -> Vec<String> {
        let message = toml::from_str::<T>("no-such-key = 1")
            .unwrap_err()
            .message()
            .to_owned();
        let listed = message
            .split_once("expected")
            .expect("serde lists the keys")
            .1;
        listed
            .split('`')
            .skip(1)
            .step_by(2)
            .map(str::to_owned)
            .collect()
    }

    fn named(keys: &[Key]) -> Vec<String> {
        keys.iter().map(|k| k.name.to_owned()).collect()
    }

    fn below<'a>(keys: &'a [Key], path: &str) -> &'a [Key] {
        path.split('.').fold(keys, |keys, step| {
            let mut shape = &keys
                .iter()
                .find(|k| k.name == step)
                .expect("the key is in the shape")
                .shape;
            while let List(inner) | ById(inner) = shape {
                shape = inner;
            }
            match shape {
                Table(keys) => keys,
                _ => panic!("{step} is no table"),
            }
        })
    }

    #[test]
    fn the_shapes_have_the_keys_of_the_types() {
        assert_eq!(named(SITE), keys_of::<r::Site>());
        assert_eq!(named(below(SITE, "look")), keys_of::<r::Look>());
        assert_eq!(named(below(SITE, "kiosk")), keys_of::<r::Kiosk>());
        assert_eq!(named(below(SITE, "people")), keys_of::<r::Person>());
        assert_eq!(named(OBJECT), keys_of::<r::ObjectRecord>());
        assert_eq!(
            named(below(OBJECT, "identification")),
            keys_of::<r::Identification>()
        );
        assert_eq!(named(below(OBJECT, "bodies")), keys_of::<r::Bodies>());
        assert_eq!(
            named(below(OBJECT, "bodies.original")),
            keys_of::<r::Body>()
        );
        assert_eq!(
            named(below(OBJECT, "bodies.replica.parts")),
            keys_of::<r::Part>()
        );
        assert_eq!(
            named(below(OBJECT, "bodies.replica.weighed_g")),
            keys_of::<r::Weighed>()
        );
        assert_eq!(named(below(OBJECT, "materials")), keys_of::<r::Material>());
        assert_eq!(named(below(OBJECT, "rights")), keys_of::<r::Rights>());
        assert_eq!(named(below(OBJECT, "sources")), keys_of::<r::Source>());
        assert_eq!(
            named(below(OBJECT, "differences")),
            keys_of::<r::DeclaredDifference>()
        );
        assert_eq!(named(below(OBJECT, "front")), keys_of::<r::ViewFrom>());
        assert_eq!(
            named(below(OBJECT, "photographs")),
            keys_of::<r::Photograph>()
        );
        assert_eq!(named(DETAIL), keys_of::<r::DetailRecord>());
        assert_eq!(named(below(DETAIL, "bearing")), keys_of::<r::Bearing>());
        assert_eq!(named(below(DETAIL, "anchor")), keys_of::<r::Anchor>());
        assert_eq!(named(below(DETAIL, "evidence")), keys_of::<r::Evidence>());
        assert_eq!(named(STEP), keys_of::<r::StepRecord>());
        assert_eq!(named(below(STEP, "quantities")), keys_of::<r::Quantity>());
    }
}
