//! Many edits by chance: what is published over the earlier site is, byte for byte, what a clean publication
//! gives, and nothing is made that does not depend on the edit.

mod collection;
mod edit;
mod meddle;

use crate::dice::Dice;
use crate::tree::{Place, files};
use collection::{Collection, Rendered};
use edit::Also;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// What a publication said.
struct Said {
    report: Value,
    /// Objects that were made, or `None` when everything was.
    made: Option<BTreeSet<String>>,
    /// Advice on the records, in order.
    advice: Vec<String>,
}

fn publish(place: &Place, collection: &Collection, args: &[&str]) -> Said {
    let day = format!("2026-03-{:02}", collection.day);
    let all = [&["publish", "--json", "--explain", "--on", &day], args].concat();
    let out = place.run(&all);
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success(), "{said}");
    // What the earlier site at the same place had, a clean one cannot have lost.
    let advice = said
        .split("\n\n")
        .filter(|s| s.starts_with("advice") && !s.contains("address-lost"));
    let advice = advice.map(str::to_owned).collect();
    let report: Value = serde_json::from_slice(&out.stdout).unwrap();
    let explained = &report["explained"];
    let made = explained["all"].is_null().then(|| {
        let objects = explained["objects"].as_array().unwrap().iter();
        objects.map(|o| o[0].as_str().unwrap().to_owned()).collect()
    });
    Said {
        report,
        made,
        advice,
    }
}

fn walk(seed: u64, edits: usize) {
    let place = Place::in_memory();
    fs::remove_dir_all(place.path("content")).unwrap();
    let mut dice = Dice(seed);
    let mut collection = Collection::new();
    let mut before = Rendered::new();
    let mut kinds: BTreeMap<String, usize> = BTreeMap::new();
    let mut made_all = 0;
    for number in 0..=edits {
        let (told, also) = match number {
            0 => ("the first".to_owned(), Also::default()),
            _ => collection.edit(&mut dice, &place),
        };
        let after = collection.rendered();
        let mut changed = BTreeSet::new();
        for (name, bytes) in &after {
            if before.get(name) != Some(bytes) {
                let path = place.path("content").join(name);
                fs::create_dir_all(path.parent().unwrap()).unwrap();
                fs::write(path, bytes).unwrap();
                changed.insert(name.clone());
            }
        }
        for name in before.keys().filter(|name| !after.contains_key(*name)) {
            let path = place.path("content").join(name);
            fs::remove_file(&path).unwrap();
            // A folder without files is no object.
            let folders = path.ancestors().skip(1);
            for _ in folders.take_while(|folder| fs::remove_dir(folder).is_ok()) {}
            changed.insert(name.clone());
        }
        let named = format!("{seed}, edit {number}: {told}");
        let Said {
            report,
            made,
            advice,
        } = publish(&place, &collection, &[]);
        // What depends on the edit, and nothing else.
        let owner = |name: &String| name.split('/').next().unwrap().to_owned();
        let owners: BTreeSet<String> = changed.iter().map(owner).collect();
        let shared = owners.iter().any(|name| !name.starts_with("thing-"));
        if number == 0 || shared || also.all {
            assert_eq!(made, None, "{named}: {report}");
            made_all += 1;
        } else {
            let mut wanted = also.objects;
            wanted.extend(owners);
            wanted.retain(|id| collection.things.contains_key(id));
            assert_eq!(made, Some(wanted), "{named}: {report}");
        }
        if changed.is_empty() && made.as_ref().is_some_and(BTreeSet::is_empty) {
            assert_eq!(report["explained"]["written"], 0, "{named}: {report}");
        }
        // The same, from the ground; sometimes from a store that has nothing.
        for beside in ["clean", ".clean.counterpart", "cold"] {
            let _ = fs::remove_dir_all(place.path(beside));
        }
        let store = if number % 25 == 24 {
            "cold"
        } else {
            ".counterpart"
        };
        let clean = publish(&place, &collection, &["--to", "clean", "--store", store]);
        assert_eq!(advice, clean.advice, "{named}");
        let (over, clean) = (files(&place.path("display")), files(&place.path("clean")));
        for (a, b) in over.iter().zip(&clean) {
            assert!(a == b, "{named}: {} or {} is another", a.0, b.0);
        }
        assert_eq!(over.len(), clean.len(), "{named}");
        place.nothing_half_beside("display");
        let records = fs::metadata(place.path(".display.counterpart/records")).unwrap();
        assert!(
            records.len() > 0,
            "{named}: no record is known: {:?}",
            advice
        );
        *kinds.entry(told).or_default() += 1;
        before = after;
    }
    println!("{edits} edits, {made_all} times everything was made: {kinds:?}");
}

/// EDITS=1000 for more.
fn edits() -> usize {
    std::env::var("EDITS").map_or(200, |n| n.parse().unwrap()) / 2
}

#[test]
fn published_over_the_earlier_site_it_is_the_same_as_from_the_ground() {
    walk(1, edits());
}

#[test]
fn the_same_by_another_chance() {
    walk(2, edits());
}
