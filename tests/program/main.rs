//! The program as it is handed out: its size, what shells and `man` make of it, where it writes escape codes,
//! and the guide, every file and command of which is tried. Links none of the library.
#![cfg(unix)]

mod guide;
mod hosts;
mod language;
mod shells;

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output};

const PROGRAM: &str = env!("CARGO_BIN_EXE_counterpart");

fn counterpart(folder: &Path, args: &[&str]) -> Output {
    Command::new(PROGRAM)
        .args(args)
        .current_dir(folder)
        .env_remove("NO_COLOR")
        .env("LC_ALL", "C")
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Says what is left out, in a way that a passing test does not keep to itself.
fn left_out(what: &str) {
    let _ = writeln!(std::io::stderr(), "LEFT OUT: {what}");
}

/// Whether this command is there; where it is not, what is left out is said.
fn there(command: &str, package: &str) -> bool {
    let found = Command::new("sh")
        .args(["-c", &format!("command -v {command} >/dev/null")])
        .status()
        .unwrap()
        .success();
    if !found {
        left_out(&format!("{command} is not installed (Debian: {package})"));
    }
    found
}

/// The commands, as `--help` lists them.
fn commands() -> Vec<String> {
    let help = text(&counterpart(Path::new("."), &["--help"]).stdout);
    let commands: Vec<String> = help
        .lines()
        .skip_while(|l| *l != "Commands:")
        .skip(1)
        .take_while(|l| !l.is_empty())
        .filter(|l| l.starts_with("  ") && !l.starts_with("   "))
        .filter_map(|l| l.split_whitespace().next())
        .filter(|c| *c != "help")
        .map(str::to_owned)
        .collect();
    assert!(commands.len() >= 9, "{commands:?}");
    commands
}

#[test]
fn the_program_is_smaller_than_forty_megabytes() {
    let bytes = std::fs::metadata(PROGRAM).unwrap().len();
    assert!(bytes < 40_000_000, "{bytes} bytes");
}

#[test]
fn no_escape_codes_but_on_terminals_or_where_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("content")).unwrap();
    std::fs::write(folder.path().join("content/site.toml"), "format = 2\n").unwrap();
    let coloured = |args: &[&str]| {
        let out = counterpart(folder.path(), args);
        assert_eq!(out.status.code(), Some(1), "{}", text(&out.stderr));
        assert!(text(&out.stdout).contains("site.toml"));
        out.stdout.contains(&0x1b) || out.stderr.contains(&0x1b)
    };
    assert!(!coloured(&["survey"]));
    assert!(!coloured(&["survey", "--color", "never"]));
    assert!(coloured(&["survey", "--color", "always"]));
    assert!(coloured(&["--colour", "always", "survey"]));
    for args in [&["--help"][..], &["publish", "--nothing"]] {
        let out = counterpart(folder.path(), args);
        assert!(!out.stdout.contains(&0x1b) && !out.stderr.contains(&0x1b));
    }
}

/// A real terminal, lent by `script` (util-linux).
#[test]
fn a_terminal_has_colours_unless_no_color_is_set() {
    if !there("script", "bsdutils") {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("content")).unwrap();
    let typed = |no_color: Option<&str>| {
        let mut command = Command::new("script");
        command
            .args(["-qec", &format!("{PROGRAM} survey"), "/dev/null"])
            .current_dir(folder.path())
            .env("TERM", "xterm")
            .env_remove("NO_COLOR");
        if let Some(value) = no_color {
            command.env("NO_COLOR", value);
        }
        let out = command.output().unwrap();
        assert!(
            text(&out.stdout).contains("site.toml"),
            "{}",
            text(&out.stdout)
        );
        out.stdout.contains(&0x1b)
    };
    assert!(typed(None));
    assert!(typed(Some("")), "no-color.org: only when not empty");
    assert!(!typed(Some("1")));
}

#[test]
fn an_empty_folder_is_told_what_to_do_in_three_lines() {
    let folder = tempfile::tempdir().unwrap();
    for args in [
        &[][..],
        &["survey"],
        &["publish"],
        &["publish", "elsewhere"],
    ] {
        let out = counterpart(folder.path(), args);
        let told = text(&out.stderr);
        assert_eq!(out.status.code(), Some(1));
        assert_eq!(told.lines().count(), 3, "{told}");
        assert!(told.contains("counterpart accession "), "{told}");
        assert!(told.contains("counterpart desk"), "{told}");
    }
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    // The line that is to be written does what it says.
    let out = counterpart(folder.path(), &["accession", "chalice"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    assert!(folder.path().join("content/chalice/record.toml").is_file());
}
