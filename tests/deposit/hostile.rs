//! Bags by others: of older versions, with other digests, and made to do harm.

use super::bags::{of, sha256, small, tag, write};
use counterpart::deposit::{FaultKind, Verdict, verify};
use counterpart::progress::Silence;
use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::Path;

fn judged(files: &BTreeMap<String, Vec<u8>>) -> Verdict {
    let place = tempfile::tempdir().unwrap();
    write(files, place.path());
    verify(place.path(), &Silence).unwrap()
}

fn kinds(verdict: &Verdict) -> Vec<FaultKind> {
    let mut kinds: Vec<FaultKind> = verdict.faults.iter().map(|f| f.kind).collect();
    kinds.dedup();
    kinds
}

fn says(verdict: &Verdict, file: &str, what: &str) {
    let told = |f: &counterpart::deposit::Fault| f.file == file && f.what.contains(what);
    assert!(
        verdict.faults.iter().any(told),
        "{file}: {what} is not in {verdict:#?}"
    );
}

/// Check values of our notes of RFC 8493.
#[test]
fn hello_alone_in_a_bag() {
    let verdict = judged(&small());
    assert!(verdict.complete && verdict.valid, "{verdict:#?}");
    assert_eq!((verdict.files, verdict.bytes), (1, 6));
    assert_eq!(verdict.checked, ["sha256"]);
    assert_eq!(text(&small()["bag-info.txt"]), "Payload-Oxum: 6.1\n");
    assert!(
        text(&small()["manifest-sha256.txt"])
            .starts_with("5891b5b522d5df086d0ff0b110fbd9d21bb4fc7163af34d08286a2e846f6be03")
    );
    let mut flipped = small();
    flipped.get_mut("data/hello.txt").unwrap()[0] ^= 1;
    let verdict = judged(&flipped);
    assert!(verdict.complete && !verdict.valid, "{verdict:#?}");
    let mut stray = small();
    stray.insert("data/stray".into(), Vec::new());
    let verdict = judged(&stray);
    assert!(!verdict.complete && !verdict.valid);
    says(&verdict, "data/stray", "not listed");
    let mut gone = small();
    gone.remove("data/hello.txt");
    assert!(kinds(&judged(&gone)).contains(&FaultKind::Missing));
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn names_with_signs_of_their_own() {
    let names = ["data/50%25%0Aa b.txt", "data/%250A.txt", "data/é ö.txt"];
    let mut files = BTreeMap::new();
    let mut list = String::new();
    for (written, name) in names
        .iter()
        .zip(["data/50%\na b.txt", "data/%0A.txt", "data/é ö.txt"])
    {
        files.insert(name.to_owned(), b"x".to_vec());
        list += &format!("{}  {written}\n", sha256(b"x"));
    }
    files.extend(small().into_iter().filter(|(n, _)| n == "bagit.txt"));
    files.insert("manifest-sha256.txt".into(), list.into());
    let verdict = judged(&files);
    assert!(verdict.valid, "{verdict:#?}");
    // Older programs leave the percent sign alone.
    let old = of(&[("data/100%25.txt", b"x")], "0.97");
    assert!(judged(&old).valid);
}

#[test]
fn older_bags_and_other_digests() {
    // One manifest was enough before 1.0, and files could be in either.
    for (version, complete) in [("0.97", true), ("1.0", false)] {
        let mut files = of(&[("data/a", b"a"), ("data/b", b"b")], version);
        let a = sha256(b"a");
        files.insert(
            "manifest-sha256.txt".into(),
            format!("{a}  data/a\n").into(),
        );
        // SHA-512 of the letter b, by GNU coreutils.
        let b = "5267768822ee624d48fce15ec5ca79cbd602cb7f4c2157a516556991f22ef8c7b5ef7b18d1ff41c59370efb0858651d44a936c11b7b144c48fe04df3c6a3e8da";
        files.insert(
            "manifest-sha512.txt".into(),
            format!("{b}  data/b\n").into(),
        );
        tag(&mut files);
        let verdict = judged(&files);
        assert_eq!(verdict.complete, complete, "{version}: {verdict:#?}");
        assert_eq!(verdict.valid, complete);
    }
    // MD5 alone: complete can be said, valid cannot.
    let mut files = small();
    files.remove("manifest-sha256.txt");
    files.remove("tagmanifest-sha256.txt");
    files.insert(
        "manifest-md5.txt".into(),
        b"b1946ac92492d2347c6235b4d2611184  data/hello.txt\n".to_vec(),
    );
    let verdict = judged(&files);
    assert!(verdict.complete && !verdict.valid, "{verdict:#?}");
    assert!(verdict.remarks.iter().any(|r| r.file == "manifest-md5.txt"));
    // A version of the future is not guessed at.
    let mut files = small();
    files.insert(
        "bagit.txt".into(),
        b"BagIt-Version: 2.0\nTag-File-Character-Encoding: UTF-8\n".to_vec(),
    );
    tag(&mut files);
    says(&judged(&files), "bagit.txt", "2.0");
}

#[test]
fn names_that_lead_out_are_refused() {
    let hello = sha256(b"hello\n");
    for name in [
        "data/../../etc/passwd",
        "/etc/passwd",
        "~/x",
        "C:/x",
        "data/..\\x",
        "bag-info.txt",
    ] {
        let mut files = small();
        let list = files.get_mut("manifest-sha256.txt").unwrap();
        list.extend_from_slice(format!("{hello}  {name}\n").as_bytes());
        tag(&mut files);
        let verdict = judged(&files);
        assert!(
            kinds(&verdict).contains(&FaultKind::Name),
            "{name}: {verdict:#?}"
        );
        assert!(!verdict.complete);
    }
    for name in ["data/hello.txt", "tagmanifest-sha256.txt"] {
        let mut files = small();
        let list = files.get_mut("tagmanifest-sha256.txt").unwrap();
        list.extend_from_slice(format!("{hello}  {name}\n").as_bytes());
        assert!(kinds(&judged(&files)).contains(&FaultKind::Name), "{name}");
    }
}

#[test]
fn names_that_some_system_takes_for_one() {
    for pair in [
        ["data/Hare.txt", "data/hare.TXT"],
        ["data/\u{e9}.txt", "data/e\u{301}.txt"],
    ] {
        let verdict = judged(&of(&[(pair[0], b"1"), (pair[1], b"2")], "1.0"));
        assert_eq!(kinds(&verdict), [FaultKind::Name], "{verdict:#?}");
    }
    // The same file under another normal form is missing, with a hint.
    let mut files = of(&[("data/\u{e9}.txt", b"1")], "1.0");
    let bytes = files.remove("data/\u{e9}.txt").unwrap();
    files.insert("data/e\u{301}.txt".into(), bytes);
    says(&judged(&files), "data/\u{e9}.txt", "normal form");
}

#[test]
fn links_are_not_followed() {
    let place = tempfile::tempdir().unwrap();
    let bag = place.path().join("bag");
    write(&small(), &bag);
    fs::write(place.path().join("secret"), "hello\n").unwrap();
    fs::remove_file(bag.join("data/hello.txt")).unwrap();
    std::os::unix::fs::symlink("../../secret", bag.join("data/hello.txt")).unwrap();
    let verdict = verify(&bag, &Silence).unwrap();
    assert!(
        !verdict.valid && kinds(&verdict).contains(&FaultKind::Name),
        "{verdict:#?}"
    );
    fs::remove_file(bag.join("data/hello.txt")).unwrap();
    std::os::unix::fs::symlink(place.path(), bag.join("data/loop")).unwrap();
    let verdict = verify(&bag, &Silence).unwrap();
    says(&verdict, "data/loop", "link");
    // A pipe would keep a reader waiting for ever.
    fs::remove_file(bag.join("data/loop")).unwrap();
    let pipe = std::process::Command::new("mkfifo")
        .arg(bag.join("data/hello.txt"))
        .status()
        .unwrap();
    assert!(pipe.success());
    says(
        &verify(&bag, &Silence).unwrap(),
        "data/hello.txt",
        "neither a file nor a folder",
    );
}

#[test]
fn nothing_is_fetched() {
    let mut files = small();
    let list = files.get_mut("manifest-sha256.txt").unwrap();
    list.extend_from_slice(format!("{}  data/far.bin\n", sha256(b"far")).as_bytes());
    files.insert(
        "fetch.txt".into(),
        b"http://127.0.0.1:9/far.bin 3 data/far.bin\n".to_vec(),
    );
    tag(&mut files);
    let verdict = judged(&files);
    assert!(!verdict.complete);
    says(&verdict, "data/far.bin", "not there");
    assert!(
        verdict
            .remarks
            .iter()
            .any(|r| r.file == "fetch.txt" && r.what.contains("nothing was fetched"))
    );
    for line in [
        "http://x - data/../x\n",
        "http://x y data/far.bin\n",
        "http://x 3 data/unknown\n",
        "junk\n",
    ] {
        files.insert("fetch.txt".into(), line.as_bytes().to_vec());
        tag(&mut files);
        assert!(
            judged(&files)
                .faults
                .iter()
                .any(|f| f.file == "fetch.txt" && f.line == Some(1)),
            "{line}"
        );
    }
}

#[test]
fn lists_that_are_none_are_told_by_line() {
    let mut files = small();
    files.insert(
        "manifest-sha256.txt".into(),
        b"nonsense\nzz  data/hello.txt\n".to_vec(),
    );
    files.insert(
        "bag-info.txt".into(),
        b"Payload-Oxum: 6.1\nPayload-Oxum: 7.2\nno label\n".to_vec(),
    );
    tag(&mut files);
    let verdict = judged(&files);
    let at = |file: &str, line| {
        verdict
            .faults
            .iter()
            .any(|f| f.file == file && f.line == Some(line))
    };
    assert!(
        at("manifest-sha256.txt", 1) && at("manifest-sha256.txt", 2) && at("bag-info.txt", 3),
        "{verdict:#?}"
    );
    says(&verdict, "bag-info.txt", "more than once");
    says(&verdict, "bag-info.txt", "counts 7 bytes in 2 files");
    let place = tempfile::tempdir().unwrap();
    assert!(!verify(place.path(), &Silence).unwrap().complete);
    // Bytes that are no text at all.
    let mut files = small();
    for name in [
        "manifest-sha256.txt",
        "bag-info.txt",
        "bagit.txt",
        "tagmanifest-sha256.txt",
    ] {
        files.insert(name.into(), (0..=255).collect());
    }
    assert!(!judged(&files).complete);
}

/// A ZIP archive with these entries, as they stand.
fn zipped(entries: &[(&str, &[u8])], to: &Path) {
    let mut zip = zip::ZipWriter::new(fs::File::create(to).unwrap());
    let options = zip::write::SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Deflated);
    for (name, bytes) in entries {
        zip.start_file(*name, options).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap();
}

#[test]
fn packed_bags_are_looked_at_before_they_are_unpacked() {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("bag.zip");
    let bag = small();
    let inside: Vec<(String, Vec<u8>)> = bag
        .iter()
        .map(|(n, b)| (format!("top/{n}"), b.clone()))
        .collect();
    let entries: Vec<(&str, &[u8])> = inside
        .iter()
        .map(|(n, b)| (n.as_str(), b.as_slice()))
        .collect();
    zipped(&entries, &path);
    let verdict = verify(&path, &Silence).unwrap();
    assert!(verdict.packed && verdict.valid, "{verdict:#?}");
    for name in [
        "top/../../evil",
        "/evil",
        "other/file",
        "loose",
        "top/data\\..\\evil",
        "C:/evil",
    ] {
        let mut more = entries.clone();
        more.push((name, b"evil"));
        zipped(&more, &path);
        let verdict = verify(&path, &Silence).unwrap();
        assert!(!verdict.complete, "{name}: {verdict:#?}");
    }
    assert!(!place.path().join("evil").exists());
    // No folder at the top.
    let flat: Vec<(&str, &[u8])> = bag
        .iter()
        .map(|(n, b)| (n.as_str(), b.as_slice()))
        .collect();
    zipped(&flat, &path);
    assert!(!verify(&path, &Silence).unwrap().complete);
    zipped(&[], &path);
    assert!(!verify(&path, &Silence).unwrap().complete);
    // Not an archive, and one that was cut off at any place.
    fs::write(&path, "a text").unwrap();
    says(&verify(&path, &Silence).unwrap(), "", "ZIP");
    zipped(&entries, &path);
    let whole = fs::read(&path).unwrap();
    for length in (0..whole.len()).step_by(7) {
        fs::write(&path, &whole[..length]).unwrap();
        assert!(!verify(&path, &Silence).unwrap().valid, "cut to {length}");
    }
    // A name twice: which of the two would be checked?
    let mut twice = whole.clone();
    let (from, to) = (b"top/bagit.txt", b"top/bagit.tx_");
    let mut spare = entries.clone();
    spare.push(("top/bagit.tx_", b"BagIt-Version: 9.9\n"));
    zipped(&spare, &path);
    twice.clear();
    twice.extend(fs::read(&path).unwrap());
    let mut at = 0;
    while let Some(found) = twice[at..].windows(to.len()).position(|w| w == to) {
        twice[at + found..at + found + from.len()].copy_from_slice(from);
        at += found + from.len();
    }
    fs::write(&path, twice).unwrap();
    says(&verify(&path, &Silence).unwrap(), "", "twice");
}

/// A bomb: one entry of many zeros, said to be a bag. It is read in pieces, and its length is known before.
#[test]
fn a_bomb_takes_no_memory() {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("bag.zip");
    let zeros = vec![0; 64 << 20];
    zipped(&[("top/bagit.txt", &zeros[..])], &path);
    assert!(fs::metadata(&path).unwrap().len() < 1 << 20);
    assert!(!verify(&path, &Silence).unwrap().complete);
}
