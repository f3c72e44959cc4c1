//! Every state in which a kill can leave a change, laid by hand, and what the next opening makes of it.

use super::*;
use crate::desk::pen::{Inside, Moment, Version};
use std::fs;
use std::path::PathBuf;

struct Laid {
    home: tempfile::TempDir,
    record: Record,
}

impl Laid {
    /// Two files that are changed from ‘old’ to ‘new’; nothing of it is done but the journal.
    fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        for name in ["a.md", "b.md"] {
            let path = home.path().join("content/x").join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, "old").unwrap();
        }
        let pen = open(&home);
        let altered = |name: &str| Altered {
            file: Inside::new(name).unwrap(),
            before: Some(pen.keep.keep_text(b"old").unwrap()),
            after: Some(pen.keep.keep_text(b"new").unwrap()),
        };
        let record = Record {
            format: 1,
            id: 7,
            at: Moment::from_unix_ms(0).unwrap(),
            why: "A change".to_owned(),
            deed: Deed::Wrote {
                files: vec![altered("x/a.md"), altered("x/b.md")],
            },
            made: Vec::new(),
            unmade: Vec::new(),
            undoes: None,
        };
        pen.keep.write_json(JOURNAL, &record).unwrap();
        drop(pen);
        Self { home, record }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.home.path().join("content/x").join(name)
    }

    fn put(&self, name: &str, text: &str) -> &Self {
        fs::write(self.path(name), text).unwrap();
        self
    }

    /// Opens again: both texts, whether the change was finished, the drafts, and that nothing else
    /// is left.
    fn opened(&self) -> (String, String, bool, usize) {
        let pen = open(&self.home);
        let recovered = pen.recovered().expect("a journal was found").clone();
        let names = fs::read_dir(self.path("")).unwrap();
        assert_eq!(names.count(), 2, "something is left beside the files");
        assert_eq!(
            pen.history().unwrap().len(),
            usize::from(recovered.finished)
        );
        let text = |name: &str| fs::read_to_string(self.path(name)).unwrap();
        let drafts = pen.drafts().unwrap().len();
        drop(pen);
        assert!(open(&self.home).recovered().is_none(), "it is settled once");
        (text("a.md"), text("b.md"), recovered.finished, drafts)
    }

    fn beside(&self, name: &str) -> String {
        self.record
            .beside(&Inside::new(&format!("x/{name}")).unwrap())
    }
}

fn open(home: &tempfile::TempDir) -> Pen {
    Pen::open(&home.path().join("content"), &home.path().join("keep")).unwrap()
}

fn said(a: &str, b: &str, finished: bool, drafts: usize) -> (String, String, bool, usize) {
    (a.to_owned(), b.to_owned(), finished, drafts)
}

#[test]
fn before_anything_was_done() {
    assert_eq!(Laid::new().opened(), said("new", "new", true, 0));
}

#[test]
fn with_new_texts_half_written_beside() {
    let laid = Laid::new();
    laid.put(&laid.beside("a.md"), "ne")
        .put(&laid.beside("b.md"), "");
    assert_eq!(laid.opened(), said("new", "new", true, 0));
}

#[test]
fn between_the_two_files() {
    let laid = Laid::new();
    laid.put("a.md", "new").put(&laid.beside("a.md"), "old");
    laid.put(&laid.beside("b.md"), "new");
    assert_eq!(laid.opened(), said("new", "new", true, 0));
}

#[test]
fn with_all_in_place_but_not_in_the_history() {
    let laid = Laid::new();
    laid.put("a.md", "new").put("b.md", "new");
    assert_eq!(laid.opened(), said("new", "new", true, 0));
}

#[test]
fn what_an_editor_saved_meanwhile_stands_and_ours_becomes_a_draft() {
    let laid = Laid::new();
    laid.put("a.md", "new").put("b.md", "theirs");
    laid.put(&laid.beside("b.md"), "new");
    assert_eq!(laid.opened(), said("old", "theirs", false, 2));
}

#[test]
fn what_came_out_of_an_exchange_unseen_goes_back() {
    let laid = Laid::new();
    laid.put("a.md", "new").put(&laid.beside("a.md"), "theirs");
    assert_eq!(laid.opened(), said("theirs", "old", false, 2));
}

#[test]
fn of_two_saves_the_later_stands_and_the_earlier_is_kept() {
    let laid = Laid::new();
    laid.put("a.md", "later")
        .put(&laid.beside("a.md"), "earlier");
    assert_eq!(laid.opened(), said("later", "old", false, 2));
    let pen = open(&laid.home);
    let earlier = pen.keep.text(&Version::of(b"earlier")).unwrap();
    assert_eq!(earlier.as_deref(), Some(&b"earlier"[..]));
}

#[test]
fn a_failed_change_is_taken_back_and_not_finished() {
    let laid = Laid::new();
    let pen = open_without_settling(&laid);
    pen.keep.rename(JOURNAL, TAKING_BACK).unwrap();
    drop(pen);
    laid.put("a.md", "new").put(&laid.beside("a.md"), "old");
    laid.put(&laid.beside("b.md"), "new");
    assert_eq!(laid.opened(), said("old", "old", false, 0));
}

fn open_without_settling(laid: &Laid) -> Pen {
    use crate::desk::pen::{ground::Ground, keep::Keep};
    use std::sync::Mutex;
    Pen {
        ground: Ground::open(&laid.home.path().join("content")).unwrap(),
        keep: Keep::open(&laid.home.path().join("keep")).unwrap(),
        state: Mutex::new(State {
            history: Vec::new(),
            next: 8,
        }),
        recovered: None,
    }
}
