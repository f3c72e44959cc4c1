//! The object as an archive may have it.

use crate::record::{Asset, ByLang, Day, Note, Object, SourceFile, Use, Withheld};
use std::path::Path;

/// Without the photographs and recordings that are withheld; where a note shows one of them, its words
/// for those who cannot see it stand in its place.
pub(super) fn object(whole: &Object, day: Day) -> (Object, Vec<Withheld>) {
    let (mut object, withheld) = whole.as_permitted(Use::Deposit, day);
    let gone = |folder: &Path, file: &str| {
        let path = folder.join(file);
        withheld
            .iter()
            .any(|w| matches!(&w.asset, Asset::Photograph { path: p } if *p == path))
    };
    let notes = |folder: &Path, notes: &mut ByLang<Note>| {
        for note in notes.values_mut() {
            if note.pictures.iter().any(|p| gone(folder, &p.file)) {
                *note = without(note, &|file| gone(folder, file));
            }
        }
    };
    notes(&object.folder, &mut object.notes);
    for detail in &mut object.details {
        notes(&detail.folder, &mut detail.notes);
    }
    for step in &mut object.making {
        notes(&step.folder, &mut step.notes);
    }
    (object, withheld)
}

fn without(note: &Note, gone: &dyn Fn(&str) -> bool) -> Note {
    let mut text = note.source.text.clone();
    let mut pictures: Vec<_> = note.pictures.iter().filter(|p| gone(&p.file)).collect();
    pictures.sort_by_key(|p| std::cmp::Reverse(p.span.start));
    for picture in pictures {
        if text.get(picture.span.clone()).is_some() {
            text.replace_range(picture.span.clone(), &format!("({})", picture.alt));
        }
    }
    let source = SourceFile {
        text,
        ..note.source.clone()
    };
    Note::read(source, note.lang.clone()).0
}
