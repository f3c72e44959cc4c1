//! Completions in the shells that they are for, and manual pages read by `man`.

use super::{PROGRAM, counterpart, text, there};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// What Bash offers when these words have been typed and Tab is pressed on the last.
fn offered(script: &Path, words: &[&str]) -> Vec<String> {
    let quoted: Vec<String> = words.iter().map(|w| format!("'{w}'")).collect();
    let typed = words.join(" ");
    let ask = format!(
        "source {}; COMP_WORDS=({}); COMP_CWORD={}; COMP_LINE='{typed}'; COMP_POINT=${{#COMP_LINE}}; \
         f=$(complete -p counterpart | sed 's/.*-F \\([^ ]*\\).*/\\1/'); \
         \"$f\" counterpart '{}' '{}'; printf '%s\\n' \"${{COMPREPLY[@]}}\"",
        script.display(),
        quoted.join(" "),
        words.len() - 1,
        words[words.len() - 1],
        words[words.len() - 2],
    );
    let out = Command::new("bash")
        .args(["--norc", "-c", &ask])
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", text(&out.stderr));
    text(&out.stdout)
        .split_whitespace()
        .map(str::to_owned)
        .collect()
}

#[test]
fn bash_completes_commands_options_and_values() {
    let folder = tempfile::tempdir().unwrap();
    let out = counterpart(folder.path(), &["completions", "bash"]);
    assert!(out.status.success());
    let script = folder.path().join("counterpart.bash");
    fs::write(&script, out.stdout).unwrap();
    assert_eq!(offered(&script, &["counterpart", "sur"]), ["survey"]);
    assert_eq!(
        offered(&script, &["counterpart", "publish", "--car"]),
        ["--carry"]
    );
    assert_eq!(
        offered(&script, &["counterpart", "exchange", "--as", "l"]),
        ["lido"]
    );
}

#[test]
fn other_shells_read_their_completions() {
    let folder = tempfile::tempdir().unwrap();
    for (shell, package, check) in [
        ("zsh", "zsh", &["-n"][..]),
        ("fish", "fish", &["--no-execute"]),
        ("elvish", "elvish", &["-compileonly"]),
        ("powershell", "none in Debian", &["-NoProfile", "-File"]),
    ] {
        let out = counterpart(folder.path(), &["completions", shell]);
        assert!(out.status.success());
        assert!(text(&out.stdout).contains("survey"), "{shell}");
        let binary = if shell == "powershell" { "pwsh" } else { shell };
        if there(binary, package) {
            let script = folder.path().join("script.ps1");
            fs::write(&script, out.stdout).unwrap();
            let read = Command::new(binary)
                .args(check)
                .arg(&script)
                .output()
                .unwrap();
            assert!(read.status.success(), "{shell}: {}", text(&read.stderr));
        }
    }
    assert_eq!(
        counterpart(folder.path(), &["completions", "cmd"])
            .status
            .code(),
        Some(2)
    );
}

#[test]
fn manual_pages_are_read_by_man_without_a_warning() {
    let folder = tempfile::tempdir().unwrap();
    let out = counterpart(folder.path(), &["manual", "--to", "pages"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let commands = super::commands();
    let mut pages: Vec<String> = commands
        .iter()
        .map(|c| format!("counterpart-{c}.1"))
        .collect();
    pages.push("counterpart.1".into());
    let mut written: Vec<String> = fs::read_dir(folder.path().join("pages"))
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    pages.sort();
    written.sort();
    assert_eq!(pages, written);
    let lint = there("mandoc", "mandoc");
    let man = there("man", "man-db");
    for page in &pages {
        let file = folder.path().join("pages").join(page);
        if man {
            let read = Command::new("man")
                .args(["--warnings", "-E", "UTF-8", "-l"])
                .arg(&file)
                .env("MANROFFSEQ", "")
                .env("MANWIDTH", "80")
                .stdin(Stdio::null())
                .output()
                .unwrap();
            assert!(
                read.status.success() && read.stderr.is_empty(),
                "{page}: {}",
                text(&read.stderr)
            );
            assert!(text(&read.stdout).contains("SYNOPSIS"), "{page}");
        }
        if lint {
            let read = Command::new("mandoc")
                .args(["-Tlint", "-Wwarning"])
                .arg(&file)
                .output()
                .unwrap();
            assert!(read.status.success(), "{page}: {}", text(&read.stdout));
        }
    }
    assert!(Path::new(PROGRAM).is_file());
}
