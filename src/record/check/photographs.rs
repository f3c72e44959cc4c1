//! Photographs: there, readable, permitted, and described.

use super::Check;
use crate::record::{Note, Object, Photograph, Place};
use image::ImageReader;
use std::fs::File;
use std::io::BufReader;
use std::path::Path;

impl Check<'_> {
    pub(super) fn photographs(&mut self, object: &Object) {
        self.folder(
            object,
            &object.folder,
            &object.record.photographs,
            object.notes.values(),
        );
        for detail in &object.details {
            self.folder(
                object,
                &detail.folder,
                &detail.record.photographs,
                detail.notes.values(),
            );
        }
        for step in &object.making {
            self.folder(
                object,
                &step.folder,
                &step.record.photographs,
                step.notes.values(),
            );
        }
        let catalogue = self.catalogue;
        for note in catalogue.terms.iter().flat_map(|t| t.notes.values()) {
            for picture in &note.pictures {
                let place = note.source.place(picture.span.clone());
                let what = "a picture in the glossary has no record that could hold its rights";
                self.findings.error(
                    "picture-without-rights",
                    place,
                    what,
                    "take it away, or put it into a detail or step",
                );
            }
        }
    }

    fn folder<'n>(
        &mut self,
        object: &Object,
        folder: &Path,
        declared: &[Photograph],
        notes: impl Iterator<Item = &'n Note>,
    ) {
        for (i, photograph) in declared.iter().enumerate() {
            let index = i.to_string();
            let at = |last: &[&str]| self.at(folder, &[&["photographs", &index], last].concat());
            let (file_place, rights_place) = (at(&["file"]), at(&["rights"]));
            let alts: Vec<(String, Place)> = photograph
                .alt
                .0
                .iter()
                .map(|(lang, text)| (text.clone(), at(&["alt", lang.as_str()])))
                .collect();
            if self.file(
                folder,
                &photograph.file,
                self.limits.photograph_bytes,
                file_place.clone(),
            ) {
                self.pixels(&folder.join(&photograph.file), &photograph.file, file_place);
            }
            self.may_show(
                object,
                &photograph.rights,
                &format!("the picture ‘{}’", photograph.file),
                rights_place,
            );
            for (text, place) in alts {
                self.alternative(&text, place);
            }
        }
        for note in notes {
            for picture in &note.pictures {
                let place = note.source.place(picture.span.clone());
                if !declared.iter().any(|p| p.file == picture.file) {
                    let what = format!(
                        "the picture ‘{}’ is not in the record beside the note, so it has no rights",
                        picture.file
                    );
                    let remedy = format!(
                        "add [[photographs]] with file = \"{}\", rights and alt to record.toml",
                        picture.file
                    );
                    self.findings
                        .error("picture-without-rights", place.clone(), what, remedy);
                }
                self.alternative(&picture.alt, place);
            }
        }
    }

    fn pixels(&mut self, path: &Path, name: &str, place: Place) {
        let size = File::open(path)
            .ok()
            .and_then(|file| {
                ImageReader::new(BufReader::new(file))
                    .with_guessed_format()
                    .ok()
            })
            .filter(|reader| reader.format().is_some())
            .and_then(|reader| reader.into_dimensions().ok());
        match size {
            None => {
                let what = format!("‘{name}’ is not a JPEG, PNG or WebP picture that can be read");
                self.findings
                    .error("not-a-picture", place, what, "save it again as JPEG or PNG");
            }
            Some((width, height))
                if u64::from(width) * u64::from(height) > self.limits.photograph_pixels =>
            {
                let what = format!(
                    "‘{name}’ has {width} × {height} pixels; at most {} pixels are read",
                    self.limits.photograph_pixels
                );
                self.findings
                    .error("oversized", place, what, "make it smaller");
            }
            Some(_) => {}
        }
    }

    /// Alternative text must say what the picture shows.
    fn alternative(&mut self, text: &str, place: Place) {
        let remedy = "say in a sentence what the picture shows, for someone who cannot see it";
        let words = text.split_whitespace().count();
        if words == 0 {
            self.findings.error(
                "alternative-missing",
                place,
                "the alternative text is missing",
                remedy,
            );
        } else if like_a_file_name(text) {
            let what =
                format!("the alternative text ‘{text}’ is a file name or a word that says nothing");
            self.findings
                .error("alternative-empty-words", place, what, remedy);
        }
    }
}

/// `IMG_2034.jpg`, `dscn0012`, `photo`, `image 3`.
fn like_a_file_name(text: &str) -> bool {
    let plain = text.trim().to_lowercase();
    let endings = [
        ".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".heic", ".gif",
    ];
    if endings.iter().any(|e| plain.ends_with(e)) {
        return true;
    }
    let letters: String = plain.chars().filter(|c| c.is_alphabetic()).collect();
    let empty = [
        "img",
        "dsc",
        "dscn",
        "dscf",
        "pict",
        "photo",
        "photograph",
        "image",
        "picture",
        "untitled",
        "scan",
        "llun",
        "delwedd",
        "ffotograff",
    ];
    empty.contains(&letters.as_str())
}
