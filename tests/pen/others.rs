//! Two at once: threads, processes, and an editor that saves behind our back.

use super::{Place, at, file, leaf};
use counterpart::desk::pen::{Pen, Refusal};
use std::fs;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

#[test]
fn one_desk_per_folder() {
    let place = Place::new();
    let pen = place.pen();
    assert!(matches!(
        Pen::open(&place.content(), &place.keep()),
        Err(Refusal::Busy { .. })
    ));
    drop(pen);
    place.pen();
}

#[test]
fn of_two_windows_neither_loses_a_line() {
    let place = Place::new();
    place.put("a/en.md", "");
    let pen = place.pen();
    let clashes = AtomicUsize::new(0);
    let (threads, lines) = (4, 25);
    std::thread::scope(|scope| {
        for window in 0..threads {
            let (pen, clashes) = (&pen, &clashes);
            scope.spawn(move || {
                let name = file("a/en.md");
                let mut line = 0;
                while line < lines {
                    let there = leaf(pen, "a/en.md");
                    let text = format!("{}{window}.{line}\n", there.text);
                    match pen.write(&name, Some(&there.version), &text, "", at(0)) {
                        Ok(_) => line += 1,
                        Err(Refusal::Clash { .. }) => drop(clashes.fetch_add(1, Ordering::Relaxed)),
                        Err(other) => panic!("{other}"),
                    }
                }
            });
        }
    });
    println!("{} clashes", clashes.into_inner());
    let text = place.text("a/en.md").unwrap();
    let mut found: Vec<_> = text.lines().collect();
    found.sort_unstable();
    found.dedup();
    assert_eq!(found.len(), threads * lines);
    assert_eq!(pen.history().unwrap().len(), threads * lines);
}

#[test]
fn an_editor_that_saves_meanwhile_keeps_every_line() {
    let place = Place::new();
    place.put("a/en.md", "");
    let pen = place.pen();
    let stop = AtomicBool::new(false);
    let path = place.content().join("a/en.md");
    let aside = place.content().join("a/.en.md.swp");
    // Saves as many editors do: a new file is renamed over the old one. It reads first, so that
    // what it knew of is still there at the end unless somebody overwrote it.
    let saved = std::thread::scope(|scope| {
        let editor = scope.spawn(|| {
            let mut text = String::new();
            let mut saved = 0;
            while !stop.load(Ordering::Relaxed) {
                text.push_str(&format!("theirs {saved}\n"));
                fs::write(&aside, &text).unwrap();
                fs::rename(&aside, &path).unwrap();
                saved += 1;
                std::thread::sleep(std::time::Duration::from_micros(700 + saved % 13 * 300));
                let now = fs::read_to_string(&path).unwrap();
                // A window's line may stand in front of ours or behind it; none of ours may be gone.
                for n in 0..saved {
                    assert!(
                        now.contains(&format!("theirs {n}\n")),
                        "the editor's line {n} was overwritten"
                    );
                }
            }
            saved
        });
        let (mut ours, mut clashes) = (0, 0);
        for n in 0..150 {
            let there = leaf(&pen, "a/en.md");
            let text = format!("{}ours {n}\n", there.text);
            match pen.write(&file("a/en.md"), Some(&there.version), &text, "", at(0)) {
                Ok(_) => ours += 1,
                Err(Refusal::Clash { .. }) => clashes += 1,
                Err(other) => panic!("{other}"),
            }
        }
        stop.store(true, Ordering::Relaxed);
        println!("{ours} written, {clashes} clashes");
        editor.join().unwrap()
    });
    println!("{saved} saved by the editor");
}
