//! The terminal: reports to standard output, progress and findings to standard error.

use counterpart::progress::Listener;
use std::io::{IsTerminal, Write, stderr, stdout};
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Work shorter than this shows no progress.
const PATIENCE: Duration = Duration::from_secs(1);
/// Cells of the bar.
const BAR: usize = 24;

/// Where the program speaks.
pub(crate) struct Terminal {
    started: Instant,
    live: bool,
    shown: Mutex<bool>,
}

impl Terminal {
    pub(crate) fn new() -> Self {
        Self {
            started: Instant::now(),
            live: stderr().is_terminal(),
            shown: Mutex::new(false),
        }
    }

    /// Prints a report. A reader who has gone away (a closed pipe) is not an error.
    pub(crate) fn report(&self, text: &str) {
        self.clear();
        let _ = stdout().write_all(with_newline(text).as_bytes());
    }

    /// Prints a remark or findings.
    pub(crate) fn note(&self, text: &str) {
        self.clear();
        let _ = stderr().write_all(with_newline(text).as_bytes());
    }

    /// Whether reports may be coloured: a terminal, and no NO_COLOR (no-color.org).
    pub(crate) fn colour_report(&self) -> bool {
        stdout().is_terminal() && colour_wanted()
    }

    /// Whether remarks may be coloured.
    pub(crate) fn colour_notes(&self) -> bool {
        self.live && colour_wanted()
    }

    fn clear(&self) {
        if let Ok(mut shown) = self.shown.lock()
            && std::mem::take(&mut *shown)
        {
            let _ = stderr().write_all(b"\r\x1b[2K");
        }
    }
}

impl Listener for Terminal {
    fn progress(&self, done: usize, total: usize, what: &str) {
        if !self.live || self.started.elapsed() < PATIENCE || total == 0 {
            return;
        }
        if done >= total {
            self.clear();
            return;
        }
        let full = done * BAR / total;
        let bar: String = (0..BAR).map(|i| if i < full { '━' } else { '─' }).collect();
        if let Ok(mut shown) = self.shown.lock() {
            *shown = true;
            let _ = write!(stderr(), "\r\x1b[2K{bar} {done}/{total} {what}");
            let _ = stderr().flush();
        }
    }
}

fn colour_wanted() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

fn with_newline(text: &str) -> String {
    if text.ends_with('\n') {
        text.to_owned()
    } else {
        format!("{text}\n")
    }
}
