//! Captions: WebVTT, read strictly and judged.
//!
//! Follows the syntax (section 4) of *WebVTT: The Web Video Text Tracks Format*, W3C Candidate
//! Recommendation of 4 April 2019 (section numbers from memory): 4.1 file structure, 4.2 cue
//! payload, 4.4 cue settings. A browser passes over what it cannot read and nobody learns of it;
//! here each such place is a [`Fault`]. The file itself is published as it was written, but for comments. Styles and
//! regions are passed over: browsers that show them read them from the file.

mod blocks;
mod judge;
mod line;
mod timing;
mod transcript;
mod words;

pub(crate) use judge::judge;
pub use transcript::{Turn, turns};

use super::{Lang, Severity};
use serde::{Deserialize, Serialize};
use std::ops::Range;

/// The cues of one file.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Captions {
    /// In the order of the file.
    pub cues: Vec<Cue>,
}

/// What is to be read from one moment to another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cue {
    /// Milliseconds from the beginning.
    pub start_ms: u64,
    /// Milliseconds from the beginning.
    pub end_ms: u64,
    /// What is said, run by run.
    pub said: Vec<Said>,
    /// Bytes of its line of times.
    pub(crate) span: Range<usize>,
}

impl Cue {
    /// Its words alone.
    pub fn text(&self) -> String {
        self.said.iter().map(|run| run.text.as_str()).collect()
    }
}

/// Words of one voice in one language.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Said {
    /// Name after `<v`.
    pub speaker: Option<String>,
    /// Language after `<lang`.
    pub lang: Option<Lang>,
    /// Plain text; lines are parted by `\n`.
    pub text: String,
}

/// Something wrong in the file; the caller knows the file and adds its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// How bad it is.
    pub severity: Severity,
    /// Stable name of the rule.
    pub rule: &'static str,
    /// Bytes of the file.
    pub span: Range<usize>,
    /// What is wrong.
    pub what: String,
    /// What to write instead.
    pub remedy: String,
}

impl Fault {
    fn error(
        rule: &'static str,
        span: Range<usize>,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            severity: Severity::Error,
            rule,
            span,
            what: what.into(),
            remedy: remedy.into(),
        }
    }

    fn advice(
        rule: &'static str,
        span: Range<usize>,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            severity: Severity::Advice,
            ..Self::error(rule, span, what, remedy)
        }
    }
}

/// Reads a file; whatever it holds, there are captions, as many as could be read, and the faults.
pub fn read(text: &str) -> (Captions, Vec<Fault>) {
    let mut faults = Vec::new();
    let cues = blocks::read(text, &mut faults);
    (Captions { cues }, faults)
}

/// A file as it may be given away: its cues, styles and regions as they were written, without
/// comments, which are for those who wrote it.
pub fn bare(text: &str) -> String {
    blocks::bare(text)
}

/// A time as captions write it: `01:04.250`.
fn written(ms: u64) -> String {
    let (hours, rest) = (ms / 3_600_000, ms % 3_600_000);
    let tail = format!(
        "{:02}:{:02}.{:03}",
        rest / 60_000,
        rest / 1000 % 60,
        rest % 1000
    );
    if hours > 0 {
        format!("{hours:02}:{tail}")
    } else {
        tail
    }
}

#[cfg(test)]
mod tests;
