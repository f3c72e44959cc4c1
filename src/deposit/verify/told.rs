//! The verdict in words.

use super::{Fault, Verdict};
use std::fmt::Write;
use std::path::Path;

impl Verdict {
    /// In plain sentences: the answer first, then every fault.
    pub fn plain(&self, path: &Path) -> String {
        let name = path.display();
        let mut out = match (self.complete, self.valid) {
            (_, true) => format!("{name} is complete and valid.\n"),
            (true, false) => format!("{name} is complete, but not valid.\n"),
            (false, false) => format!("{name} is neither complete nor valid.\n"),
        };
        let version = self.version.as_deref().unwrap_or("not known");
        // Writing to a string does not fail.
        let _ = writeln!(
            out,
            "BagIt version: {version}. Payload: {} files, {} bytes. Checked by: {}.",
            self.files,
            self.bytes,
            if self.checked.is_empty() {
                "nothing".to_owned()
            } else {
                self.checked.join(", ")
            }
        );
        lines(&mut out, "What is wrong:", &self.faults);
        lines(&mut out, "Worth knowing:", &self.remarks);
        out
    }
}

fn lines(out: &mut String, heading: &str, faults: &[Fault]) {
    if faults.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{heading}");
    for fault in faults {
        let file = match fault.file.as_str() {
            "" => "the bag".to_owned(),
            name => visible(name),
        };
        let line = fault.line.map_or(String::new(), |n| format!(", line {n}"));
        let _ = writeln!(out, "  {file}{line}: {}", visible(&fault.what));
    }
}

/// Names may hold terminal escapes; they are shown, not obeyed.
fn visible(text: &str) -> String {
    text.chars()
        .flat_map(|c| match c.is_control() {
            true => c.escape_default().collect::<Vec<_>>(),
            false => vec![c],
        })
        .collect()
}
