//! A picture as files in several sizes and two formats.

use crate::formats::PictureFile;
use crate::picture::Sized;
use crate::site::address::Address;
use crate::site::assets::Assets;
use crate::site::page::Picture;
use serde::{Deserialize, Serialize};

/// Paths relative to the root of the site, smallest first.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct PictureFiles {
    webp: Vec<(String, u32)>,
    fallback: Vec<(String, u32)>,
    width: u32,
    height: u32,
}

impl PictureFiles {
    /// Adds every size to the assets under one name.
    pub(crate) fn add(name: &str, sizes: &[Sized], assets: &Assets) -> Self {
        let mut files = Self {
            webp: Vec::new(),
            fallback: Vec::new(),
            width: 0,
            height: 0,
        };
        for size in sizes {
            files
                .webp
                .push((assets.add(name, "webp", size.webp.clone()), size.width));
            files.fallback.push((
                assets.add(name, size.fallback_ending(), size.fallback.clone()),
                size.width,
            ));
            if size.width > files.width {
                (files.width, files.height) = (size.width, size.height);
            }
        }
        files
    }

    /// The smallest file that all browsers of today show.
    pub(crate) fn small_from(&self, from: &Address) -> String {
        let first = self.webp.first();
        first.map_or_else(String::new, |(path, _)| from.to_file(path))
    }

    /// The largest file that every program shows.
    pub(crate) fn largest(&self) -> Option<PictureFile> {
        let (path, _) = self.fallback.last()?;
        Some(PictureFile {
            path: path.clone(),
            media_type: if path.ends_with(".png") {
                "image/png"
            } else {
                "image/jpeg"
            },
            size_px: [self.width, self.height],
        })
    }

    /// As a page at `from` shows it.
    pub(crate) fn seen_from(&self, from: &Address, alt: String) -> Picture {
        let set = |files: &[(String, u32)]| {
            let entries: Vec<String> = files
                .iter()
                .map(|(path, width)| format!("{} {width}w", from.to_file(path)))
                .collect();
            entries.join(", ")
        };
        let middle = self.fallback.get(self.fallback.len() / 2);
        Picture {
            webp: set(&self.webp),
            fallback: set(&self.fallback),
            src: middle.map_or_else(String::new, |(path, _)| from.to_file(path)),
            width: self.width,
            height: self.height,
            alt,
        }
    }
}
