//! A disk without room: on a small file system in memory, which only root may set up.

use super::{all, at, file};
use counterpart::desk::pen::{Fresh, Pen, Refusal, WindowId};
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::Command;

struct Small<'p>(&'p Path);

impl<'p> Small<'p> {
    fn mount(at: &'p Path) -> Option<Self> {
        let done = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=2m", "none"])
            .arg(at)
            .output();
        done.is_ok_and(|out| out.status.success())
            .then_some(Self(at))
    }

    /// Leaves so many bytes free.
    fn fill(&self, free: u64) {
        let mut file = fs::File::create(self.0.join("filler")).unwrap();
        while file.write_all(&[0; 4096]).is_ok() {}
        let now = file.metadata().unwrap().len();
        file.set_len(now.saturating_sub(free)).unwrap();
    }
}

impl Drop for Small<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0).status();
    }
}

#[test]
fn a_full_disk_changes_nothing_and_keeps_drafts() {
    let folder = tempfile::tempdir().unwrap();
    let Some(small) = Small::mount(folder.path()) else {
        println!("skipped: a small file system cannot be mounted here (it takes root)");
        return;
    };
    let content = folder.path().join("content");
    fs::create_dir_all(content.join("a")).unwrap();
    fs::write(content.join("a/en.md"), "one").unwrap();
    let pen = Pen::open(&content, &folder.path().join(".counterpart/desk")).unwrap();
    let name = file("a/en.md");
    let begun = pen.read(&name).unwrap().unwrap().version;
    let before = all(&content);
    let long = "word ".repeat(8000);
    let fresh = |path: &str, text: &str| Fresh {
        file: file(path),
        expected: None,
        text: text.into(),
    };
    let window = WindowId::new("w").unwrap();
    let mut refused = 0;
    // Room for nothing, for the journal, for one text of two …
    for free in (0..30).map(|n| n * 4096) {
        small.fill(free);
        let leaves = [
            fresh("a/details/b/cy.md", &long),
            fresh("a/details/b/en.md", &long),
        ];
        match pen.write_all(&leaves, "", at(0)) {
            Err(Refusal::NoRoom { .. }) => {
                refused += 1;
                assert_eq!(all(&content), before, "with {free} bytes free");
                let taken = pen.take_in(&file("a/x.jpg"), &mut &[0; 1 << 20][..], 1 << 20, at(0));
                assert!(matches!(taken, Err(Refusal::NoRoom { .. })), "{taken:?}");
                assert_eq!(all(&content), before, "with {free} bytes free");
            }
            Ok(_) => {
                fs::remove_file(folder.path().join("filler")).unwrap();
                pen.undo(at(0)).unwrap();
                assert_eq!(all(&content), before);
            }
            Err(other) => panic!("{other}"),
        }
    }
    assert!(refused >= 3, "the disk was never full");
    small.fill(0);
    pen.draft(&window, &name, Some(&begun), &long, at(1))
        .unwrap();
    assert_eq!(pen.drafts().unwrap()[0].text, long);
    // Without the reserve it is refused, and the earlier draft is still whole.
    let longer = "word ".repeat(100_000);
    let found = pen.draft(&window, &name, Some(&begun), &longer, at(2));
    assert!(matches!(found, Err(Refusal::NoRoom { .. })), "{found:?}");
    assert_eq!(pen.drafts().unwrap()[0].text, long);
    fs::remove_file(folder.path().join("filler")).unwrap();
    pen.write(&name, Some(&begun), "two", "", at(3)).unwrap();
    assert_eq!(fs::read_to_string(content.join("a/en.md")).unwrap(), "two");
    drop(pen);
    drop(small);
}
