//! Every reader on files that were whole and are mangled at random: bytes changed, pieces cut out, doubled,
//! moved and taken from other files of the kind. The judges are those of `fuzz/`, which is guided by coverage but
//! needs a nightly toolchain; this needs none, and runs a little at each check. MANGLED=N tries each reader N
//! times, MANGLED_ONLY=NAME one of them. What ends a reader, or takes it longer than a second, is kept in
//! the folder of the tests.

#[path = "../../fuzz/src/content.rs"]
mod content;
#[path = "../../fuzz/src/place.rs"]
mod place;

#[path = "../../fuzz/src/judges/amend.rs"]
mod amend;
#[path = "../../fuzz/src/judges/bag.rs"]
mod bag;
#[path = "../../fuzz/src/judges/bag_packed.rs"]
mod bag_packed;
#[path = "../../fuzz/src/judges/captions.rs"]
mod captions;
#[path = "../../fuzz/src/judges/desk.rs"]
mod desk;
#[path = "../../fuzz/src/judges/exchange.rs"]
mod exchange;
#[path = "../../fuzz/src/judges/media.rs"]
mod media;
#[path = "../../fuzz/src/judges/photograph.rs"]
mod photograph;
#[path = "../../fuzz/src/reading.rs"]
mod reading;
#[path = "../../fuzz/src/judges/records.rs"]
mod records;
#[path = "../../fuzz/src/judges/words.rs"]
mod words;

mod bombs;
mod mangle;
mod seeds;

use counterpart::mesh::Format;
use mangle::Mangler;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// Longest that a small input may take.
const SLOW: Duration = Duration::from_secs(1);
/// Times at each check, of readers that need no files and of those that do.
const FEW: [u64; 2] = [4_000, 150];

type Judge = fn(&[u8]);

/// For judges of text: what is no UTF-8 is refused long before.
fn text(bytes: &[u8], judge: fn(&str)) {
    match std::str::from_utf8(bytes) {
        Ok(text) => judge(text),
        Err(_) => judge(&String::from_utf8_lossy(bytes)),
    }
}

/// Name, judge, whether it writes files.
const READERS: [(&str, Judge, bool); 15] = [
    ("gltf", |b| reading::read(b, Format::Gltf), false),
    ("ply", |b| reading::read(b, Format::Ply), false),
    ("stl", |b| reading::read(b, Format::Stl), false),
    ("obj", |b| reading::read(b, Format::Obj), false),
    ("threemf", |b| reading::read(b, Format::ThreeMf), false),
    ("words", |b| text(b, words::judge), false),
    ("captions", |b| text(b, captions::judge), false),
    ("photograph", photograph::judge, false),
    ("media", media::judge, false),
    ("exchange", exchange::judge, false),
    ("amend", |b| text(b, amend::judge), false),
    ("bag", bag::judge, true),
    ("bag_packed", bag_packed::judge, true),
    ("records", |b| text(b, records::judge), true),
    ("desk", desk::judge, true),
];

fn keep(name: &str, why: &str, bytes: &[u8]) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("mangled");
    std::fs::create_dir_all(&folder).expect("a folder");
    let digest: u64 = bytes.iter().fold(14_695_981_039_346_656_037, |d, b| {
        (d ^ u64::from(*b)).wrapping_mul(1_099_511_628_211)
    });
    let path = folder.join(format!("{name}-{why}-{digest:016x}"));
    std::fs::write(&path, bytes).expect("a file");
    path
}

#[test]
fn no_mangled_file_brings_a_reader_down() {
    let asked: Option<u64> = std::env::var("MANGLED").ok().and_then(|n| n.parse().ok());
    let only = std::env::var("MANGLED_ONLY").ok();
    let seed: u64 = std::env::var("MANGLED_SEED")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(1);
    let (mut total, mut found) = (0, Vec::new());
    for (name, judge, writes) in READERS {
        if only.as_deref().is_some_and(|o| o != name) {
            continue;
        }
        let times = asked.unwrap_or(FEW[usize::from(writes)]);
        let whole = seeds::of(name);
        assert!(!whole.is_empty(), "{name} has whole files");
        let mut mangler = Mangler::new(whole.clone(), seed);
        let (began, mut slowest, mut faults, mut tried) = (Instant::now(), Duration::ZERO, 0, 0);
        for round in 0..times {
            let bytes = match whole.get(round as usize) {
                Some(own) => own.clone(),
                None => mangler.next(),
            };
            tried += 1;
            let start = Instant::now();
            let ended = catch_unwind(AssertUnwindSafe(|| judge(&bytes)));
            let took = start.elapsed();
            slowest = slowest.max(took);
            if ended.is_err() || took > SLOW {
                let why = if ended.is_err() { "ended" } else { "slow" };
                found.push(keep(name, why, &bytes));
                faults += 1;
                if faults == 20 {
                    break;
                }
            }
        }
        total += tried;
        println!(
            "{name:<12} {tried:>9} files in {:>6.1} s, the slowest {:>7.3} ms, {faults} faults",
            began.elapsed().as_secs_f64(),
            slowest.as_secs_f64() * 1e3
        );
    }
    let peak = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = peak.lines().find(|l| l.starts_with("VmHWM")).unwrap_or("");
    println!("{total} files in all; {peak}");
    let _ = std::fs::remove_dir_all(place::folder("").as_path());
    assert!(found.is_empty(), "{found:#?}");
}

/// A note that begins with a byte order mark and has no title: the place of the fault cut the mark in two, and
/// the report could not be written.
#[test]
fn what_mangling_found_stays_mended() {
    records::judge("7\u{feff}# Frieze");
}
