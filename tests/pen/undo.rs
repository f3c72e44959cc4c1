//! Taking back, one change after the other.

use super::{Place, all, at, file, folder, is_clash, version};
use counterpart::desk::pen::{Fresh, Refusal, WindowId};

#[test]
fn everything_can_be_taken_back_to_the_beginning() {
    let place = Place::new();
    place.put("a/record.toml", "format = 1 # one\n");
    place.put("a/en.md", "# A\n");
    let mut states = vec![all(&place.content())];
    let pen = place.pen();
    let name = file("a/en.md");
    let begun = version(&pen, "a/en.md");
    pen.write(&name, Some(&begun), "# The A\n", "Words", at(0))
        .unwrap();
    states.push(all(&place.content()));
    let fresh = |path: &str| Fresh {
        file: file(path),
        expected: None,
        text: "format = 1\n".into(),
    };
    pen.write_all(
        &[fresh("a/details/b/record.toml"), fresh("a/details/b/en.md")],
        "Detail",
        at(1),
    )
    .unwrap();
    states.push(all(&place.content()));
    let binned = pen.bin(&folder("a/details/b"), at(2)).unwrap();
    states.push(all(&place.content()));
    pen.restore(&binned.id, at(3)).unwrap();
    states.push(all(&place.content()));
    pen.take_in(&file("a/details/b/x.jpg"), &mut &b"x"[..], 9, at(4))
        .unwrap();
    drop(pen);
    // The history outlives the desk.
    let pen = place.pen();
    while let Some(state) = states.pop() {
        pen.undo(at(10)).unwrap();
        assert_eq!(all(&place.content()), state);
    }
    assert!(matches!(pen.undo(at(11)), Err(Refusal::NothingToUndo)));
    let history = pen.history().unwrap();
    assert_eq!(history.len(), 10);
    assert!(history[..5].iter().all(|e| e.undone && e.undoes.is_none()));
    assert!(history[5..].iter().all(|e| e.undoes.is_some()));
}

#[test]
fn what_others_changed_since_is_not_taken_back() {
    let place = Place::new();
    place.put("a/en.md", "one");
    let pen = place.pen();
    let begun = version(&pen, "a/en.md");
    pen.write(&file("a/en.md"), Some(&begun), "two", "", at(0))
        .unwrap();
    place.put("a/en.md", "three");
    let (yours, theirs) = is_clash(pen.undo(at(1)));
    assert_eq!(
        (yours.as_str(), theirs.unwrap().text.as_str()),
        ("one", "three")
    );
    assert_eq!(place.text("a/en.md").unwrap(), "three");
}

#[test]
fn drafts_are_kept_per_window_and_file() {
    let place = Place::new();
    place.put("a/en.md", "one");
    let pen = place.pen();
    let (left, right) = (
        WindowId::new("left-1").unwrap(),
        WindowId::new("right-2").unwrap(),
    );
    let (name, base) = (file("a/en.md"), version(&pen, "a/en.md"));
    pen.draft(&left, &name, Some(&base), "o", at(0)).unwrap();
    pen.draft(&left, &name, Some(&base), "on the left", at(1))
        .unwrap();
    pen.draft(&right, &name, Some(&base), "on the right", at(2))
        .unwrap();
    pen.draft(&right, &file("not/yet/there.md"), None, "new", at(3))
        .unwrap();
    drop(pen);
    let pen = place.pen();
    let drafts = pen.drafts().unwrap();
    let texts: Vec<_> = drafts.iter().map(|d| d.text.as_str()).collect();
    assert_eq!(texts, ["on the left", "on the right", "new"]);
    assert_eq!(drafts[0].base, Some(base));
    assert_eq!(drafts[0].at, at(1));
    pen.drop_draft(&left, &name).unwrap();
    pen.drop_draft(&left, &name).unwrap();
    assert_eq!(pen.drafts().unwrap().len(), 2);
    assert_eq!(
        place.text("a/en.md").unwrap(),
        "one",
        "a draft is not the file"
    );
    for bad in ["", "a/b", "..", &"x".repeat(65)] {
        assert!(WindowId::new(bad).is_err());
    }
}
