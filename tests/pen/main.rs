//! The pen: what the desk writes below a content folder, and what it refuses.
#![cfg(unix)]

mod attacks;
mod bin;
mod full;
mod killed;
mod others;
mod records;
mod translated;
mod undo;

use counterpart::desk::pen::{Inside, Leaf, Moment, Pen, Refusal, Version};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// A content folder and the desk's own folder beside it.
pub(crate) struct Place {
    folder: tempfile::TempDir,
}

impl Place {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        fs::create_dir(folder.path().join("content")).expect("a content folder");
        Self { folder }
    }

    pub(crate) fn content(&self) -> PathBuf {
        self.folder.path().join("content")
    }

    pub(crate) fn keep(&self) -> PathBuf {
        self.folder.path().join(".counterpart/desk")
    }

    pub(crate) fn beside(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// A child that another test begins holds every open file of this process until it has become its program, a lock
    /// that was just given back among them: it is asked again for a while.
    pub(crate) fn pen(&self) -> Pen {
        let begun = Instant::now();
        loop {
            match Pen::open(&self.content(), &self.keep()) {
                Err(Refusal::Busy { .. }) if begun.elapsed() < Duration::from_secs(10) => {
                    std::thread::sleep(Duration::from_millis(5));
                }
                opened => return opened.expect("the folder opens"),
            }
        }
    }

    pub(crate) fn put(&self, name: &str, text: &str) {
        let path = self.content().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, text).expect("it is written");
    }

    pub(crate) fn text(&self, name: &str) -> Option<String> {
        fs::read_to_string(self.content().join(name)).ok()
    }
}

pub(crate) fn at(ms: i64) -> Moment {
    Moment::from_unix_ms(1_800_000_000_000 + ms).expect("a moment")
}

pub(crate) fn file(path: &str) -> Inside {
    Inside::new(path).expect("a path that is allowed")
}

pub(crate) fn folder(path: &str) -> Inside {
    Inside::folder(path).expect("a path that is allowed")
}

pub(crate) fn leaf(pen: &Pen, path: &str) -> Leaf {
    pen.read(&file(path))
        .expect("it reads")
        .expect("it is there")
}

pub(crate) fn version(pen: &Pen, path: &str) -> Version {
    leaf(pen, path).version
}

/// Every file and folder below, hidden ones too, with what they hold.
pub(crate) fn all(below: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in walkdir::WalkDir::new(below).sort_by_file_name() {
        let entry = entry.expect("it can be looked at");
        let name = entry
            .path()
            .strip_prefix(below)
            .expect("below")
            .display()
            .to_string();
        let bytes = if entry.file_type().is_file() {
            fs::read(entry.path()).expect("it reads")
        } else {
            Vec::new()
        };
        found.push((name, bytes));
    }
    found
}

pub(crate) fn is_clash<T: std::fmt::Debug>(found: Result<T, Refusal>) -> (String, Option<Leaf>) {
    match found {
        Err(Refusal::Clash { yours, theirs, .. }) => (yours, theirs),
        other => panic!("a clash was expected, not {other:?}"),
    }
}

#[test]
fn a_new_text_is_written_and_read_with_its_version() {
    let place = Place::new();
    let pen = place.pen();
    let name = file("mortar/details/spout/en.md");
    assert_eq!(pen.read(&name).unwrap(), None);
    let first = pen.write(&name, None, "# Spout\n", "Words", at(0)).unwrap();
    assert_eq!(leaf(&pen, name.as_str()).version, first);
    // The version is the BLAKE3 digest, made here by the reference implementation.
    assert_eq!(first.as_str(), blake3::hash(b"# Spout\n").to_hex().as_str());
    let second = pen
        .write(&name, Some(&first), "# The spout\n", "Words", at(1))
        .unwrap();
    assert_ne!(first, second);
    assert_eq!(place.text(name.as_str()).unwrap(), "# The spout\n");
    // Nothing is left beside it.
    assert_eq!(all(&place.content()).len(), 5);
}

#[test]
fn what_was_changed_meanwhile_is_never_overwritten() {
    let place = Place::new();
    place.put("a/en.md", "one");
    let pen = place.pen();
    let name = file("a/en.md");
    let begun = version(&pen, "a/en.md");
    place.put("a/en.md", "theirs");
    let (yours, theirs) = is_clash(pen.write(&name, Some(&begun), "mine", "", at(0)));
    assert_eq!(
        (yours.as_str(), theirs.unwrap().text.as_str()),
        ("mine", "theirs")
    );
    let (_, theirs) = is_clash(pen.write(&name, None, "mine", "", at(0)));
    assert_eq!(theirs.unwrap().text, "theirs");
    fs::remove_file(place.content().join("a/en.md")).unwrap();
    let (yours, theirs) = is_clash(pen.write(&name, Some(&begun), "mine", "", at(0)));
    assert_eq!((yours.as_str(), theirs), ("mine", None));
    assert_eq!(all(&place.content()).len(), 2, "nothing but the folder");
    assert!(pen.history().unwrap().is_empty());
}

#[test]
fn several_files_are_written_all_or_none() {
    use counterpart::desk::pen::Fresh;
    let place = Place::new();
    place.put("a/cy.md", "there");
    let pen = place.pen();
    let fresh = |path: &str, text: &str| Fresh {
        file: file(path),
        expected: None,
        text: text.into(),
    };
    let leaves = [
        fresh("a/details/b/record.toml", "format = 1\n"),
        fresh("a/details/b/en.md", "# B\n"),
        fresh("a/cy.md", "new"),
    ];
    let before = all(&place.content());
    is_clash(pen.write_all(&leaves, "A new detail", at(0)));
    assert_eq!(all(&place.content()), before);
    pen.write_all(&leaves[..2], "A new detail", at(0)).unwrap();
    assert_eq!(place.text("a/details/b/en.md").unwrap(), "# B\n");
    assert_eq!(pen.history().unwrap().len(), 1);
    let twice = [fresh("a/x.md", ""), fresh("a/X.md", "")];
    assert!(matches!(
        pen.write_all(&twice, "", at(0)),
        Err(Refusal::Taken { .. })
    ));
}

#[test]
fn rights_of_a_file_and_texts_at_the_limit_are_kept() {
    use std::os::unix::fs::PermissionsExt;
    let place = Place::new();
    place.put("a/en.md", "one");
    let path = place.content().join("a/en.md");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    let pen = place.pen();
    let name = file("a/en.md");
    let begun = version(&pen, "a/en.md");
    let most = 1 << 20;
    let long = "x".repeat(most);
    let begun = pen.write(&name, Some(&begun), &long, "", at(0)).unwrap();
    assert_eq!(
        fs::metadata(&path).unwrap().permissions().mode() & 0o777,
        0o640
    );
    let longer = format!("{long}x");
    assert!(matches!(
        pen.write(&name, Some(&begun), &longer, "", at(0)),
        Err(Refusal::TooLarge { .. })
    ));
    fs::write(&path, longer).unwrap();
    assert!(matches!(pen.read(&name), Err(Refusal::TooLarge { .. })));
    fs::write(&path, b"\xff").unwrap();
    assert!(matches!(pen.read(&name), Err(Refusal::Failed { .. })));
}
