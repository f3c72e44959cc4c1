//! A search of every byte below a folder: texts as they are and unpacked, pictures as pixels.

use super::pictures::{COLOUR, has};
use std::path::Path;

/// What was found.
pub(crate) struct Hunt {
    files: Vec<(String, Vec<u8>)>,
    /// Pictures in which a twentieth of the pixels, or more, have the planted colour.
    pub(crate) colour: usize,
}

impl Hunt {
    pub(crate) fn of(folder: &Path) -> Self {
        let mut files: Vec<(String, Vec<u8>)> = walkdir::WalkDir::new(folder)
            .into_iter()
            .filter_map(Result::ok)
            .filter(|e| e.file_type().is_file())
            .map(|e| {
                (
                    e.path().display().to_string(),
                    std::fs::read(e.path()).unwrap(),
                )
            })
            .collect();
        // Files within files: in scripts and addresses as base64, in the store behind one another.
        let inside: Vec<(String, Vec<u8>)> = files
            .iter()
            .flat_map(|(name, bytes)| {
                let mut own: Vec<_> = carried(bytes)
                    .into_iter()
                    .map(|b| (format!("{name} (carried)"), b))
                    .collect();
                own.extend(
                    pictures_within(bytes)
                        .into_iter()
                        .map(|b| (format!("{name} (within)"), b)),
                );
                own
            })
            .collect();
        files.extend(inside);
        let colour = files.iter().filter(|(_, bytes)| is_coloured(bytes)).count();
        Self { files, colour }
    }

    pub(crate) fn has(&self, mark: &str) -> bool {
        self.files.iter().any(|(_, bytes)| has(bytes, mark))
    }

    pub(crate) fn places(&self, mark: &str) -> Vec<&str> {
        let found = self.files.iter().filter(|(_, bytes)| has(bytes, mark));
        found.map(|(name, _)| name.as_str()).collect()
    }
}

/// Every long run of base64.
fn carried(bytes: &[u8]) -> Vec<Vec<u8>> {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Vec::new();
    };
    let other = |c: char| !(c.is_ascii_alphanumeric() || "+/=".contains(c));
    let runs = text.split(other).filter(|run| run.len() > 64);
    runs.filter_map(|run| base64::decode(run).ok()).collect()
}

/// Every picture that begins somewhere in the bytes: stored results and models hold several.
fn pictures_within(bytes: &[u8]) -> Vec<Vec<u8>> {
    let begins = |at: usize| {
        let here = &bytes[at..];
        here.starts_with(&[0xFF, 0xD8, 0xFF])
            || here.starts_with(b"\x89PNG")
            || (here.starts_with(b"RIFF") && here[8..12] == *b"WEBP")
    };
    let starts = (1..bytes.len().saturating_sub(12)).filter(|at| begins(*at));
    starts.map(|at| bytes[at..].to_vec()).collect()
}

fn is_coloured(bytes: &[u8]) -> bool {
    let Ok(picture) = image::load_from_memory(bytes) else {
        return false;
    };
    let picture = picture.into_rgb8();
    // Encoders move a colour by a few steps.
    let near = |p: &&image::Rgb<u8>| p.0.iter().zip(COLOUR).all(|(a, b)| a.abs_diff(b) < 12);
    let found = picture.pixels().filter(near).count();
    found * 20 > picture.pixels().len()
}
