//! Killed at any moment: the name of the deposit is never half a deposit, and the next run ends where a run
//! that nobody killed would have.

use super::content::{place, text};
use super::tree::files;
use counterpart::deposit::verify;
use counterpart::progress::Silence;
use std::process::Stdio;
use std::time::{Duration, Instant};

/// Kills at random moments; KILLS=300 for more.
#[test]
fn killed_at_random_moments_it_goes_on() {
    let rounds: u32 = std::env::var("KILLS").map_or(12, |n| n.parse().unwrap());
    let place = place();
    let args = ["deposit", "box", "--to", "archive", "--on", "2026-03-01"];
    let clean = ["deposit", "box", "--to", "clean", "--on", "2026-03-01"];
    // Pictures are in the store after the first.
    assert!(place.run(&clean).status.success());
    let begun = Instant::now();
    assert!(place.run(&clean).status.success());
    let whole = begun.elapsed();
    let wanted = files(&place.path("clean/box"));
    let mut seed = 0x5851_f42d_4c95_7f2d_u64;
    let (mut left, mut again) = (0, 0);
    for round in 0..rounds {
        let packed = round % 5 == 4;
        let mut with = args.to_vec();
        if packed {
            with.push("--pack");
        }
        let mut child = place
            .command(&with)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        // Some time between its beginning and a little after its end.
        let share = (seed >> 33) as f64 / f64::from(1u32 << 31);
        std::thread::sleep(Duration::from_secs_f64(whole.as_secs_f64() * (0.1 + share)));
        child.kill().unwrap();
        child.wait().unwrap();
        for name in ["archive/box", "archive/box.zip"] {
            if place.path(name).exists() {
                let verdict = verify(&place.path(name), &Silence).unwrap();
                assert!(verdict.valid, "round {round}: {name}: {verdict:#?}");
            }
        }
        let unfinished = place.path("archive/box.unfinished").exists();
        left += u32::from(unfinished);
        let mut json = with.clone();
        json.push("--json");
        let out = place.run(&json);
        assert!(out.status.success(), "round {round}: {}", text(&out.stderr));
        let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
        again += u32::from(report["used_again"]["files"].as_u64().unwrap() > 0);
        if packed {
            assert!(
                verify(&place.path("archive/box.zip"), &Silence)
                    .unwrap()
                    .valid
            );
        } else {
            assert!(
                files(&place.path("archive/box")) == wanted,
                "round {round}: another deposit"
            );
        }
        assert!(!place.path("archive/box.unfinished").exists());
        if round % 3 == 0 && place.path("archive/box").exists() {
            std::fs::remove_dir_all(place.path("archive/box")).unwrap();
        }
    }
    println!("{rounds} kills, {left} left unfinished work, {again} runs used it");
    assert!(
        again > 0,
        "the kills came too early or too late to show anything"
    );
}

/// Two at once: one is refused, and says why.
#[test]
fn two_at_once_are_refused() {
    let place = place();
    assert!(
        super::content::deposit(&place, "archive", &[])
            .status
            .success()
    );
    std::fs::create_dir(place.path("archive/box.unfinished")).unwrap();
    let lock = std::fs::File::create(place.path("archive/box.unfinished/lock")).unwrap();
    lock.lock().unwrap();
    let out = super::content::deposit(&place, "archive", &[]);
    assert_eq!(out.status.code(), Some(3));
    assert!(
        text(&out.stderr).contains("another run"),
        "{}",
        text(&out.stderr)
    );
    drop(lock);
    assert!(
        super::content::deposit(&place, "archive", &[])
            .status
            .success()
    );
}
