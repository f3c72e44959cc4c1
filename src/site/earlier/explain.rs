//! Why things were made.

use crate::record::ObjectId;
use serde::Serialize;
use std::fmt;

/// Files that are named; of more, only how many there are.
const NAMED: usize = 6;

/// Why something is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Reason {
    /// There is nothing to go by.
    NoEarlier(String),
    /// Another edition of the program made the earlier site.
    Program,
    /// Files that all pages depend on are others.
    Shared(Vec<String>),
    /// The object is new.
    New,
    /// Files of the object are others.
    Files(Vec<String>),
    /// Its agreements permit something else today, or a day of its records has come.
    Rights,
    /// It stands on another screen of the gallery.
    Place,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoEarlier(why) => f.write_str(why),
            Self::Program => f.write_str("another edition of the program made the earlier site"),
            Self::Shared(files) if files.is_empty() => f.write_str("the theme changed"),
            Self::Shared(files) | Self::Files(files) => {
                let named = files.iter().take(NAMED).map(String::as_str);
                f.write_str(&named.collect::<Vec<_>>().join(", "))?;
                match files.len().checked_sub(NAMED) {
                    None | Some(0) => f.write_str(" changed"),
                    Some(more) => write!(f, " and {more} more changed"),
                }
            }
            Self::New => f.write_str("it is new"),
            Self::Rights => f.write_str(
                "its rights permit something else today, or a day of its records has come",
            ),
            Self::Place => f.write_str("it stands on another screen of the gallery"),
        }
    }
}

/// What a publication made, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Explained {
    /// Why everything was made, if it was.
    pub all: Option<String>,
    /// Objects that were made, and why.
    pub objects: Vec<(ObjectId, String)>,
    /// Objects that keep their pages.
    pub kept: usize,
    /// Files that were written.
    pub written: usize,
    /// Files that stand as they were.
    pub stood: usize,
    /// Files that were taken away.
    pub taken_away: usize,
    /// Why the next publication cannot go by this one, if it cannot.
    pub alone: Option<String>,
}

impl fmt::Display for Explained {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.all {
            Some(why) => writeln!(f, "Everything was made: {why}.")?,
            None => {
                for (object, why) in &self.objects {
                    writeln!(f, "{object} was made: {why}.")?;
                }
                if self.objects.is_empty() && self.written + self.taken_away > 0 {
                    writeln!(
                        f,
                        "Pages of no one object were made: there are other objects."
                    )?;
                }
                writeln!(f, "Objects that stand as they were: {}.", self.kept)?;
            }
        }
        write!(
            f,
            "Files written: {}; as they were: {}; taken away: {}.",
            self.written, self.stood, self.taken_away
        )?;
        match &self.alone {
            Some(why) => write!(f, "\nThe next publication will make everything: {why}."),
            None => Ok(()),
        }
    }
}
