//! The shapes against the types that serde reads.

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
        while let List(inner) | ById(inner) | ByFile(inner) = shape {
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
    assert_eq!(named(TRANSLATIONS), keys_of::<r::Translations>());
    assert_eq!(
        named(below(TRANSLATIONS, "notes")),
        keys_of::<r::MadeFrom>()
    );
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
    assert_eq!(
        named(below(OBJECT, "bodies.original.scan")),
        keys_of::<r::Scan>()
    );
    assert_eq!(
        named(below(OBJECT, "bodies.original.calipers")),
        keys_of::<r::Caliper>()
    );
    assert_eq!(named(below(OBJECT, "materials")), keys_of::<r::Material>());
    assert_eq!(named(below(OBJECT, "rights")), keys_of::<r::Rights>());
    assert_eq!(named(below(OBJECT, "sources")), keys_of::<r::Source>());
    assert_eq!(
        named(below(OBJECT, "differences")),
        keys_of::<r::DeclaredDifference>()
    );
    assert_eq!(named(below(OBJECT, "collation")), keys_of::<r::Collation>());
    assert_eq!(
        named(below(OBJECT, "collation.pairs")),
        keys_of::<r::PlacePair>()
    );
    assert_eq!(
        named(below(OBJECT, "collation.accepted")),
        keys_of::<r::AcceptedDifference>()
    );
    assert_eq!(named(below(OBJECT, "front")), keys_of::<r::ViewFrom>());
    assert_eq!(
        named(below(OBJECT, "photographs")),
        keys_of::<r::Photograph>()
    );
    assert_eq!(named(below(STEP, "recordings")), keys_of::<r::Recording>());
    assert_eq!(named(DETAIL), keys_of::<r::DetailRecord>());
    assert_eq!(named(below(DETAIL, "bearing")), keys_of::<r::Bearing>());
    assert_eq!(named(below(DETAIL, "anchor")), keys_of::<r::Anchor>());
    assert_eq!(named(below(DETAIL, "elsewhere")), keys_of::<r::Patch>());
    assert_eq!(named(below(DETAIL, "evidence")), keys_of::<r::Evidence>());
    assert_eq!(named(TERM), keys_of::<r::TermRecord>());
    assert_eq!(named(STEP), keys_of::<r::StepRecord>());
    assert_eq!(named(below(STEP, "quantities")), keys_of::<r::Quantity>());
}
