//! Manifests: one digest and one name a line.

use super::digest::{Algorithm, Sum};
use super::names::{decoded, encoded};
use std::collections::BTreeMap;

/// A manifest of these files, in the order of their names.
pub(crate) fn composed<'s>(
    algorithm: Algorithm,
    files: impl IntoIterator<Item = (&'s str, &'s Sum)>,
) -> String {
    let mut out = String::new();
    for (name, sum) in files {
        if let Some(hex) = sum.of(algorithm) {
            out.push_str(hex);
            out.push_str("  ");
            out.push_str(&encoded(name));
            out.push('\n');
        }
    }
    out
}

/// One line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Line {
    /// Its number, from 1.
    pub(crate) number: usize,
    /// Lower-case hexadecimal digits.
    pub(crate) hex: String,
    /// The name as it stands there.
    pub(crate) written: String,
}

/// A manifest as it was read.
#[derive(Debug, Clone, Default)]
pub(crate) struct Manifest {
    /// By the name that is meant.
    pub(crate) lines: BTreeMap<String, Line>,
    /// Number of a line, and what is wrong there.
    pub(crate) faults: Vec<(usize, String)>,
}

/// Reads one. Blank lines at the end are passed over; everything else must be a line.
pub(crate) fn parsed(text: &str, algorithm: Algorithm) -> Manifest {
    let mut out = Manifest::default();
    for (index, line) in lines(text).enumerate() {
        let number = index + 1;
        if line.trim().is_empty() {
            if !line.is_empty() || index + 1 < lines(text).count() {
                out.faults.push((number, "the line is blank".to_owned()));
            }
            continue;
        }
        let Some((hex, rest)) = line.split_once([' ', '\t']) else {
            out.faults
                .push((number, "there is no name after the digest".to_owned()));
            continue;
        };
        if hex.len() != algorithm.digits() || !hex.bytes().all(|b| b.is_ascii_hexdigit()) {
            out.faults.push((
                number,
                format!(
                    "‘{hex}’ is no {} digest, which has {} hexadecimal digits",
                    algorithm.word(),
                    algorithm.digits()
                ),
            ));
            continue;
        }
        let written = rest.trim_start_matches([' ', '\t']);
        // Programs that print digests mark binary files with a star.
        let written = written.strip_prefix('*').unwrap_or(written);
        let written = written.strip_prefix("./").unwrap_or(written);
        let entry = Line {
            number,
            hex: hex.to_ascii_lowercase(),
            written: written.to_owned(),
        };
        let name = decoded(written);
        if let Some(first) = out.lines.get(&name) {
            let what = format!("‘{name}’ is listed again; first in line {}", first.number);
            out.faults.push((number, what));
        } else {
            out.lines.insert(name, entry);
        }
    }
    out
}

/// Lines that end with a line feed, a carriage return, or both (RFC 8493, 2.1.3).
pub(crate) fn lines(text: &str) -> impl Iterator<Item = &str> {
    text.split('\n')
        .flat_map(|line| line.strip_suffix('\r').unwrap_or(line).split('\r'))
        .collect::<Vec<_>>()
        .into_iter()
        .rev()
        .skip_while(|line| line.is_empty())
        .collect::<Vec<_>>()
        .into_iter()
        .rev()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deposit::bag::digest::sum_of;

    #[test]
    fn written_and_read_again() {
        let sum = sum_of(b"hello\n", &Algorithm::WRITTEN);
        let names = ["data/50%\na b.txt", "data/é.txt"];
        let text = composed(Algorithm::Sha256, names.map(|n| (n, &sum)));
        assert!(text.starts_with(
            "5891b5b522d5df086d0ff0b110fbd9d21bb4fc7163af34d08286a2e846f6be03  data/50%25%0Aa b.txt\n"
        ));
        let read = parsed(&text, Algorithm::Sha256);
        assert!(read.faults.is_empty());
        assert_eq!(read.lines.keys().collect::<Vec<_>>(), names);
    }

    #[test]
    fn what_is_no_line_is_told_with_its_number() {
        let hex = "5".repeat(64);
        let text = format!("{hex} *data/a\r\nabc data/b\n\n{hex}\n{hex}\tdata/a\n\n");
        let read = parsed(&text, Algorithm::Sha256);
        let at: Vec<usize> = read.faults.iter().map(|(n, _)| *n).collect();
        assert_eq!(at, [2, 3, 4, 5]);
        assert_eq!(read.lines.len(), 1);
    }
}
