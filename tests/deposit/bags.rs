//! Bags made by hand, by the rules of RFC 8493 as our notes have them; digests by the `sha2` crate, whose
//! answers are held against known ones in `src/deposit/bag/digest.rs`.

use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

pub(crate) fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect()
}

/// The files of a small valid bag with one manifest.
pub(crate) fn small() -> BTreeMap<String, Vec<u8>> {
    let payload = [("data/hello.txt", &b"hello\n"[..])];
    of(&payload, "1.0")
}

/// The files of a bag with this payload.
pub(crate) fn of(payload: &[(&str, &[u8])], version: &str) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut manifest = String::new();
    let mut bytes = 0;
    for (name, content) in payload {
        files.insert((*name).to_owned(), content.to_vec());
        manifest += &format!("{}  {name}\n", sha256(content));
        bytes += content.len();
    }
    let declaration = format!("BagIt-Version: {version}\nTag-File-Character-Encoding: UTF-8\n");
    files.insert("bagit.txt".into(), declaration.into());
    let oxum = format!("Payload-Oxum: {bytes}.{}\n", payload.len());
    files.insert("bag-info.txt".into(), oxum.into());
    files.insert("manifest-sha256.txt".into(), manifest.into());
    tag(&mut files);
    files
}

/// Writes the tag manifest anew.
pub(crate) fn tag(files: &mut BTreeMap<String, Vec<u8>>) {
    let mut list = String::new();
    for (name, bytes) in files.iter() {
        if !name.starts_with("data/") && !name.starts_with("tagmanifest-") {
            list += &format!("{}  {name}\n", sha256(bytes));
        }
    }
    files.insert("tagmanifest-sha256.txt".into(), list.into());
}

pub(crate) fn write(files: &BTreeMap<String, Vec<u8>>, to: &Path) {
    for (name, bytes) in files {
        let path = to.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
}
