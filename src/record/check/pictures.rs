//! Pictures: there, readable, within limits, declared with their rights, and described in words.

use crate::limits::Limits;
use crate::record::read::draft::{Draft, NoteAt, RecordAt};
use crate::record::read::tree::{Folder, Found, steps};
use crate::record::{Findings, SourceFile, nearest};
use std::ops::Range;
use std::path::Path;

/// Endings of picture files, for telling a file name from a description.
const ENDINGS: [&str; 10] = [
    "jpg", "jpeg", "png", "webp", "tif", "tiff", "gif", "heic", "bmp", "raw",
];

/// A screen reader reads an alternative text in one go; common practice, no source.
const ALTERNATIVE_CHARACTERS: usize = 250;

/// Words that stand in for a description without being one, in the languages at hand.
const EMPTY_WORDS: [&str; 14] = [
    "photo",
    "photos",
    "photograph",
    "picture",
    "image",
    "img",
    "figure",
    "illustration",
    "untitled",
    "alt",
    "llun",
    "ffotograff",
    "delwedd",
    "todo",
];

pub(super) fn check(draft: &Draft<'_>, limits: &Limits, findings: &mut Findings) {
    draft
        .records()
        .iter()
        .for_each(|r| declared(r, limits, findings));
    draft.notes().iter().for_each(|n| in_note(n, findings));
}

fn declared(at: &RecordAt<'_>, limits: &Limits, findings: &mut Findings) {
    let files = at.places.each("photographs", "file");
    for (_, leaf) in &files {
        file(at.folder, &leaf.text, at.file, &leaf.span, limits, findings);
    }
    for place in at
        .places
        .localised
        .iter()
        .filter(|p| p.path.ends_with(".alt") || p.path.starts_with("alt."))
    {
        let list = place
            .path
            .split('.')
            .nth(1)
            .and_then(|n| n.parse::<usize>().ok());
        let name = files
            .iter()
            .find(|(n, _)| Some(*n) == list)
            .map_or("", |(_, leaf)| leaf.text.as_str());
        for (_, _, text) in &place.texts {
            alternative(&text.text, name, at.file, &text.span, findings);
        }
    }
}

fn in_note(at: &NoteAt<'_>, findings: &mut Findings) {
    for picture in &at.note.pictures {
        let source = &at.note.source;
        alternative(&picture.alt, &picture.file, source, &picture.span, findings);
        let Some(record) = at.record else {
            if at.object.is_none() {
                let what = format!(
                    "The picture ‘{}’ stands in a term, which has no record for its rights.",
                    picture.file
                );
                let remedy = "Show it with a detail or a step, and link there.";
                findings.push(source.error(
                    "picture-without-rights",
                    picture.span.clone(),
                    what,
                    remedy,
                ));
            }
            continue;
        };
        let files = record.each("photographs", "file");
        let names: Vec<&str> = files.iter().map(|(_, leaf)| leaf.text.as_str()).collect();
        if names.contains(&picture.file.as_str()) {
            continue;
        }
        let there =
            steps(&picture.file).is_ok_and(|s| !matches!(at.folder.find(&s), Found::Nothing));
        let what = format!(
            "The picture ‘{}’ is not declared in record.toml, so its rights are not known.",
            picture.file
        );
        let remedy = match nearest(&picture.file, names) {
            Some(near) if !there => format!("Did you mean ‘{near}’?"),
            _ => "Add a section [[photographs]] with file, rights and alt to record.toml in the same folder.".into(),
        };
        findings.push(source.error("picture-without-rights", picture.span.clone(), what, remedy));
    }
}

/// The file itself.
fn file(
    folder: &Folder,
    name: &str,
    at: &SourceFile,
    span: &Range<usize>,
    limits: &Limits,
    findings: &mut Findings,
) {
    let mut fault = |rule, what: String, remedy: &str| {
        findings.push(at.error(rule, span.clone(), what, remedy))
    };
    let steps = match steps(name) {
        Ok(steps) if steps.len() == 1 => steps,
        Ok(_) => {
            let what = format!("The path ‘{name}’ leads into another folder.");
            return fault(
                "path-leaves",
                what,
                "Put the photograph beside its record, and write only the file name.",
            );
        }
        Err(why) => {
            let what = format!("The path ‘{name}’ {why}.");
            return fault(
                "path-leaves",
                what,
                "Put the photograph beside its record, and write only the file name.",
            );
        }
    };
    let (path, bytes) = match folder.find(&steps) {
        Found::File(path, bytes) => (path, bytes),
        Found::Refused => return,
        Found::Nothing => {
            let what = format!("There is no file ‘{name}’ beside this record.");
            let remedy = match nearest(
                name,
                folder
                    .files
                    .keys()
                    .map(String::as_str)
                    .filter(|f| is_picture_name(f)),
            ) {
                Some(near) => format!("Did you mean ‘{near}’?"),
                None => "Put the photograph here, or take this section out.".to_owned(),
            };
            return fault("missing-file", what, &remedy);
        }
    };
    if bytes > limits.photograph_bytes {
        let what = format!(
            "‘{name}’ has {bytes} bytes; at most {} are read.",
            limits.photograph_bytes
        );
        return fault(
            "oversized-file",
            what,
            "Save it smaller, or with more compression.",
        );
    }
    match dimensions(&path) {
        Err(cause) => {
            let what = format!(
                "‘{name}’ cannot be read as a picture: {}.",
                cause.trim_end_matches('.')
            );
            fault("not-a-picture", what, "Save it again as JPEG, PNG or WebP.");
        }
        Ok((width, height)) if u64::from(width) * u64::from(height) > limits.photograph_pixels => {
            let what = format!(
                "‘{name}’ is {width} × {height} pixels; at most {} pixels are read.",
                limits.photograph_pixels
            );
            fault("oversized-file", what, "Save it with fewer pixels.");
        }
        Ok(_) => {}
    }
}

/// Most memory for the head of a picture, its colour profile included.
const HEAD_BYTES: u64 = 64 << 20;

/// Width and height from the head of the file; the pixels are not decoded.
fn dimensions(path: &Path) -> Result<(u32, u32), String> {
    let mut reader = image::ImageReader::open(path)
        .and_then(image::ImageReader::with_guessed_format)
        .map_err(|cause| cause.to_string())?;
    // A colour profile is unpacked with the head, and may be packed a thousandfold.
    let mut bounds = image::Limits::default();
    bounds.max_alloc = Some(HEAD_BYTES);
    reader.limits(bounds);
    if reader.format().is_none() {
        return Err("it is in no known picture format".to_owned());
    }
    // A camera's name may claim one format and the content be another: only the content counts.
    let (width, height) = reader
        .into_dimensions()
        .map_err(|cause| cause.to_string())?;
    if width == 0 || height == 0 {
        Err("it has no pixels".to_owned())
    } else {
        Ok((width, height))
    }
}

fn is_picture_name(name: &str) -> bool {
    name.rsplit_once('.')
        .is_some_and(|(_, ending)| ENDINGS.contains(&ending.to_ascii_lowercase().as_str()))
}

/// What the picture shows, for someone who cannot see it (WCAG 2.2, 1.1.1).
fn alternative(
    alt: &str,
    file: &str,
    at: &SourceFile,
    span: &Range<usize>,
    findings: &mut Findings,
) {
    let remedy = "Say in a sentence what can be seen, as you would over the telephone.";
    if alt.trim().is_empty() {
        let what = "This picture has no alternative text.";
        findings.push(at.error("missing-alternative-text", span.clone(), what, remedy));
    } else if says_nothing(alt, file) {
        let what = format!(
            "The alternative text ‘{}’ does not say what the picture shows.",
            alt.trim()
        );
        findings.push(at.error("filename-as-alternative-text", span.clone(), what, remedy));
    }
    let length = alt.chars().count();
    if length > ALTERNATIVE_CHARACTERS {
        let what = format!(
            "The alternative text has {length} characters; at most {ALTERNATIVE_CHARACTERS} are listened to in one go."
        );
        let remedy = "Say the most important thing here, and the rest in the caption or the note.";
        findings.push(at.advice("long-alternative-text", span.clone(), what, remedy));
    }
}

/// Whether a text is a file name, a camera's number or an empty word.
fn says_nothing(alt: &str, file: &str) -> bool {
    let text = alt.trim().trim_end_matches('.').to_lowercase();
    let file = file.to_lowercase();
    let stem = file
        .rsplit_once('.')
        .map_or(file.as_str(), |(stem, _)| stem);
    let last_word = alt
        .trim()
        .rsplit(char::is_whitespace)
        .next()
        .unwrap_or_default();
    let one_word = !text.contains(char::is_whitespace);
    // A keeper may name a file well: "a-hare.jpg" described as "a hare" is a description.
    (one_word
        && (text == file
            || text == stem && stem.contains(|c: char| c.is_ascii_digit() || "_-".contains(c))))
        || (one_word && is_picture_name(last_word))
        || camera_number(&text)
        || EMPTY_WORDS
            .contains(&text.trim_end_matches(|c: char| c.is_ascii_digit() || " _-#".contains(c)))
}

/// `img_2034`, `dscn0012`, `p1010034`, `20240312_101500`, `scan 0004`: letters, then digits. Two
/// words count only where the first is one that cameras and scanners use: "bell 1647" describes.
fn camera_number(text: &str) -> bool {
    const CAMERA: [&str; 8] = ["img", "dsc", "dscn", "dscf", "scan", "pict", "pxl", "p"];
    let first_digit = text
        .find(|c: char| c.is_ascii_digit())
        .unwrap_or(text.len());
    let (letters, numbers) = text.split_at(first_digit);
    let word = letters.trim_matches(|c: char| " _-(".contains(c));
    let digits = numbers.chars().filter(char::is_ascii_digit).count();
    digits >= 3
        && word.chars().all(|c| c.is_ascii_alphabetic())
        && word.len() <= 5
        && numbers
            .chars()
            .all(|c| c.is_ascii_digit() || " _-()".contains(c))
        && (CAMERA.contains(&word) || !text.contains(char::is_whitespace))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_names_and_empty_words_say_nothing() {
        let nothing = [
            "IMG_2034.jpg",
            "IMG_2034",
            "dscn0012",
            "DSC 0012",
            "P1010034",
            "photo",
            "Image 3",
            "Photo.",
            "llun",
            "20240312_101500",
            "hare-frieze.webp",
            "hare_frieze",
        ];
        for alt in nothing {
            assert!(says_nothing(alt, "hare_frieze.jpg"), "{alt}");
        }
    }

    #[test]
    fn descriptions_say_something() {
        let something = [
            "A hare",
            "Hare",
            "The date 1647",
            "Lip with a riveted patch",
            "Photo of the lip before cleaning",
            "Bell 1647",
            "Photographs of 1923 laid on a table",
            "ܠܘܚܐ",
        ];
        for alt in something {
            assert!(!says_nothing(alt, "lip.jpg"), "{alt}");
        }
    }
}
