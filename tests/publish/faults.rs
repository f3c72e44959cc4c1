//! Bad days: the earlier site stays whole, the fault is told, nothing of the keeper's is lost.

use crate::tree::{Place, files};
use rustix::fs::{CWD, Mode, OFlags, mkdirat, openat};
use std::ffi::OsStr;
use std::fs;
use std::io::Write;
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, SystemTime};

type Tree = Vec<(String, Vec<u8>)>;

fn said(out: &Output) -> String {
    String::from_utf8_lossy(&out.stderr).into_owned()
}

/// Publishes once; then, with the fault there, it must be refused with these words, with the earlier site as
/// it was and nothing left beside it.
fn refused(place: &Place, fault: &str, code: i32, words: &[&str]) {
    let before = files(&place.path("display"));
    let content = files(&place.path("content"));
    let out = place.run(&[]);
    let told = said(&out);
    assert_eq!(out.status.code(), Some(code), "{fault}: {told}");
    for word in words {
        assert!(told.contains(word), "{fault}: ‘{word}’ is not in: {told}");
    }
    assert!(!told.contains("panicked"), "{fault}: {told}");
    assert!(
        before == files(&place.path("display")),
        "{fault}: the earlier site is another"
    );
    assert!(
        content == files(&place.path("content")),
        "{fault}: the content is another"
    );
    place.nothing_half_beside("display");
    println!("{fault}: refused with {code}, the earlier site whole");
}

fn published() -> Place {
    let place = Place::new();
    let out = place.run(&[]);
    assert!(out.status.success(), "{}", said(&out));
    place
}

/// A disk of its own, of a fixed size; none where that is not permitted.
struct Disk(PathBuf);

impl Disk {
    fn mount(at: &Path) -> Option<Self> {
        fs::create_dir_all(at).unwrap();
        let mount = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=24m", "none"])
            .arg(at)
            .output();
        if mount.is_ok_and(|out| out.status.success()) {
            return Some(Self(at.to_owned()));
        }
        // Not by a macro, whose words a passing test keeps to itself.
        let _ = writeln!(
            std::io::stderr(),
            "SKIPPED: a disk of its own cannot be mounted here; run as root"
        );
        None
    }

    fn again(&self, how: &str) {
        let done = Command::new("mount")
            .args(["-o", how])
            .arg(&self.0)
            .status();
        assert!(done.unwrap().success());
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[test]
fn a_full_disk_and_one_that_cannot_be_written_leave_the_earlier_site() {
    let place = Place::new();
    let Some(disk) = Disk::mount(&place.path("disk")) else {
        return;
    };
    let run = || place.run(&["publish", "--to", "disk/display"]);
    let first = run();
    assert!(first.status.success(), "{}", said(&first));
    let old = files(&place.path("disk/display"));
    place.edit(
        "content/box/en.md",
        "that was copied",
        "that was copied twice",
    );
    let filler = place.path("disk/filler");
    let mut file = fs::File::create(&filler).unwrap();
    while file.write_all(&[0; 4096]).is_ok() {}
    drop(file);
    let out = run();
    assert_eq!(out.status.code(), Some(3), "{}", said(&out));
    assert!(said(&out).contains("No space left"), "{}", said(&out));
    assert!(
        old == files(&place.path("disk/display")),
        "a full disk changed the site"
    );
    fs::remove_file(&filler).unwrap();

    disk.again("remount,ro");
    let out = run();
    disk.again("remount,rw");
    assert_eq!(out.status.code(), Some(3), "{}", said(&out));
    assert!(said(&out).contains("Read-only"), "{}", said(&out));
    assert!(
        old == files(&place.path("disk/display")),
        "the site is another"
    );
    let out = run();
    assert!(out.status.success(), "{}", said(&out));
    let home = fs::read_to_string(place.path("disk/display/index.html")).unwrap();
    assert!(
        home.contains("copied twice"),
        "room again, and it is published"
    );
    place.nothing_half_beside("disk/display");
}

#[test]
fn a_store_that_cannot_be_written_costs_time_and_nothing_else() {
    let place = Place::new();
    let Some(disk) = Disk::mount(&place.path("disk")) else {
        return;
    };
    disk.again("remount,ro");
    let out = place.run(&["publish", "--store", "disk"]);
    assert!(out.status.success(), "{}", said(&out));
    assert!(place.run(&["publish", "--to", "plain"]).status.success());
    assert!(files(&place.path("display")) == files(&place.path("plain")));
    let out = place.run(&["publish", "--store", "disk/inside"]);
    assert!(out.status.success(), "{}", said(&out));
    assert!(
        said(&out).contains("The store cannot be used"),
        "{}",
        said(&out)
    );
}

#[test]
fn a_clock_that_goes_back_changes_nothing() {
    let place = published();
    let site = files(&place.path("display"));
    let day = Duration::from_secs(86_400);
    for moment in [
        SystemTime::UNIX_EPOCH + day,
        SystemTime::now() + day * 40_000,
        SystemTime::now() - day * 4_000,
    ] {
        for entry in walkdir::WalkDir::new(place.folder()) {
            let path = entry.unwrap().into_path();
            if path.is_file() {
                let file = fs::File::options().append(true).open(&path).unwrap();
                file.set_modified(moment).unwrap();
            }
        }
        let out = place.run(&[]);
        assert!(out.status.success(), "{}", said(&out));
        assert!(site == files(&place.path("display")), "files of {moment:?}");
    }
}

#[test]
fn a_note_that_is_written_meanwhile_is_published_as_it_was_or_as_it_is() {
    let place = published();
    let note = place.path("content/box/en.md");
    let old = fs::read_to_string(&note).unwrap();
    let new = old.replace("copied", "carefully copied");
    let sites: Vec<Tree> = [&old, &new]
        .map(|text| {
            fs::write(&note, text).unwrap();
            assert!(place.run(&["publish", "--to", "known"]).status.success());
            files(&place.path("known"))
        })
        .into();
    let stop = AtomicBool::new(false);
    let outcomes = std::thread::scope(|scope| {
        // An editor that writes in place, so that half a note can be met.
        scope.spawn(|| {
            while !stop.load(Ordering::Relaxed) {
                for text in [&new, &old, &new, &old] {
                    fs::write(&note, text).unwrap();
                }
                std::thread::sleep(Duration::from_millis(90));
            }
        });
        let outcomes: Vec<(Option<i32>, Tree, String)> = (0..12)
            .map(|_| {
                let out = place.run(&[]);
                (out.status.code(), files(&place.path("display")), said(&out))
            })
            .collect();
        stop.store(true, Ordering::Relaxed);
        outcomes
    });
    assert!(
        outcomes.iter().any(|(code, ..)| *code == Some(0)),
        "between two saves it can be published"
    );
    for (code, site, told) in outcomes {
        assert!(matches!(code, Some(0 | 1)), "{code:?}: {told}");
        assert!(
            sites.contains(&site),
            "half of a note was published: {told}"
        );
    }
}

#[test]
fn folders_without_end_are_refused() {
    let place = published();
    let top = place.path("content/box/details/dent/deep");
    fs::create_dir(&top).unwrap();
    let open = OFlags::DIRECTORY | OFlags::RDONLY | OFlags::CLOEXEC;
    let mut at = openat(CWD, &top, open, Mode::empty()).unwrap();
    for _ in 0..10_000 {
        mkdirat(&at, "d", Mode::RWXU).unwrap();
        at = openat(&at, "d", open, Mode::empty()).unwrap();
    }
    drop(at);
    let before = files(&place.path("display"));
    let out = place.run(&[]);
    let told = said(&out);
    // The tree is longer than any path may be, and than what a program may call itself.
    assert!(
        Command::new("rm")
            .arg("-rf")
            .arg(&top)
            .status()
            .unwrap()
            .success()
    );
    assert_eq!(out.status.code(), Some(1), "{told}");
    assert!(told.contains("nested more than"), "{told}");
    assert!(before == files(&place.path("display")));
    assert!(place.run(&[]).status.success());
}

#[test]
fn names_that_no_site_can_have_are_told() {
    let place = published();
    let photograph = b"\x89PNG\r\n\x1a\n";
    let long = format!("{}.png", "a".repeat(251));
    for (name, words) in [
        (OsStr::new(&long), vec![]),
        (OsStr::from_bytes(b"caf\xe9.png"), vec!["UTF-8", "caf"]),
    ] {
        let path = place.path("content/box").join(name);
        fs::write(&path, photograph).unwrap();
        let out = place.run(&[]);
        let told = said(&out);
        assert!(matches!(out.status.code(), Some(0 | 1)), "{told}");
        assert!(!told.contains("panicked"), "{told}");
        if name.to_str().is_none() {
            assert_eq!(out.status.code(), Some(1), "{told}");
        }
        for word in words {
            assert!(told.contains(word), "‘{word}’ is not in: {told}");
        }
        fs::remove_file(&path).unwrap();
    }
    for reserved in ["con", "nul", "com1", "aux"] {
        let folder = place.path("content").join(reserved);
        fs::create_dir(&folder).unwrap();
        fs::copy(
            place.path("content/box/record.toml"),
            folder.join("record.toml"),
        )
        .unwrap();
        refused(&place, reserved, 1, &[reserved]);
        fs::remove_dir_all(&folder).unwrap();
    }
    let twin = place.path("content/Box");
    fs::create_dir(&twin).unwrap();
    fs::copy(
        place.path("content/box/record.toml"),
        twin.join("record.toml"),
    )
    .unwrap();
    refused(&place, "two objects that differ in capitals", 1, &["Box"]);
}

/// Kills at random moments; KILLS=300 for more.
#[test]
fn killed_at_random_the_site_is_the_earlier_or_the_new_one() {
    let kills: u32 = std::env::var("KILLS").map_or(40, |n| n.parse().unwrap());
    let place = published();
    let old = files(&place.path("display"));
    place.edit(
        "content/box/en.md",
        "that was copied",
        "that was copied twice",
    );
    let started = SystemTime::now();
    assert!(place.run(&["publish", "--to", "new"]).status.success());
    let whole = started.elapsed().unwrap();
    let new = files(&place.path("new"));
    let (mut earlier, mut later) = (0, 0);
    // A fixed walk over the time that it takes (golden ratio), so that a failure can be had again.
    let mut part: f64 = 0.37;
    for _ in 0..kills {
        part = (part + 0.618_033_988_75).fract();
        let mut child = place
            .command(&[])
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(whole.mul_f64(part * 1.4));
        let _ = child.kill();
        child.wait().unwrap();
        let found = files(&place.path("display"));
        if found == old {
            earlier += 1;
        } else {
            assert!(found == new, "neither the old site nor the new");
            later += 1;
            // Back to the old one, so that the next kill has something to do.
            place.edit(
                "content/box/en.md",
                "that was copied twice",
                "that was copied",
            );
            assert!(place.run(&[]).status.success());
            place.edit(
                "content/box/en.md",
                "that was copied",
                "that was copied twice",
            );
        }
    }
    assert!(earlier > 0 && later > 0, "{earlier} before, {later} after");
    println!(
        "{kills} kills within {whole:?}: {earlier} times the earlier site, {later} times the new one"
    );
    assert!(place.run(&[]).status.success());
    assert!(new == files(&place.path("display")));
    assert_eq!(
        place.names_without_ledgers(),
        [".counterpart", "content", "display", "new"]
    );
    place.nothing_half_beside("display");
}
