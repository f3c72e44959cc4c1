//! The work of publishing, spread over many machines that share a store.

use crate::tree::{Place, files};
use serde_json::Value;
use std::collections::BTreeSet;
use std::process::Output;

fn stored(place: &Place, store: &str) -> BTreeSet<String> {
    let all = files(&place.path(store)).into_iter();
    all.map(|(name, _)| name).collect()
}

fn done(out: &Output) {
    assert_eq!(
        out.status.code(),
        Some(0),
        "{}{}",
        String::from_utf8_lossy(&out.stdout),
        String::from_utf8_lossy(&out.stderr)
    );
}

#[test]
fn the_plan_names_every_object_with_files_that_are_there() {
    let place = Place::new();
    let out = place.run(&["publish", "--plan", "json"]);
    done(&out);
    let plan: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(plan["format"], 1);
    let units = plan["units"].as_array().unwrap();
    assert_eq!(units.len(), 1);
    assert_eq!(units[0]["object"], "box");
    assert!(units[0]["estimated_seconds"].as_f64().unwrap() > 0.0);
    assert!(!units[0]["work"].as_array().unwrap().is_empty());
    assert!(!units[0]["outputs"].as_array().unwrap().is_empty());
    let mut named = BTreeSet::new();
    for list in [&plan["shared_inputs"], &units[0]["inputs"]] {
        for input in list.as_array().unwrap() {
            let path = input["path"].as_str().unwrap();
            let found = place.path("content").join(path).metadata().unwrap();
            assert_eq!(input["bytes"].as_u64(), Some(found.len()), "{path}");
            assert!(named.insert(path.to_owned()), "{path} is named twice");
        }
    }
    assert_eq!(
        named,
        stored(&place, "content"),
        "every file is read by somebody"
    );
    assert!(!place.path("display").exists() && !place.path(".counterpart").exists());
}

#[test]
fn what_one_machine_has_made_another_takes_from_the_shared_store() {
    let place = Place::new();
    done(&place.run(&["publish", "--to", "plain"]));
    // Two at once on the same object: whoever comes second loses nothing.
    let mut both: Vec<_> = (0..2)
        .map(|_| {
            let mut command = place.command(&["publish", "--only", "box", "--store", "shared"]);
            command.stdout(std::process::Stdio::piped());
            command.stderr(std::process::Stdio::piped());
            command.spawn().unwrap()
        })
        .collect();
    for child in both.drain(..) {
        done(&child.wait_with_output().unwrap());
    }
    assert!(!place.path("display").exists(), "no site is written");
    let before = stored(&place, "shared");
    assert!(before.len() > 5, "{before:?}");
    assert!(before.iter().all(|name| !name.ends_with(".part")));
    done(&place.run(&["publish", "--store", "shared", "--to", "spread"]));
    // Only the picture of the site as a whole is nobody's but the last one's.
    let after = stored(&place, "shared");
    assert!(before.is_subset(&after));
    assert_eq!(after.len(), before.len() + 1, "nothing else was made anew");
    assert!(
        files(&place.path("plain")) == files(&place.path("spread")),
        "the sites differ"
    );
}

#[test]
fn a_store_that_keeps_nothing_is_a_failure_of_whoever_was_to_fill_it() {
    let place = Place::new();
    place.write("shared", "no folder");
    let out = place.run(&["publish", "--only", "box", "--store", "shared"]);
    assert_eq!(out.status.code(), Some(3));
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(said.contains("could not be kept"), "{said}");
}

#[test]
fn an_object_that_is_not_there_is_told_with_those_that_are() {
    let place = Place::new();
    let out = place.run(&["publish", "--only", "bix", "--store", "shared"]);
    assert_eq!(out.status.code(), Some(1));
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(
        said.contains("‘bix’") && said.contains("Objects: box."),
        "{said}"
    );
}
