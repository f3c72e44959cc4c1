//! Paths below the content folder that the desk may touch: relative, and such that every file
//! system on which the folder may ever lie agrees about them.

use super::Refusal;
use serde::{Deserialize, Serialize};
use std::fmt;
use unicode_normalization::UnicodeNormalization;

/// Endings of files that belong into a content folder.
const ENDINGS: [&str; 23] = [
    "toml", "md", "vtt", "xml", "csv", "jpg", "jpeg", "png", "webp", "glb", "gltf", "bin", "ply",
    "stl", "obj", "mtl", "3mf", "mp3", "m4a", "ogg", "opus", "wav", "mp4",
];
/// The one ending more that does not fit the row above.
const FILM: &str = "webm";
/// Longest name of one step, bytes: room for the prefix and the ending of a file written beside it
/// within the 255 bytes that common file systems allow.
const LONGEST_NAME: usize = 200;
/// Most steps of a path, as many as the survey follows.
const DEEPEST: usize = 16;

/// Device names that Windows refuses, with or without an ending (Microsoft, "Naming Files, Paths,
/// and Namespaces"; consoles and superscript digits are named there too).
fn reserved(step: &str) -> bool {
    let stem = step.split('.').next().unwrap_or(step).trim_end();
    let stem = stem.to_ascii_lowercase();
    if ["con", "prn", "aux", "nul", "conin$", "conout$"].contains(&stem.as_str()) {
        return true;
    }
    let numbered = stem.strip_prefix("com").or(stem.strip_prefix("lpt"));
    numbered.is_some_and(|rest| {
        let mut letters = rest.chars();
        matches!(letters.next(), Some('0'..='9' | '¹' | '²' | '³')) && letters.next().is_none()
    })
}

/// A path below the content folder: relative, no `..`, portable names, only known endings.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Inside {
    path: String,
    file: bool,
}

impl Inside {
    /// A file: `brackwater-mortar/details/hare-frieze/en.md`.
    pub fn new(path: &str) -> Result<Self, Refusal> {
        check_steps(path)?;
        let ending = path
            .rsplit('/')
            .next()
            .and_then(|name| name.rsplit_once('.'));
        let ending = ending.map(|(_, ending)| ending.to_ascii_lowercase());
        match ending {
            Some(e) if ENDINGS.contains(&e.as_str()) || e == FILM => Ok(Self {
                path: path.to_owned(),
                file: true,
            }),
            _ => Err(outside(
                path,
                "has an ending that does not belong into a content folder; use one of toml, md, vtt, or that of a photograph, a model or a recording",
            )),
        }
    }

    /// A folder, as the bin takes it: `brackwater-mortar/details/hare-frieze`.
    pub fn folder(path: &str) -> Result<Self, Refusal> {
        check_steps(path)?;
        Ok(Self {
            path: path.to_owned(),
            file: false,
        })
    }

    /// The path, with `/` between its steps.
    pub fn as_str(&self) -> &str {
        &self.path
    }

    /// Whether a file is meant, not a folder.
    pub fn is_file(&self) -> bool {
        self.file
    }

    /// Refuses a folder, and with it every ending that is not known.
    pub(super) fn must_be_file(&self) -> Result<(), Refusal> {
        match self.file {
            true => Ok(()),
            false => Err(outside(
                &self.path,
                "names a folder, where a file is wanted",
            )),
        }
    }

    /// The names on the way, the last one included.
    pub(super) fn steps(&self) -> Vec<&str> {
        self.path.split('/').collect()
    }

    /// The last name.
    pub(super) fn name(&self) -> &str {
        self.path.rsplit('/').next().unwrap_or(&self.path)
    }

    /// The folders on the way, outermost first.
    pub(super) fn ancestors(&self) -> Vec<&str> {
        let ends = self.path.match_indices('/').map(|(at, _)| at);
        ends.map(|at| &self.path[..at]).collect()
    }
}

/// How names are compared that some systems take for the same.
pub(super) fn folded(name: &str) -> String {
    name.nfc().flat_map(char::to_lowercase).nfc().collect()
}

fn outside(path: &str, why: &str) -> Refusal {
    Refusal::Outside {
        path: path.chars().take(300).collect(),
        why: why.to_owned(),
    }
}

fn check_steps(path: &str) -> Result<(), Refusal> {
    let steps = crate::record::relative_steps(path).map_err(|why| outside(path, why))?;
    if steps.len() > DEEPEST {
        return Err(outside(path, "goes deeper than 16 folders"));
    }
    for step in steps {
        let fault = if step.len() > LONGEST_NAME {
            "has a name of more than 200 bytes"
        } else if step.starts_with('.') {
            "has a name that begins with a dot, and such files are hidden"
        } else if step.starts_with([' ', '~']) || step.ends_with([' ', '.', '~']) {
            "has a name that begins or ends with a space, a dot or ‘~’"
        } else if step.contains(['<', '>', ':', '"', '|', '?', '*']) {
            "has a name with one of < > : \" | ? *, which some systems refuse"
        } else if step.contains(['\u{200e}', '\u{200f}', '\u{feff}'])
            || step.contains(|c| ('\u{202a}'..='\u{202e}').contains(&c))
            || step.contains(|c| ('\u{2066}'..='\u{2069}').contains(&c))
        {
            "has a name with characters that cannot be seen"
        } else if reserved(step) {
            "has a name that Windows keeps for devices"
        } else {
            continue;
        };
        return Err(outside(path, fault));
    }
    Ok(())
}

impl TryFrom<String> for Inside {
    type Error = Refusal;
    fn try_from(path: String) -> Result<Self, Refusal> {
        Self::new(&path).or_else(|_| Self::folder(&path))
    }
}

impl From<Inside> for String {
    fn from(inside: Inside) -> String {
        inside.path
    }
}

impl fmt::Display for Inside {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.path)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_that_some_system_would_not_take_are_refused() {
        // Microsoft, "Naming Files, Paths, and Namespaces"; POSIX.1-2024, 3.254 Pathname.
        for bad in [
            "",
            "/etc/passwd.toml",
            "../x.toml",
            "a/../x.toml",
            "a//x.toml",
            "./x.toml",
            "a\\x.toml",
            "c:/x.toml",
            "c:x.toml",
            "~/x.toml",
            "x\0.toml",
            "x\n.toml",
            "con.toml",
            "a/NUL.md",
            "com1.x.toml",
            "lpt³.toml",
            "CONOUT$.md",
            "a/.hidden.toml",
            ".counterpart/x.toml",
            "a./x.toml",
            "a /x.toml",
            "x?.toml",
            "x.exe",
            "x",
            "x.toml.",
            "x.toml~",
            "x.sh",
            "a/b\u{202e}c.toml",
            "x.html",
            "x.toml/",
            "aux",
        ] {
            assert!(Inside::new(bad).is_err(), "{bad:?} was taken");
        }
        assert!(Inside::new(&format!("{}.md", "x".repeat(201))).is_err());
        assert!(Inside::new(&format!("{}x.md", "a/".repeat(17))).is_err());
    }

    #[test]
    fn ordinary_paths_are_taken() {
        for good in [
            "site.toml",
            "a/record.toml",
            "a/details/b-c/zh-Hant.md",
            "a/Llun o’r cei 2.JPG",
            "a/making/04-print/lamp.en.vtt",
            "a/models/x.glb",
            "common.md",
            "com10.md",
            "a/f.webm",
        ] {
            assert_eq!(Inside::new(good).unwrap().as_str(), good);
        }
        let deep = Inside::new("a/b/c.md").unwrap();
        assert_eq!(deep.ancestors(), ["a", "a/b"]);
    }
}
