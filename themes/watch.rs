//! Build script: the theme is embedded in the binary, so a file added to it must rebuild it; and what is kept
//! in a store between two runs is told apart by the sources that found it out.

use std::collections::hash_map::DefaultHasher;
use std::fs;
use std::hash::Hasher;
use std::path::{Path, PathBuf};

fn main() {
    for folder in [
        "templates",
        "styles",
        "fonts",
        "words",
        "viewer/viewer.js",
        "viewer/offline.js",
    ] {
        println!("cargo::rerun-if-changed=themes/plate/{folder}");
    }
    println!("cargo::rerun-if-changed=Cargo.lock");
    let mut files = vec![PathBuf::from("Cargo.lock")];
    for folder in ["align", "collate", "differ", "joint", "mesh", "space"] {
        println!("cargo::rerun-if-changed=src/{folder}");
        gather(&Path::new("src").join(folder), &mut files);
    }
    files.sort();
    // No digest against ill will: whoever can write sources can do as they please.
    let mut hash = DefaultHasher::new();
    for file in files {
        hash.write(file.to_string_lossy().as_bytes());
        hash.write(&fs::read(&file).unwrap_or_default());
    }
    println!(
        "cargo::rustc-env=COUNTERPART_GEOMETRY={:016x}",
        hash.finish()
    );
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            gather(&path, files);
        } else {
            files.push(path);
        }
    }
}
