//! Why something was not done, and what to do instead.

use super::{Inside, Leaf};
use crate::record::SourceFile;
use std::fmt;
use std::io;
use std::ops::Range;
use std::path::PathBuf;

/// Why something was not done. Nothing is changed by what is refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// The file was changed meanwhile. Both texts are here, so that neither is lost.
    Clash {
        /// The file.
        file: Inside,
        /// What should have been written.
        yours: String,
        /// What the file holds now; none when it is gone or is no text.
        theirs: Option<Leaf>,
    },
    /// A path that the desk does not touch.
    Outside {
        /// The path as given.
        path: String,
        /// What is wrong with it, to follow the path in a sentence.
        why: String,
    },
    /// A symbolic link, or something else that is neither a file nor a folder, stands on the way.
    Link {
        /// Where it stands.
        path: String,
    },
    /// Larger than may be.
    TooLarge {
        /// The file.
        path: String,
        /// The most bytes that are allowed.
        most: u64,
    },
    /// The disk, or this person's share of it, is full.
    NoRoom {
        /// What was to be written.
        path: String,
    },
    /// Something of that name is there already.
    Taken {
        /// The name that was wanted.
        path: String,
        /// The name that is there; it may differ in capitals or accents only.
        by: String,
    },
    /// There is no such file, folder, key or thing in the bin.
    Missing {
        /// What was looked for.
        what: String,
    },
    /// Another desk has this folder.
    Busy {
        /// The folder with the lock.
        keep: String,
    },
    /// The record cannot be read as TOML, before the change or after it.
    NotToml {
        /// The file.
        file: Inside,
        /// Line, from 1.
        line: usize,
        /// Column, from 1, in characters.
        column: usize,
        /// What is wrong there.
        what: String,
    },
    /// The value cannot be set in the record as it is written.
    NotSettable {
        /// The file.
        file: Inside,
        /// The key, written with dots.
        key: String,
        /// What is in the way, as a sentence.
        why: String,
    },
    /// There is nothing to take back.
    NothingToUndo,
    /// The system refused.
    Failed {
        /// What was being done: ‘writing a/en.md’.
        doing: String,
        /// What the system said.
        cause: String,
    },
}

impl Refusal {
    /// A stable short name of the reason, in kebab case.
    pub fn rule(&self) -> &'static str {
        match self {
            Self::Clash { .. } => "clash",
            Self::Outside { .. } => "outside",
            Self::Link { .. } => "link",
            Self::TooLarge { .. } => "too-large",
            Self::NoRoom { .. } => "no-room",
            Self::Taken { .. } => "taken",
            Self::Missing { .. } => "missing",
            Self::Busy { .. } => "busy",
            Self::NotToml { .. } => "not-toml",
            Self::NotSettable { .. } => "not-settable",
            Self::NothingToUndo => "nothing-to-undo",
            Self::Failed { .. } => "failed",
        }
    }

    /// What a reader of TOML said of a text, at bytes of it.
    pub(super) fn not_toml(
        file: &Inside,
        text: &str,
        span: Option<Range<usize>>,
        what: &str,
    ) -> Self {
        let text = SourceFile {
            name: file.to_string(),
            path: PathBuf::new(),
            text: text.to_owned(),
        };
        let place = text.place(span.unwrap_or(0..0));
        Self::NotToml {
            file: file.clone(),
            line: place.line,
            column: place.column,
            what: what.trim_end_matches('.').replace('\n', "; "),
        }
    }

    /// What the system said while `doing` something to `path`.
    pub(super) fn from_io(doing: &str, path: &str, error: &io::Error) -> Self {
        use io::ErrorKind::{FileTooLarge, QuotaExceeded, StorageFull};
        match error.kind() {
            StorageFull | QuotaExceeded | FileTooLarge => Self::NoRoom {
                path: path.to_owned(),
            },
            _ => Self::Failed {
                doing: format!("{doing} {path}"),
                cause: error.to_string(),
            },
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Clash {
                file,
                theirs: Some(_),
                ..
            } => write!(
                f,
                "{file} was changed meanwhile by someone else, so it was left as it is. Compare both texts and write the one you want."
            ),
            Self::Clash {
                file, theirs: None, ..
            } => write!(
                f,
                "{file} was taken away meanwhile, so nothing was written. Write your text as a new file, or let it go."
            ),
            Self::Outside { path, why } => write!(
                f,
                "The path ‘{}’ {why}. Write a path within the content folder, such as mortar/details/spout/en.md.",
                path.escape_debug()
            ),
            Self::Link { path } => write!(
                f,
                "{path} is a symbolic link or a device, and the desk writes through neither. Put the file or folder itself there."
            ),
            Self::TooLarge { path, most } => write!(
                f,
                "{path} is larger than {most} bytes, the most that is allowed. Make it smaller, or divide it."
            ),
            Self::NoRoom { path } => write!(
                f,
                "There is no room on the disk for {path}; nothing was changed. Make room, then write it again."
            ),
            Self::Taken { path, by } if path == by => {
                write!(
                    f,
                    "{path} is there already and was left as it is. Choose another name."
                )
            }
            Self::Taken { path, by } => write!(
                f,
                "{path} would be the same name as {by} on some systems. Choose another name."
            ),
            Self::Missing { what } => write!(f, "There is no {what}. Look at the folder anew."),
            Self::Busy { keep } => write!(
                f,
                "Another desk has this folder open (its lock is in {keep}). Use that one, or end it first."
            ),
            Self::NotToml {
                file,
                line,
                column,
                what,
            } => write!(
                f,
                "{file}, line {line}, column {column}: {what}. Mend the record as text first."
            ),
            Self::NotSettable { file, key, why } => {
                write!(f, "{key} cannot be set in {file}: {why}")
            }
            Self::NothingToUndo => f.write_str("There is nothing to take back."),
            Self::Failed { doing, cause } => write!(
                f,
                "Something went wrong while {doing}: {cause}. Nothing was changed; check that the folder is there and that you may write to it."
            ),
        }
    }
}

impl std::error::Error for Refusal {}
