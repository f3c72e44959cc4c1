//! Killed at any moment: nothing that was said to be written is lost, and nothing is half-written.

use super::{Place, all, at, file, folder};
use counterpart::desk::pen::{Fresh, Pen, Refusal, WindowId};
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

/// Where the child works; set by the parent.
const CHILD: &str = "PEN_TEST_CHILD";
const ROUNDS: u64 = 60;
const THREE: [&str; 3] = ["a/record.toml", "a/en.md", "a/details/b/cy.md"];

fn open(home: &Path) -> Pen {
    Pen::open(&home.join("content"), &home.join("keep")).expect("it opens after any end")
}

/// Not a test of its own: what the child does until it is killed.
#[test]
fn child() {
    let Some(home) = std::env::var_os(CHILD).map(PathBuf::from) else {
        return;
    };
    let pen = open(&home);
    let mut out = std::io::stdout();
    let mut say = |word: &str, n: u64| {
        writeln!(out, "\n{word} {n}").unwrap();
        out.flush().unwrap();
    };
    let first = number(&pen);
    for n in first + 1.. {
        let leaves = THREE.map(|name| Fresh {
            file: file(name),
            expected: pen.read(&file(name)).unwrap().map(|l| l.version),
            text: text(n),
        });
        pen.write_all(&leaves, &format!("Number {n}"), at(n as i64))
            .unwrap();
        say("wrote", n);
        pen.draft(
            &WindowId::new("w").unwrap(),
            &file("a/fr.md"),
            None,
            &text(n),
            at(0),
        )
        .unwrap();
        say("drafted", n);
        let photograph = file(&format!("a/{n}.jpg"));
        pen.take_in(&photograph, &mut text(n).as_bytes(), 1 << 20, at(0))
            .unwrap();
        say("took", n);
        let binned = pen.bin(&folder("a/details/b"), at(0)).unwrap();
        say("binned", n);
        pen.restore(&binned.id, at(0)).unwrap();
        say("restored", n);
    }
}

/// Long enough that a file could be caught half-written.
fn text(n: u64) -> String {
    format!("{n} ").repeat(4000)
}

fn number(pen: &Pen) -> u64 {
    let read = pen.read(&file(THREE[0])).unwrap();
    read.map_or(0, |leaf| {
        leaf.text.split(' ').next().unwrap().parse().unwrap()
    })
}

#[test]
fn killed_at_random_moments_nothing_is_lost() {
    let place = Place::new();
    let home = place.beside("home");
    std::fs::create_dir_all(home.join("content")).unwrap();
    let mut took = Vec::new();
    let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
    let (mut finished, mut back, mut acknowledged) = (0, 0, 0);
    for round in 0..ROUNDS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args([
                "--exact",
                "killed::child",
                "--nocapture",
                "--test-threads=1",
            ])
            .env(CHILD, &home)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap());
        let reader = std::thread::spawn(move || {
            let mut said = std::collections::BTreeMap::new();
            let mut took = Vec::new();
            for line in lines.lines().map_while(Result::ok) {
                if let Some((word, n)) = line.split_once(' ')
                    && let Ok(n) = n.parse::<u64>()
                {
                    said.insert(word.to_owned(), n);
                    if word == "took" {
                        took.push(n);
                    }
                }
            }
            (said, took)
        });
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        std::thread::sleep(Duration::from_micros(20_000 + (seed >> 33) % 130_000));
        child.kill().unwrap();
        child.wait().unwrap();
        let (said, more) = reader.join().unwrap();
        took.extend(more);
        acknowledged += said.values().count();
        let pen = open(&home);
        match pen.recovered() {
            Some(recovered) if recovered.finished => finished += 1,
            Some(_) => back += 1,
            None => {}
        }
        // The folder may have been on its way to the bin.
        let thing = pen.binned().unwrap();
        if let [binned] = &thing[..] {
            pen.restore(&binned.id, at(0)).unwrap();
        }
        assert!(thing.len() <= 1, "round {round}: {thing:?}");
        let n = number(&pen);
        for name in THREE {
            let found = pen.read(&file(name)).unwrap().map(|l| l.text);
            let wanted = (n > 0).then(|| text(n));
            assert!(found == wanted, "round {round}: {name} is not at {n}");
        }
        let got = |word: &str| said.get(word).copied().unwrap_or(0);
        assert!(
            n >= got("wrote"),
            "round {round}: {} was acknowledged, {n} is there",
            got("wrote")
        );
        let drafts = pen.drafts().unwrap();
        let draft = drafts
            .first()
            .map_or(0, |d| d.text.split(' ').next().unwrap().parse().unwrap());
        assert!(draft >= got("drafted"), "round {round}: a draft was lost");
        assert!(drafts.iter().all(|d| d.text == text(draft)));
        for &k in &took {
            let path = home.join(format!("content/a/{k}.jpg"));
            assert_eq!(
                std::fs::read_to_string(path).unwrap(),
                text(k),
                "round {round}"
            );
        }
        for (name, _) in all(&home.join("content")) {
            assert!(
                !name.contains("/."),
                "round {round}: {name} was left behind"
            );
        }
    }
    println!(
        "{acknowledged} kinds of work acknowledged; after the kill {finished} were finished, {back} taken back"
    );
    // And all of it can still be taken back to the beginning.
    let pen = open(&home);
    loop {
        match pen.undo(at(0)) {
            Ok(_) => {}
            Err(Refusal::NothingToUndo) => break,
            Err(other) => panic!("{other}"),
        }
    }
    assert_eq!(
        all(&home.join("content")).len(),
        1,
        "the content folder is empty again"
    );
}
