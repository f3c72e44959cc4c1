//! Bags beside PyPI's `bagit` (Library of Congress, public domain): it finds ours valid and every damage of
//! them, and we find those that it makes valid, and every damage of those.

use counterpart::deposit::{Verdict, verify};
use counterpart::progress::Silence;
use std::fs;
use std::path::Path;
use std::process::Command;

fn judged(bag: &Path) -> Verdict {
    verify(bag, &Silence).unwrap()
}

#[test]
fn each_finds_the_bags_of_the_other_valid() {
    let home = crate::folder();
    let bags = home.join("bags");
    if bags.exists() {
        fs::remove_dir_all(&bags).unwrap();
    }
    fs::create_dir_all(&bags).unwrap();
    let ours = bags.join("ours");
    let done = Command::new(env!("CARGO_BIN_EXE_counterpart"))
        .args(["deposit", "pilgrim-token", "--on", "2026-03-01", "--to"])
        .arg(&ours)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .status()
        .unwrap();
    assert!(done.success());
    let judge = Command::new(home.join("python/bin/python"))
        .arg(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/tests/outside/judge_bags.py"
        ))
        .args([&ours.join("pilgrim-token"), &bags])
        .status()
        .unwrap();
    assert!(judge.success(), "see what the judge said above");
    let mut seen = 0;
    for entry in fs::read_dir(bags.join("theirs")).unwrap() {
        let bag = entry.unwrap().path();
        let verdict = judged(&bag);
        assert!(
            verdict.complete && verdict.valid,
            "{}: {verdict:#?}",
            bag.display()
        );
        assert_eq!(verdict.version.as_deref(), Some("0.97"));
        assert_eq!(verdict.files, 6, "{}", bag.display());
        seen += 1;
        if !bag.is_dir() {
            continue;
        }
        let file = bag.join("data/folder/é ö.txt");
        let whole = fs::read(&file).unwrap();
        fs::write(&file, "other").unwrap();
        assert!(!judged(&bag).valid, "{}", bag.display());
        fs::remove_file(&file).unwrap();
        assert!(!judged(&bag).complete, "{}", bag.display());
        fs::write(&file, whole).unwrap();
        fs::write(bag.join("data/stray"), "").unwrap();
        assert!(!judged(&bag).complete, "{}", bag.display());
        fs::remove_file(bag.join("data/stray")).unwrap();
        assert!(judged(&bag).valid);
    }
    assert_eq!(seen, 6);
    println!("{seen} bags by bagit are valid, and their damages are found");
}
