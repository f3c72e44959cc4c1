//! Bad content folders: each fault is found, with its rule, file, line and column.

mod cases;
mod good;
mod told;

use cases::{Case, Lay, cases};
use counterpart::limits::Limits;
use counterpart::record::{Day, Finding, Reading, Severity, read, report};
use std::path::Path;

fn limits() -> Limits {
    Limits {
        folder_depth: 7,
        ..Limits::default()
    }
}

fn read_at(root: &Path) -> Reading {
    read(root, Day::new(2025, 6, 1).expect("a day"), &limits())
}

fn good_folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    good::write(folder.path());
    folder
}

/// Lays the fault; gives the file and the place where a finding is expected.
fn lay(root: &Path, case: &Case) -> (String, Option<(usize, usize)>) {
    let file = |default: &str| case.file.unwrap_or(default).to_owned();
    match &case.lay {
        Lay::Change(name, old, new) => {
            let text = std::fs::read_to_string(root.join(name)).expect("the file is there");
            assert!(
                text.contains(old),
                "{}: the text to change is not in {name}",
                case.name
            );
            let changed = text.replacen(old, new, 1);
            let place = changed.rfind('«').map(|at| {
                let before = changed[..at].replace('«', "");
                let line = before.matches('\n').count() + 1;
                (
                    line,
                    before.rsplit('\n').next().unwrap_or("").chars().count() + 1,
                )
            });
            good::put(root, name, changed.replace('«', "").as_bytes());
            (file(name), place)
        }
        Lay::Write(name, bytes) => {
            good::put(root, name, bytes);
            (file(name), None)
        }
        Lay::Remove(name) => {
            std::fs::remove_file(root.join(name)).expect("it can be removed");
            (file(name), Some((1, 1)))
        }
        Lay::Rename(old, new) => {
            std::fs::rename(root.join(old), root.join(new)).expect("it can be renamed");
            (file(new), Some((1, 1)))
        }
        Lay::Link(name, to) => {
            std::os::unix::fs::symlink(to, root.join(name)).expect("a link can be made");
            (file(name), Some((1, 1)))
        }
    }
}

#[test]
fn the_good_folder_has_no_finding() {
    let folder = good_folder();
    let reading = read_at(folder.path());
    assert!(
        reading.findings.is_empty(),
        "{}",
        report::plain(&reading.findings, &reading.sources, false)
    );
    let catalogue = reading.catalogue.expect("a catalogue");
    assert_eq!(catalogue.objects.len(), 1);
    assert_eq!(catalogue.objects[0].details.len(), 2);
    assert_eq!(catalogue.objects[0].making[0].number, 1);
    assert_eq!(catalogue.terms.len(), 1);
}

#[test]
fn every_fault_is_found_in_its_place() {
    let mut failures = String::new();
    for case in cases() {
        let folder = good_folder();
        let (file, place) = lay(folder.path(), case);
        let reading = read_at(folder.path());
        let severity = if case.error {
            Severity::Error
        } else {
            Severity::Advice
        };
        let expected = |f: &&Finding| {
            f.rule == case.rule
                && f.place.file == file
                && f.severity == severity
                && place
                    .is_none_or(|(line, column)| (f.place.line, f.place.column) == (line, column))
        };
        let found = reading.findings.iter().any(|f| expected(&f));
        // Shown with `-- --nocapture`: the list of bad inputs and what is said of each.
        for finding in reading.findings.iter().filter(expected) {
            let at = &finding.place;
            println!(
                "{}\n  {}:{}:{} [{}] {} {}",
                case.name, at.file, at.line, at.column, finding.rule, finding.what, finding.remedy
            );
        }
        if !found || reading.findings.refuse() != case.error {
            failures += &format!(
                "{}: wanted {} in {file} at {place:?}; found\n{}\n",
                case.name,
                case.rule,
                report::plain(&reading.findings, &reading.sources, false)
            );
        }
    }
    assert!(failures.is_empty(), "{failures}");
}

#[test]
fn there_are_many_cases_and_no_two_share_a_name() {
    let names: std::collections::BTreeSet<&str> = cases().map(|c| c.name).collect();
    assert_eq!(names.len(), cases().count());
    assert!(names.len() >= 45);
}

#[test]
fn several_faults_of_one_file_are_all_told() {
    let folder = good_folder();
    let name = "mortar/details/hare/record.toml";
    let text = std::fs::read_to_string(folder.path().join(name)).expect("the file is there");
    let bad = text
        .replace("kind = \"motif\"", "kimd = \"motif\"\nordr = 1")
        .replace("radius_mm = 4.0", "radius_mm = \"4\"")
        .replace("rights = \"lent\"", "rights = \"loan\"")
        .replace(
            "evidence = { ground = \"observed\" }",
            "evidence = { ground = \"seen\" }",
        );
    good::put(folder.path(), name, bad.as_bytes());
    let reading = read_at(folder.path());
    let found: Vec<(&str, usize)> = reading
        .findings
        .iter()
        .map(|f| (f.rule, f.place.line))
        .collect();
    let wanted = [
        ("missing-key", 1),
        ("unknown-key", 2),
        ("unknown-key", 3),
        ("wrong-type", 6),
        ("unknown-word", 8),
        ("unknown-rights", 13),
    ];
    assert_eq!(
        found,
        wanted,
        "{}",
        report::plain(&reading.findings, &reading.sources, false)
    );
}

#[test]
fn limits_hold_at_the_edge_and_just_beyond() {
    let folder = good_folder();
    let longest = good::FILES
        .iter()
        .map(|(_, text)| text.len() as u64)
        .max()
        .expect("there are files");
    let today = Day::new(2025, 6, 1).expect("a day");
    let edge = Limits {
        text_bytes: longest,
        photograph_pixels: 48,
        ..limits()
    };
    assert!(read(folder.path(), today, &edge).findings.is_empty());
    for beyond in [
        Limits {
            text_bytes: longest - 1,
            ..edge
        },
        Limits {
            photograph_pixels: 47,
            ..edge
        },
        Limits {
            photograph_bytes: 10,
            ..edge
        },
        Limits {
            recording_bytes: 100,
            ..edge
        },
        Limits {
            model_bytes: 4,
            ..edge
        },
    ] {
        let reading = read(folder.path(), today, &beyond);
        assert!(
            reading.findings.iter().any(|f| f.rule == "oversized-file"),
            "{beyond:?}"
        );
        assert!(reading.findings.refuse());
    }
}

#[test]
fn a_file_cut_at_any_byte_is_a_finding_or_a_catalogue_and_never_a_panic() {
    let cut = |name: &str| {
        let folder = good_folder();
        let text = std::fs::read(folder.path().join(name)).expect("the file is there");
        for end in 0..text.len() {
            good::put(folder.path(), name, &text[..end]);
            let reading = read_at(folder.path());
            assert_eq!(
                reading.findings.refuse() || reading.catalogue.is_none(),
                reading.findings.refuse(),
                "{name} cut at {end}"
            );
            report::plain(&reading.findings, &reading.sources, true);
        }
    };
    std::thread::scope(|threads| {
        for name in [
            "mortar/details/hare/record.toml",
            "mortar/details/hare/en.md",
            "mortar/making/01-scan/record.toml",
            "mortar/making/01-scan/talk.en.vtt",
            "site.toml",
            "translations.toml",
        ] {
            threads.spawn(move || cut(name));
        }
    });
}

#[test]
fn the_report_shows_the_place_and_counts() {
    let folder = good_folder();
    let name = "mortar/en.md";
    good::put(folder.path(), name, b"# The mortar\n\n[x](detail:hair)\n");
    std::fs::remove_file(folder.path().join("translations.toml")).expect("it can be removed");
    let reading = read_at(folder.path());
    let text = report::plain(&reading.findings, &reading.sources, false);
    assert!(text.contains("mortar/en.md:3:1"), "{text}");
    assert!(text.contains("detail:hare"), "{text}");
    assert!(
        text.ends_with("One error and one piece of advice.\n"),
        "{text}"
    );
    let json: serde_json::Value =
        serde_json::from_str(&report::json(&reading.findings, &serde_json::Value::Null))
            .expect("it is JSON");
    assert_eq!(
        (&json["format"], &json["errors"], &json["advice"]),
        (&1.into(), &1.into(), &1.into())
    );
}
