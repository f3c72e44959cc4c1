//! Ways out of the content folder, and names that some system takes for another.

use super::{Place, all, at, file, folder, version};
use counterpart::desk::pen::Refusal;
use std::fs;
use std::os::unix::fs::symlink;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

fn is_link<T: std::fmt::Debug>(found: Result<T, Refusal>) {
    assert!(
        matches!(found, Err(Refusal::Link { .. })),
        "a link was followed: {found:?}"
    );
}

#[test]
fn symbolic_links_are_never_followed() {
    let place = Place::new();
    let outside = place.beside("outside");
    fs::create_dir(&outside).unwrap();
    fs::write(outside.join("en.md"), "secret").unwrap();
    place.put("a/cy.md", "words");
    symlink(&outside, place.content().join("a/details")).unwrap();
    symlink(outside.join("en.md"), place.content().join("a/en.md")).unwrap();
    symlink(
        outside.join("not-there.md"),
        place.content().join("a/fr.md"),
    )
    .unwrap();
    // Within the folder, too: what a link means may change at any time.
    symlink("cy.md", place.content().join("a/de.md")).unwrap();
    let before = all(&outside);
    let pen = place.pen();
    for name in [
        "a/en.md",
        "a/fr.md",
        "a/de.md",
        "a/details/en.md",
        "a/details/new.md",
        "a/details/b/c.md",
    ] {
        is_link(pen.read(&file(name)));
        is_link(pen.write(&file(name), None, "x", "", at(0)));
    }
    for name in ["a/details/x.jpg", "a/details/b/x.jpg"] {
        is_link(pen.take_in(&file(name), &mut &b"x"[..], 10, at(0)));
    }
    assert!(matches!(
        pen.take_in(&file("a/fr.md"), &mut &b"x"[..], 10, at(0)),
        Err(Refusal::Taken { .. })
    ));
    is_link(pen.bin(&file("a/en.md"), at(0)));
    is_link(pen.bin(&folder("a/details"), at(0)));
    is_link(pen.bin(&file("a/details/en.md"), at(0)));
    assert_eq!(all(&outside), before);
    // A folder with a link in it goes to the bin and comes back, and the link with it, unfollowed.
    let binned = pen.bin(&folder("a"), at(0)).unwrap();
    assert_eq!(all(&outside), before);
    pen.restore(&binned.id, at(0)).unwrap();
    assert!(
        fs::symlink_metadata(place.content().join("a/details"))
            .unwrap()
            .is_symlink()
    );
    assert_eq!(all(&outside), before);
}

#[test]
fn a_link_on_the_way_back_from_the_bin_is_not_followed() {
    let place = Place::new();
    let outside = place.beside("outside");
    fs::create_dir(&outside).unwrap();
    place.put("a/details/b/en.md", "words");
    let pen = place.pen();
    let binned = pen.bin(&folder("a/details/b"), at(0)).unwrap();
    fs::remove_dir(place.content().join("a/details")).unwrap();
    symlink(&outside, place.content().join("a/details")).unwrap();
    is_link(pen.restore(&binned.id, at(0)));
    assert_eq!(all(&outside).len(), 1);
    assert_eq!(pen.binned().unwrap(), [binned]);
}

#[test]
fn a_link_slipped_in_at_any_moment_is_not_followed() {
    let place = Place::new();
    let (outside, real) = (place.beside("outside"), place.content().join("a/b"));
    fs::create_dir(&outside).unwrap();
    fs::write(outside.join("en.md"), "theirs").unwrap();
    place.put("a/b/en.md", "0");
    let trap = place.content().join("a/trap");
    symlink(&outside, &trap).unwrap();
    let pen = place.pen();
    let stop = AtomicBool::new(false);
    let change_places = || {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        renameat_with(CWD, &real, CWD, &trap, RenameFlags::EXCHANGE).unwrap();
    };
    let (mut written, mut refused) = (0, 0);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for turn in (0..u64::MAX).take_while(|_| !stop.load(Ordering::Relaxed)) {
                // The folder stands for a moment that a write may or may not outlast.
                std::thread::sleep(Duration::from_micros(turn * 7 % 23 * 900));
                change_places();
                std::thread::sleep(Duration::from_micros(turn % 5 * 100));
                change_places();
            }
        });
        let mut n = 0;
        while n < 5000 && (n < 300 || written < 20 || refused < 20) {
            let name = file("a/b/en.md");
            let done = pen.read(&name).and_then(|leaf| {
                let text = format!("ours {n}");
                pen.write(&name, leaf.as_ref().map(|l| &l.version), &text, "", at(n))
            });
            match done {
                Ok(_) => written += 1,
                Err(_) => refused += 1,
            }
            let _ = pen.take_in(&file(&format!("a/b/{n}.jpg")), &mut &b"ours"[..], 10, at(n));
            n += 1;
        }
        stop.store(true, Ordering::Relaxed);
    });
    println!("{written} written, {refused} refused");
    assert!(
        written >= 20 && refused >= 20,
        "the link was never in the way, or always"
    );
    // What was broken off is cleared once the folder stands still.
    if fs::symlink_metadata(&real).unwrap().is_symlink() {
        change_places();
    }
    drop(pen);
    drop(place.pen());
    for (name, _) in all(&place.content()) {
        assert!(!name.contains("/."), "{name} was left behind");
    }
    let names: Vec<_> = all(&outside)
        .into_iter()
        .map(|(name, bytes)| (name, String::from_utf8(bytes).unwrap()))
        .collect();
    assert_eq!(
        names,
        [
            (String::new(), String::new()),
            ("en.md".into(), "theirs".into())
        ]
    );
}

#[test]
fn names_that_some_system_takes_for_another_are_refused() {
    let place = Place::new();
    place.put("Mortar/details/caf\u{e9}/en.md", "words");
    let pen = place.pen();
    let taken = |name: &str| {
        let found = pen.write(&file(name), None, "x", "", at(0));
        assert!(
            matches!(found, Err(Refusal::Taken { .. })),
            "{name}: {found:?}"
        );
        let found = pen.take_in(&file(name), &mut &b"x"[..], 10, at(0));
        assert!(
            matches!(found, Err(Refusal::Taken { .. })),
            "{name}: {found:?}"
        );
    };
    let before = all(&place.content());
    // Case folding and normal forms as in Unicode Standard Annex 15 and the default folders of two systems.
    taken("mortar/details/x.md");
    taken("Mortar/Details/x.md");
    taken("Mortar/details/cafe\u{301}/cy.md");
    taken("Mortar/details/caf\u{e9}/EN.md");
    taken("Mortar/details/caf\u{c9}/cy.md");
    // A file where a folder should be, and a folder where a file should be.
    taken("Mortar/details/caf\u{e9}/en.md/x.md");
    place.put("Mortar/odd.md/en.md", "x");
    let found = pen.write(&file("Mortar/odd.md"), None, "x", "", at(0));
    assert!(matches!(found, Err(Refusal::Taken { .. })), "{found:?}");
    fs::remove_dir_all(place.content().join("Mortar/odd.md")).unwrap();
    assert_eq!(all(&place.content()), before);
}

#[test]
fn pipes_and_other_devices_hold_nobody() {
    let place = Place::new();
    place.put("a/cy.md", "words");
    let pipe = place.content().join("a/en.md");
    let made = std::process::Command::new("mkfifo")
        .arg(&pipe)
        .status()
        .unwrap();
    assert!(made.success());
    let pen = place.pen();
    is_link(pen.read(&file("a/en.md")));
    is_link(pen.write(&file("a/en.md"), None, "x", "", at(0)));
    is_link(pen.bin(&file("a/en.md"), at(0)));
}

#[test]
fn a_second_name_of_a_file_outside_is_not_written_through() {
    let place = Place::new();
    let outside = place.beside("outside.md");
    fs::write(&outside, "theirs").unwrap();
    place.put("a/cy.md", "words");
    fs::hard_link(&outside, place.content().join("a/en.md")).unwrap();
    let pen = place.pen();
    let begun = version(&pen, "a/en.md");
    pen.write(&file("a/en.md"), Some(&begun), "ours", "", at(0))
        .unwrap();
    assert_eq!(fs::read_to_string(outside).unwrap(), "theirs");
}

#[test]
fn a_content_folder_that_was_put_in_anothers_place_is_not_written() {
    let place = Place::new();
    place.put("a/en.md", "words");
    let pen = place.pen();
    let begun = version(&pen, "a/en.md");
    fs::rename(place.content(), place.beside("moved")).unwrap();
    place.put("a/en.md", "words");
    let found = pen.write(&file("a/en.md"), Some(&begun), "ours", "", at(0));
    assert!(matches!(found, Err(Refusal::Failed { .. })), "{found:?}");
    assert_eq!(
        fs::read_to_string(place.beside("moved/a/en.md")).unwrap(),
        "words"
    );
}
