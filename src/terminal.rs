//! The terminal: reports to standard output, progress and findings to standard error.

use clap::ValueEnum;
use counterpart::messages::Messages;
use counterpart::progress::{Listener, Pace, left_words};
use counterpart::record::{Findings, Sources, report};
use std::io::{IsTerminal, Write, stderr, stdout};
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Work shorter than this shows no progress.
const PATIENCE: Duration = Duration::from_secs(1);
/// Cells of the bar.
const BAR: usize = 24;

/// Where no line can be rewritten, one is written as often as this.
const NOW_AND_THEN: Duration = Duration::from_secs(30);

/// When colours are wanted.
#[derive(Clone, Copy, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum Colour {
    /// On a terminal, unless NO_COLOR is set
    #[default]
    Auto,
    /// In files and pipes, too
    Always,
    /// Nowhere
    Never,
}

/// What is known of the work that is going on.
#[derive(Default)]
struct Work {
    shown: bool,
    pace: Pace,
    told: Duration,
}

/// Where the program speaks.
pub(crate) struct Terminal {
    started: Instant,
    live: bool,
    colour: Colour,
    messages: &'static Messages,
    work: Mutex<Work>,
}

impl Terminal {
    pub(crate) fn new(colour: Colour, messages: &'static Messages) -> Self {
        Self {
            started: Instant::now(),
            live: stderr().is_terminal() && std::env::var_os("TERM").is_none_or(|t| t != "dumb"),
            colour,
            messages,
            work: Mutex::default(),
        }
    }

    /// Prints what another program may read, as it is. A reader who has gone away (a closed pipe) is not an error.
    pub(crate) fn report(&self, text: &str) {
        self.clear();
        let _ = stdout().write_all(with_newline(text).as_bytes());
    }

    /// Prints a report for people.
    pub(crate) fn say(&self, english: &str) {
        self.report(&plain(&self.messages.say(english)));
    }

    /// Prints an answer: JSON as it is, words for people.
    pub(crate) fn answer(&self, json: bool, text: &str) {
        if json {
            self.report(text);
        } else {
            self.say(text);
        }
    }

    /// Prints a remark.
    pub(crate) fn note(&self, english: &str) {
        self.write_note(&plain(&self.messages.say(english)));
    }

    /// Prints findings as a report.
    pub(crate) fn report_findings(&self, findings: &Findings, sources: &Sources) {
        let colour = self.colours(stdout().is_terminal());
        self.report(&report::told(findings, sources, colour, self.messages));
    }

    /// Prints findings as remarks.
    pub(crate) fn note_findings(&self, findings: &Findings, sources: &Sources) {
        let colour = self.colours(self.live);
        self.write_note(&report::told(findings, sources, colour, self.messages));
    }

    /// The messages that are spoken here.
    pub(crate) fn messages(&self) -> &'static Messages {
        self.messages
    }

    fn write_note(&self, text: &str) {
        self.clear();
        let _ = stderr().write_all(with_newline(text).as_bytes());
    }

    /// Whether there are colours: on a terminal, without NO_COLOR (no-color.org), or where they are asked for.
    fn colours(&self, terminal: bool) -> bool {
        match self.colour {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => {
                terminal && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
            }
        }
    }

    fn clear(&self) {
        if let Ok(mut work) = self.work.lock()
            && std::mem::take(&mut work.shown)
        {
            let _ = stderr().write_all(b"\r\x1b[2K");
        }
    }
}

impl Listener for Terminal {
    fn progress(&self, done: usize, total: usize, what: &str) {
        let now = self.started.elapsed();
        let Ok(mut work) = self.work.lock() else {
            return;
        };
        let left = work.pace.left(now, done, total);
        if done >= total {
            drop(work);
            self.clear();
            return;
        }
        let what = self.messages.say(what);
        let left = left.map(|left| format!(", {}", self.messages.say(&left_words(left))));
        let left = left.unwrap_or_default();
        if !self.live {
            if now.saturating_sub(work.told) >= NOW_AND_THEN {
                work.told = now;
                let _ = writeln!(stderr(), "{done}/{total}: {what}{left}");
            }
        } else if now >= PATIENCE {
            work.shown = true;
            let full = done * BAR / total;
            let bar: String = (0..BAR).map(|i| if i < full { '━' } else { '─' }).collect();
            let _ = write!(stderr(), "\r\x1b[2K{bar} {done}/{total} {what}{left}");
            let _ = stderr().flush();
        }
    }
}

/// Names of files may hold escapes: they are shown, and obeyed by no terminal.
fn plain(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() && !matches!(c, '\n' | '\t') {
            shown.extend(c.escape_default());
        } else {
            shown.push(c);
        }
    }
    shown
}

fn with_newline(text: &str) -> String {
    if text.ends_with('\n') {
        text.to_owned()
    } else {
        format!("{text}\n")
    }
}
