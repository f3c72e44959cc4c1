//! In which language the program speaks.

use super::{PROGRAM, commands, text};
use std::path::Path;
use std::process::{Command, Output};

fn said(folder: &Path, locale: &str, args: &[&str]) -> Output {
    Command::new(PROGRAM)
        .args(args)
        .current_dir(folder)
        .env("LC_ALL", locale)
        .output()
        .unwrap()
}

fn folder_with_a_fault() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let object = folder.path().join("content/jug");
    std::fs::create_dir_all(&object).unwrap();
    std::fs::write(object.join("record.toml"), "format = 1\n").unwrap();
    folder
}

#[test]
fn findings_are_told_in_the_language_of_the_locale() {
    let folder = folder_with_a_fault();
    let english = said(folder.path(), "C", &["survey"]);
    let welsh = said(folder.path(), "cy_GB.UTF-8", &["survey"]);
    assert_eq!(
        (english.status.code(), welsh.status.code()),
        (Some(1), Some(1))
    );
    let (english, welsh) = (text(&english.stdout), text(&welsh.stdout));
    assert!(
        english.contains("error[") && english.contains("help: "),
        "{english}"
    );
    assert!(
        welsh.contains("gwall[") && welsh.contains("cymorth: "),
        "{welsh}"
    );
    assert!(
        !welsh.contains("error[") && !welsh.contains("help: "),
        "{welsh}"
    );
    // Rules and places are the same.
    let rules = |told: &str| told.matches('[').count();
    assert_eq!(rules(&english), rules(&welsh), "{english}{welsh}");
    assert_eq!(
        english.matches("--> ").count(),
        welsh.matches("--> ").count()
    );
}

#[test]
fn an_option_is_stronger_than_the_locale_and_json_knows_no_language() {
    let folder = folder_with_a_fault();
    let chosen = said(folder.path(), "C", &["survey", "--language", "cy"]);
    assert!(text(&chosen.stdout).contains("gwall["));
    let chosen = said(folder.path(), "cy", &["--language=en", "survey"]);
    assert!(text(&chosen.stdout).contains("error["));
    let none = said(folder.path(), "C", &["survey", "--language", "xx"]);
    assert_eq!(none.status.code(), Some(2), "{}", text(&none.stderr));
    assert!(text(&none.stderr).contains("cy"), "{}", text(&none.stderr));
    let json = |locale| said(folder.path(), locale, &["survey", "--json"]).stdout;
    assert_eq!(text(&json("C")), text(&json("cy")));
}

/// All but what the parser says itself.
#[test]
fn help_teaches_in_the_language_too() {
    let here = Path::new(".");
    let program = text(&said(here, "cy", &["--help"]).stdout);
    for heading in ["Defnydd: ", "Gorchmynion:", "Dewisiadau:"] {
        assert!(program.contains(heading), "{program}");
    }
    for command in commands() {
        let english = text(&said(here, "C", &[&command, "--help"]).stdout);
        let welsh = text(&said(here, "cy", &[&command, "--help"]).stdout);
        assert!(welsh.contains("Defnydd: counterpart "), "{welsh}");
        assert!(welsh.contains("-h, --help"), "{welsh}");
        let lines = english.lines().map(str::trim);
        // Prose only: values, addresses and example commands are the same in every language.
        let prose = lines.filter(|line| {
            line.split(' ')
                .filter(|w| w.chars().all(char::is_alphabetic))
                .count()
                >= 4
        });
        let prose =
            prose.filter(|line| !line.contains("counterpart ") && !line.starts_with(['[', '-']));
        let kept: Vec<&str> = prose.filter(|line| welsh.contains(line)).collect();
        assert!(kept.is_empty(), "{command}: {kept:#?}");
    }
}

#[test]
fn first_steps_and_refusals_are_told_too() {
    let folder = tempfile::tempdir().unwrap();
    let none = said(folder.path(), "cy", &["publish"]);
    assert_eq!(none.status.code(), Some(1));
    let told = text(&none.stderr);
    assert!(told.contains("counterpart desk"), "{told}");
    assert!(
        !told.contains("There is no folder") && !told.contains("To begin"),
        "{told}"
    );
}
