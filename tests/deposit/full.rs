//! A disk without room: on a small file system in memory, which only root may set up.

use super::content::{place, text};
use super::tree::files;
use counterpart::deposit::verify;
use counterpart::progress::Silence;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

struct Small(PathBuf);

impl Small {
    fn mount(at: PathBuf, megabytes: u64) -> Option<Self> {
        fs::create_dir_all(&at).unwrap();
        let size = format!("size={megabytes}m");
        let done = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &size, "none"])
            .arg(&at)
            .output();
        done.is_ok_and(|out| out.status.success())
            .then_some(Self(at))
    }
}

impl Drop for Small {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

/// Leaves so many bytes free.
fn fill(disk: &Path, free: u64) {
    let mut file = fs::File::create(disk.join("filler")).unwrap();
    let much = vec![0; 1 << 20];
    while file.write_all(&much).is_ok() {}
    while file.write_all(&[0; 4096]).is_ok() {}
    let now = file.metadata().unwrap().len();
    file.set_len(now.saturating_sub(free)).unwrap();
}

#[test]
fn a_full_disk_leaves_the_earlier_deposit_whole() {
    let place = place();
    let to = place.path("disk");
    let args = |day: &'static str| ["deposit", "box", "--to", "disk", "--on", day];
    assert!(
        place
            .run(&["deposit", "box", "--to", "elsewhere", "--on", "2026-03-01"])
            .status
            .success()
    );
    let bytes: u64 = files(&place.path("elsewhere/box"))
        .iter()
        .map(|(_, b)| b.len() as u64)
        .sum();
    let Some(small) = Small::mount(to.clone(), bytes / 1_000_000 * 3 + 16) else {
        println!("skipped: a small file system cannot be mounted here (it takes root)");
        return;
    };
    assert!(place.run(&args("2026-03-01")).status.success());
    let before = files(&to.join("box"));
    // Another day, another deposit: too little room for it is told before anything is written.
    fill(&to, 100_000);
    let out = place.run(&args("2026-03-02"));
    assert_eq!(out.status.code(), Some(3));
    let said = text(&out.stderr);
    assert!(
        said.contains("too little room")
            && said.contains("MB more are wanted")
            && said.contains("are free"),
        "{said}"
    );
    assert!(files(&to.join("box")) == before);
    // The estimate is right when the run begins and wrong while it works: the disk fills up behind it.
    fs::remove_file(to.join("filler")).unwrap();
    let (mut failed, mut used) = (0, 0);
    // On a quick machine the run may be over before the disk is full: then again, a little sooner or later.
    let mut runs = 0;
    for share in [0.2, 0.5, 0.8, 0.95].into_iter().cycle().take(24) {
        if runs >= 4 && failed > 0 && used > 0 {
            break;
        }
        runs += 1;
        let mut child = place
            .command(&args("2026-03-02"))
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        // As soon as the stage has so much of it, take the rest of the disk away.
        let stage = to.join("box.unfinished/bag");
        loop {
            let there: u64 = match stage.exists() {
                true => walkdir::WalkDir::new(&stage)
                    .into_iter()
                    .flatten()
                    .filter_map(|e| e.metadata().ok())
                    .filter(|m| m.is_file())
                    .map(|m| m.len())
                    .sum(),
                false => 0,
            };
            if there as f64 >= bytes as f64 * share || child.try_wait().unwrap().is_some() {
                break;
            }
            std::thread::sleep(std::time::Duration::from_micros(500));
        }
        fill(&to, 0);
        let out = child.wait_with_output().unwrap();
        if out.status.code() == Some(3) {
            failed += 1;
            let said = text(&out.stderr);
            assert!(said.contains("too little room"), "{said}");
            assert!(
                files(&to.join("box")) == before,
                "the earlier deposit was touched"
            );
        } else {
            assert!(out.status.success());
        }
        fs::remove_file(to.join("filler")).unwrap();
        if out.status.code() == Some(3) {
            // With room again it goes on where it was.
            let mut with = args("2026-03-02").to_vec();
            with.push("--json");
            let out = place.run(&with);
            assert!(out.status.success(), "{}", text(&out.stderr));
            let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
            let bytes = report["used_again"]["bytes"].as_u64().unwrap();
            used = used.max(bytes);
            assert!(verify(&to.join("box"), &Silence).unwrap().valid);
        }
        assert!(place.run(&args("2026-03-01")).status.success());
        assert!(
            files(&to.join("box")) == before,
            "the same day gives another deposit"
        );
    }
    assert!(failed > 0, "the disk was never full");
    assert!(used > 0, "nothing was used again");
    println!("{failed} of {runs} runs found the disk full; up to {used} bytes were used again");
    drop(small);
}
