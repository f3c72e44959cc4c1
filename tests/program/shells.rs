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
    for (shell, check) in [("zsh", "-n"), ("fish", "--no-execute")] {
        let out = counterpart(folder.path(), &["completions", shell]);
        assert!(out.status.success());
        assert!(text(&out.stdout).contains("survey"), "{shell}");
        if there(shell, shell) {
            let script = folder.path().join("script");
            fs::write(&script, out.stdout).unwrap();
            let read = Command::new(shell)
                .arg(check)
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

/// The shell keeps what its editor knows from scripts, so a stand-in takes the completer, which is then asked.
#[test]
fn elvish_completes_commands_and_options() {
    let folder = tempfile::tempdir().unwrap();
    let out = counterpart(folder.path(), &["completions", "elvish"]);
    assert!(out.status.success());
    if !there("elvish", "elvish") {
        return;
    }
    let editor = "var edit: = (ns [&completion:=(ns [&arg-completer=[&]]) \
        &complex-candidate~={|word &display=''| echo $word}])";
    let asked = "$edit:completion:arg-completer[counterpart] counterpart";
    let offered = |words: &str| {
        let script = folder.path().join("script.elv");
        let completions = text(&out.stdout);
        fs::write(
            &script,
            format!("{editor}\n{completions}\n{asked} {words}\n"),
        )
        .unwrap();
        let read = Command::new("elvish")
            .arg("-norc")
            .arg(&script)
            .output()
            .unwrap();
        assert!(read.status.success(), "{}", text(&read.stderr));
        let lines = text(&read.stdout);
        lines.lines().map(str::to_owned).collect::<Vec<_>>()
    };
    let commands = offered("''");
    for command in super::commands() {
        assert!(commands.contains(&command), "{command}: {commands:?}");
    }
    let options = offered("publish ''");
    assert!(options.contains(&"--carry".to_owned()), "{options:?}");
    assert!(!options.contains(&"survey".to_owned()), "{options:?}");
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
