//! A bag in a folder: its declaration, its lists and its facts are the input, one after another,
//! parted by a line `%%`.

use crate::place;
use counterpart::deposit::verify;
use counterpart::progress::Silence;
use std::fs;

const FILES: [&str; 6] = [
    "bagit.txt",
    "manifest-sha256.txt",
    "bag-info.txt",
    "tagmanifest-sha256.txt",
    "fetch.txt",
    "manifest-sha512.txt",
];

/// Judges one input.
pub(crate) fn judge(bytes: &[u8]) {
    let bag = place::folder("bag");
    fs::create_dir_all(bag.join("data")).expect("a folder");
    fs::write(bag.join("data/hello.txt"), "hello\n").expect("a file");
    let mut parts = bytes.split_inclusive(|b| *b == b'\n');
    for name in FILES {
        let text: Vec<u8> = parts
            .by_ref()
            .take_while(|line| *line != b"%%\n")
            .flatten()
            .copied()
            .collect();
        if text.is_empty() {
            let _ = fs::remove_file(bag.join(name));
        } else {
            fs::write(bag.join(name), text).expect("a file");
        }
    }
    let verdict = verify(&bag, &Silence).expect("a folder can be looked at");
    assert!(!verdict.valid || verdict.complete);
}
