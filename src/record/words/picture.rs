//! A picture in a note, as HTML.

use super::html::escape;

/// A picture, ready to be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ResolvedPicture {
    /// `srcset` of WebP files.
    pub webp: String,
    /// `srcset` of the fallback files.
    pub fallback: String,
    /// One fallback address.
    pub src: String,
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// Alternative text.
    pub alt: String,
    /// Caption.
    pub caption: Option<String>,
    /// Credit line.
    pub credit: String,
    /// Whether it may be printed.
    pub printed: bool,
}

pub(super) fn picture_html(picture: &ResolvedPicture) -> String {
    format!(
        "<picture{}><source type=\"image/webp\" srcset=\"{}\" sizes=\"(min-width: 48rem) 40rem, 92vw\">\
         <img src=\"{}\" srcset=\"{}\" sizes=\"(min-width: 48rem) 40rem, 92vw\" width=\"{}\" height=\"{}\" alt=\"{}\" loading=\"lazy\"></picture>",
        if picture.printed {
            ""
        } else {
            " class=\"on-screen\""
        },
        escape(&picture.webp),
        escape(&picture.src),
        escape(&picture.fallback),
        picture.width,
        picture.height,
        escape(&picture.alt)
    )
}
