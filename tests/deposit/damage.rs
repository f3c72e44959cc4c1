//! A hundred damages of every sort, each found.

use super::content::{deposit, place};
use super::dice::Dice;
use super::tree::files;
use counterpart::deposit::{FaultKind, verify};
use counterpart::progress::Silence;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

const DAMAGES: usize = 120;

fn below(dice: &mut Dice, n: usize) -> usize {
    (((dice.next() + 1.0) / 2.0 * n as f64) as usize).min(n - 1)
}

fn put_back(whole: &BTreeMap<String, Vec<u8>>, bag: &Path) {
    let now: BTreeMap<String, Vec<u8>> = files(bag).into_iter().collect();
    for name in now.keys().filter(|n| !whole.contains_key(*n)) {
        fs::remove_file(bag.join(name)).unwrap();
    }
    for (name, bytes) in whole {
        if now.get(name) != Some(bytes) {
            fs::create_dir_all(bag.join(name).parent().unwrap()).unwrap();
            fs::write(bag.join(name), bytes).unwrap();
        }
    }
}

/// Does one damage; says what, and whether the payload alone was touched and no name changed.
fn damage(
    sort: usize,
    dice: &mut Dice,
    whole: &BTreeMap<String, Vec<u8>>,
    bag: &Path,
) -> (String, bool) {
    let names: Vec<&String> = whole.keys().collect();
    let tags: Vec<&String> = whole.keys().filter(|n| !n.starts_with("data/")).collect();
    let payload: Vec<&String> = whole.keys().filter(|n| n.starts_with("data/")).collect();
    let any = names[below(dice, names.len())];
    match sort % 10 {
        0 | 1 => {
            let list = if sort.is_multiple_of(10) {
                &payload
            } else {
                &tags
            };
            let name = list[below(dice, list.len())];
            let mut bytes = whole[name].clone();
            if bytes.is_empty() {
                bytes.push(0);
            } else {
                let at = below(dice, bytes.len());
                bytes[at] ^= 1 << below(dice, 8);
            }
            fs::write(bag.join(name), bytes).unwrap();
            (format!("flipped a bit in {name}"), sort.is_multiple_of(10))
        }
        2 => {
            let mut bytes = whole[any].clone();
            let to = below(dice, bytes.len().max(1));
            bytes.truncate(to);
            if bytes == whole[any] {
                bytes.push(0);
            }
            fs::write(bag.join(any), bytes).unwrap();
            (format!("truncated {any} to {to}"), any.starts_with("data/"))
        }
        3 => {
            fs::remove_file(bag.join(any)).unwrap();
            (format!("deleted {any}"), false)
        }
        4 => {
            let folder = ["data/", "", "data/records/", "data/site/assets/"][below(dice, 4)];
            let name = format!("{folder}stray-{}", below(dice, 1000));
            fs::write(bag.join(&name), b"stray").unwrap();
            (format!("added {name}"), false)
        }
        5 => {
            fs::rename(bag.join(any), bag.join(format!("{any}.old"))).unwrap();
            (format!("renamed {any}"), false)
        }
        6 => {
            let other = payload[below(dice, payload.len())];
            let one = payload.iter().find(|n| whole[**n] != whole[other]).unwrap();
            fs::write(bag.join(one), &whole[other]).unwrap();
            fs::write(bag.join(other), &whole[*one]).unwrap();
            (format!("swapped {one} and {other}"), true)
        }
        7 => {
            let lists: Vec<&&String> = tags.iter().filter(|n| n.contains("manifest")).collect();
            let name = lists[below(dice, lists.len())];
            let text = String::from_utf8(whole[*name].clone()).unwrap();
            let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
            let at = below(dice, lines.len());
            match below(dice, 5) {
                0 => drop(lines.remove(at)),
                1 => lines.insert(at, lines[at].clone()),
                2 => lines[at] = lines[at].replace("  ", " "),
                3 => lines[at] = lines[at].to_uppercase(),
                _ => lines[at].insert(0, '0'),
            }
            fs::write(bag.join(name), lines.join("\n") + "\n").unwrap();
            (format!("changed line {} of {name}", at + 1), false)
        }
        8 => {
            let name = tags[below(dice, tags.len())];
            let mut bytes = whole[name].clone();
            bytes.extend_from_slice(b"X-Note: added\n");
            fs::write(bag.join(name), bytes).unwrap();
            (format!("added to {name}"), false)
        }
        _ => {
            // The digest of a file is made right again in one manifest, as one who wishes to deceive
            // would begin.
            let name = payload[below(dice, payload.len())];
            let mut bytes = whole[name].clone();
            bytes.push(b' ');
            let text = String::from_utf8(whole["manifest-sha256.txt"].clone()).unwrap();
            let text = text.replace(
                &super::bags::sha256(&whole[name]),
                &super::bags::sha256(&bytes),
            );
            fs::write(bag.join("manifest-sha256.txt"), text).unwrap();
            fs::write(bag.join(name), bytes).unwrap();
            (format!("changed {name} and its digest"), false)
        }
    }
}

#[test]
fn every_damage_is_found() {
    let place = place();
    assert!(deposit(&place, "archive", &[]).status.success());
    let bag = place.path("archive/box");
    let whole: BTreeMap<String, Vec<u8>> = files(&bag).into_iter().collect();
    let mut dice = Dice(20_260_301);
    for round in 0..DAMAGES {
        let (what, bytes_only) = damage(round, &mut dice, &whole, &bag);
        let verdict = verify(&bag, &Silence).unwrap();
        assert!(
            !verdict.valid && !verdict.faults.is_empty(),
            "round {round}: {what} was not found"
        );
        if bytes_only {
            // RFC 8493, 3: complete, and not valid. A length that changed is told by Payload-Oxum too.
            let changed = verdict.faults.iter().any(|f| f.kind == FaultKind::Changed);
            assert!(changed, "round {round}: {what}: {verdict:#?}");
            if !what.starts_with("truncated") && !what.contains("flipped a bit in data/ ") {
                let grown = verdict.faults.iter().any(|f| f.file == "bag-info.txt");
                assert!(
                    verdict.complete || grown,
                    "round {round}: {what}: {verdict:#?}"
                );
            }
        }
        put_back(&whole, &bag);
    }
    let verdict = verify(&bag, &Silence).unwrap();
    assert!(verdict.valid, "{verdict:#?}");
    println!("{DAMAGES} damages, all found");
}

/// The same in one packed file: whatever byte of a file's content, of a name or of a digest is flipped.
#[test]
fn a_packed_bag_that_is_damaged_is_found() {
    let place = place();
    assert!(deposit(&place, "archive", &["--pack"]).status.success());
    let path = place.path("archive/box.zip");
    let whole = fs::read(&path).unwrap();
    let mut dice = Dice(8493);
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(&whole[..])).unwrap();
    for round in 0..40 {
        let entry = archive.by_index(below(&mut dice, archive.len())).unwrap();
        let (start, length) = (entry.data_start().unwrap() as usize, entry.size() as usize);
        if length == 0 {
            continue;
        }
        let mut bytes = whole.clone();
        match round % 4 {
            0..=2 => bytes[start + below(&mut dice, length)] ^= 1 << below(&mut dice, 8),
            _ => bytes.truncate(start + below(&mut dice, length)),
        }
        drop(entry);
        fs::write(&path, bytes).unwrap();
        let verdict = verify(&path, &Silence).unwrap();
        assert!(!verdict.valid, "round {round}");
    }
}
