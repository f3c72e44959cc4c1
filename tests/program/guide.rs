//! The guide is followed to the letter: files are written, commands are run, and what is printed is compared.

use super::{PROGRAM, text, there};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A fenced block with its words after the fence, and the line on which it begins.
pub(crate) struct Block {
    pub(crate) words: String,
    pub(crate) body: String,
    pub(crate) line: usize,
}

pub(crate) fn blocks(page: &str) -> Vec<Block> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("guide")
        .join(page);
    let page = fs::read_to_string(path).unwrap();
    let mut blocks = Vec::new();
    let mut open: Option<(String, Block)> = None;
    for (n, line) in page.lines().enumerate() {
        match &mut open {
            None if line.starts_with("```") => {
                let words = line.trim_start_matches('`');
                open = Some((
                    line[..line.len() - words.len()].to_owned(),
                    Block {
                        words: words.to_owned(),
                        body: String::new(),
                        line: n + 1,
                    },
                ));
            }
            None => {}
            Some((fence, _)) if line == fence => blocks.extend(open.take().map(|(_, b)| b)),
            Some((_, block)) => {
                block.body.push_str(line);
                block.body.push('\n');
            }
        }
    }
    assert!(open.is_none(), "a block does not end");
    blocks
}

/// Whether `printed` is what `wanted` says, in which … stands for anything: within a line for anything in
/// it, alone on a line for any lines or none.
fn same(wanted: &[&str], printed: &[&str]) -> bool {
    match wanted.split_first() {
        None => printed.is_empty(),
        Some((&"…", rest)) => (0..=printed.len()).any(|n| same(rest, &printed[n..])),
        Some((line, rest)) => printed
            .split_first()
            .is_some_and(|(first, others)| like(line, first) && same(rest, others)),
    }
}

fn like(wanted: &str, line: &str) -> bool {
    match wanted.split_once('…') {
        None => wanted == line,
        Some((before, after)) => line.strip_prefix(before).is_some_and(|rest| {
            rest.char_indices()
                .map(|(at, _)| at)
                .chain([rest.len()])
                .any(|at| like(after, &rest[at..]))
        }),
    }
}

#[test]
fn the_comparison_can_fail() {
    assert!(same(&["a…c", "…", "z"], &["abc", "1", "2", "z"]));
    assert!(same(&["…"], &[]));
    assert!(!same(&["a…c"], &["ab"]));
    assert!(!same(&["a"], &["a", "b"]));
    assert!(!same(&["a", "…", "z"], &["a", "y"]));
}

/// Runs a line in Bash, with both streams in one.
fn shell(folder: &Path, line: &str) -> Output {
    let bin = Path::new(PROGRAM).parent().unwrap();
    let path = format!("{}:{}", bin.display(), std::env::var("PATH").unwrap());
    Command::new("bash")
        .args(["-c", &format!("{{ {line}\n}} 2>&1")])
        .current_dir(folder)
        .env("PATH", path)
        .env("LC_ALL", "C.UTF-8")
        .output()
        .unwrap()
}

/// Runs the lines that begin with `$`, and compares what each prints (both streams) and its exit code.
fn follow(folder: &Path, page: &str, block: &Block) {
    let mut lines = block.body.lines().peekable();
    while let Some(line) = lines.next() {
        let command = line
            .strip_prefix("$ ")
            .unwrap_or_else(|| panic!("{page}:{}: ‘{line}’ is no command", block.line));
        let mut wanted = Vec::new();
        while let Some(line) = lines.next_if(|l| !l.starts_with("$ ")) {
            wanted.push(line);
        }
        let code = wanted
            .last()
            .and_then(|l| l.strip_prefix('[')?.strip_suffix(']')?.parse::<i32>().ok());
        if code.is_some() {
            wanted.pop();
        }
        let out = shell(folder, command);
        let printed = text(&out.stdout);
        assert_eq!(
            out.status.code(),
            Some(code.unwrap_or(0)),
            "{page}:{}: {command}\n{printed}",
            block.line
        );
        let lines: Vec<&str> = printed.lines().collect();
        assert!(
            same(&wanted, &lines),
            "{page}:{}: {command}\n--- the guide has\n{}\n--- printed was\n{printed}",
            block.line,
            wanted.join("\n")
        );
    }
}

fn put(file: PathBuf, bytes: &[u8]) {
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    fs::write(file, bytes).unwrap();
}

/// The folder in which the guide begins: photographs and recordings of the demonstration.
fn begin() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let demonstration = Path::new(env!("CARGO_MANIFEST_DIR")).join("content/brackwater-mortar");
    for (to, from) in [
        ("photographs/from-above.jpg", "from-above.jpg"),
        (
            "recordings/the-colour.mp3",
            "making/06-lacquer/the-colour.mp3",
        ),
        (
            "recordings/the-colour.en.vtt",
            "making/06-lacquer/the-colour.en.vtt",
        ),
        (
            "recordings/the-colour.cy.vtt",
            "making/06-lacquer/the-colour.cy.vtt",
        ),
    ] {
        put(
            folder.path().join(to),
            &fs::read(demonstration.join(from)).unwrap(),
        );
    }
    folder
}

#[test]
fn every_file_and_command_of_the_guide_is_as_it_says() {
    let folder = begin();
    let mut ran = 0;
    for block in blocks("object.md") {
        match block.words.split_once(' ') {
            Some((_, file)) => put(folder.path().join(file), block.body.as_bytes()),
            None if block.words == "console" => {
                follow(folder.path(), "object.md", &block);
                ran += 1;
            }
            None => panic!("object.md:{}: a block of what?", block.line),
        }
    }
    assert!(ran > 10);
    super::hosts::every_path_is_in(&folder.path().join("display"));
    every_example_of_the_help_works(folder.path());
}

/// Examples of `--help`, where the guide has come to an end; a scan lies beside as they ask.
fn every_example_of_the_help_works(guide: &Path) {
    let empty = tempfile::tempdir().unwrap();
    fs::copy(
        guide.join("surfaces/original-mortar.ply"),
        empty.path().join("scan.ply"),
    )
    .unwrap();
    fs::remove_file(guide.join("objects.csv")).unwrap();
    let mut ran = 0;
    for command in super::commands() {
        let help = text(&super::counterpart(guide, &[&command, "--help"]).stdout);
        let (_, after) = help
            .split_once("Example: ")
            .unwrap_or_else(|| panic!("{command}: {help}"));
        let examples = after.split("\n\n").next().unwrap();
        let words: Vec<&str> = examples.split_whitespace().collect();
        for example in words.join(" ").split("counterpart ").skip(1) {
            let (folder, line, wanted) = match command.as_str() {
                "accession" => (empty.path(), format!("counterpart {example} </dev/null"), 0),
                "desk" => (guide, format!("timeout 2 counterpart {example}"), 124),
                _ => (guide, format!("counterpart {example}"), 0),
            };
            let out = shell(folder, &line);
            let printed = text(&out.stdout);
            assert_eq!(out.status.code(), Some(wanted), "{line}\n{printed}");
            ran += 1;
        }
    }
    assert!(ran >= 10, "{ran}");
}

/// Recipes are for machines that are not here: their grammar is checked.
#[test]
fn recipes_are_well_formed() {
    let mut seen = 0;
    for block in blocks("recipes.md") {
        let at = format!("recipes.md:{}", block.line);
        let file = tempfile::NamedTempFile::new().unwrap();
        fs::write(file.path(), &block.body).unwrap();
        let check: &[&str] = match block.words.split_whitespace().next() {
            Some("bash") => &["bash", "-n"],
            Some("yaml") if there("/usr/bin/python3", "python3 and python3-yaml") => &[
                "/usr/bin/python3",
                "-c",
                "import sys,yaml; d=list(yaml.safe_load_all(open(sys.argv[1]))); assert d and all('kind' in x for x in d)",
            ],
            _ => continue,
        };
        let read = Command::new(check[0])
            .args(&check[1..])
            .arg(file.path())
            .output()
            .unwrap();
        let told = text(&read.stderr);
        if told.contains("No module named 'yaml'") {
            crate::left_out(&format!("{at}: no reader of YAML (Debian: python3-yaml)"));
            continue;
        }
        assert!(read.status.success(), "{at}: {told}");
        seen += 1;
    }
    assert!(seen >= 3, "{seen}");
}
