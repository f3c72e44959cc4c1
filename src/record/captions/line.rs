//! Lines with their places: a line ends with LF, CR or both.

use std::ops::Range;

/// One line without its end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line<'t> {
    pub(super) text: &'t str,
    /// Byte of the file at which it begins.
    pub(super) start: usize,
}

impl Line<'_> {
    pub(super) fn span(&self) -> Range<usize> {
        self.start..self.start + self.text.len()
    }

    /// The place of a piece of this line.
    pub(super) fn piece(&self, from: usize, to: usize) -> Range<usize> {
        self.start + from..self.start + to
    }
}

pub(super) fn lines(text: &str) -> Vec<Line<'_>> {
    let mut out = Vec::new();
    let mut start = 0;
    while start < text.len() {
        let rest = &text[start..];
        let end = rest.find(['\n', '\r']).unwrap_or(rest.len());
        out.push(Line {
            text: &rest[..end],
            start,
        });
        let after = &rest[end..];
        start += end + if after.starts_with("\r\n") { 2 } else { 1 };
    }
    out
}
