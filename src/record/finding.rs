//! Findings: what is wrong, where, and what to write instead.

use serde::{Deserialize, Deserializer, Serialize};
use std::collections::BTreeSet;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth a thought; publishing goes on.
    Advice,
    /// Publishing is refused.
    Error,
}

/// A place in a file of the content folder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Place {
    /// Path relative to the content folder, with `/` between its steps.
    pub file: String,
    /// Byte range in the file; empty range at 0 when the whole file is meant.
    pub span: Range<usize>,
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1, in characters.
    pub column: usize,
}

/// The name of a rule.
pub type Rule = &'static str;

/// One finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Finding {
    /// How grave.
    pub severity: Severity,
    /// Stable short name of the rule, in kebab case: `dangling-link`.
    #[serde(deserialize_with = "rule")]
    pub rule: Rule,
    /// Where.
    pub place: Place,
    /// What is wrong: one sentence, expected and found.
    pub what: String,
    /// What to write instead.
    pub remedy: String,
}

/// The name of a rule out of a file. Of each one stays for good; there are not many.
fn rule<'de, D: Deserializer<'de>>(from: D) -> Result<Rule, D::Error> {
    static NAMES: Mutex<BTreeSet<Rule>> = Mutex::new(BTreeSet::new());
    let name = String::deserialize(from)?;
    let mut names = NAMES.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) = names.get(name.as_str()) {
        return Ok(known);
    }
    let kept: Rule = Box::leak(name.into_boxed_str());
    names.insert(kept);
    Ok(kept)
}

/// All findings of a run, kept in the order of their places.
#[derive(Debug, Clone, Default, Serialize)]
#[serde(transparent)]
pub struct Findings(Vec<Finding>);

impl Findings {
    /// No findings.
    pub fn none() -> Self {
        Self::default()
    }

    /// Adds one.
    pub fn push(&mut self, finding: Finding) {
        self.0.push(finding);
    }

    /// Adds all of another run's.
    pub fn extend(&mut self, other: Findings) {
        self.0.extend(other.0);
    }

    /// Sorts by file, place and rule and drops exact repetitions.
    pub fn settle(&mut self) {
        fn key(f: &Finding) -> (&str, usize, usize, &str, &str) {
            let place = &f.place;
            (
                &place.file,
                place.span.start,
                place.span.end,
                f.rule,
                &f.what,
            )
        }
        self.0.sort_by(|a, b| key(a).cmp(&key(b)));
        self.0.dedup();
    }

    /// Whether publishing must be refused.
    pub fn refuse(&self) -> bool {
        self.0.iter().any(|f| f.severity == Severity::Error)
    }

    /// How many errors and how many pieces of advice.
    pub fn counts(&self) -> (usize, usize) {
        let errors = self
            .0
            .iter()
            .filter(|f| f.severity == Severity::Error)
            .count();
        (errors, self.0.len() - errors)
    }

    /// The findings, in their order.
    pub(super) fn as_slice(&self) -> &[Finding] {
        &self.0
    }

    /// The findings.
    pub fn iter(&self) -> std::slice::Iter<'_, Finding> {
        self.0.iter()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// A text file of the content folder, kept so that byte spans can become places.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct SourceFile {
    /// Path relative to the content folder, with `/` between its steps.
    pub name: String,
    /// Path on disk.
    pub path: PathBuf,
    /// Its text.
    pub text: String,
}

impl SourceFile {
    /// The place of a byte range of this file. A range beyond the end is brought back to it, and one that
    /// cuts a character in two is widened to all of it.
    pub fn place(&self, span: Range<usize>) -> Place {
        let mut start = span.start.min(self.text.len());
        while !self.text.is_char_boundary(start) {
            start -= 1;
        }
        let mut end = span.end.clamp(start, self.text.len());
        while !self.text.is_char_boundary(end) {
            end += 1;
        }
        let before = &self.text[..start];
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        Place {
            file: self.name.clone(),
            span: start..end,
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
        }
    }

    /// An error at a byte range of this file.
    pub(crate) fn error(
        &self,
        rule: &'static str,
        span: Range<usize>,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Finding {
        let (what, remedy) = (what.into(), remedy.into());
        Finding {
            severity: Severity::Error,
            rule,
            place: self.place(span),
            what,
            remedy,
        }
    }

    /// Advice at a byte range of this file.
    pub(crate) fn advice(
        &self,
        rule: &'static str,
        span: Range<usize>,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Finding {
        Finding {
            severity: Severity::Advice,
            ..self.error(rule, span, what, remedy)
        }
    }

    /// The place that means the whole file.
    pub fn whole(name: &str) -> Place {
        Place {
            file: name.to_owned(),
            span: 0..0,
            line: 1,
            column: 1,
        }
    }
}

/// A path relative to the content folder, written with `/` on every system.
pub fn content_name(root: &Path, path: &Path) -> String {
    path.strip_prefix(root)
        .unwrap_or(path)
        .components()
        .map(|c| c.as_os_str().to_string_lossy())
        .collect::<Vec<_>>()
        .join("/")
}
