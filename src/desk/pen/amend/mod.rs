//! Changing single values of a record while comments, order and form stay: the difference of one
//! changed value is its own line.

mod edit;
mod form;
mod prose;
mod value;

pub use value::{Change, Step, Value};

use super::{Inside, Moment, Pen, Refusal, Version};

impl Pen {
    /// Changes single values of a record, keeping comments, order and form. All changes or none.
    pub fn amend(
        &self,
        file: &Inside,
        expected: &Version,
        changes: &[Change],
        why: &str,
        at: Moment,
    ) -> Result<Version, Refusal> {
        match self.read(file)? {
            Some(leaf) if &leaf.version == expected => {
                let text = amended(file, &leaf.text, changes)?;
                self.write(file, Some(expected), &text, why, at)
            }
            _ => {
                // The text that it was begun from is known if the desk has written or replaced it.
                let base = self
                    .keep
                    .text(expected)?
                    .map(String::from_utf8)
                    .and_then(Result::ok);
                let yours = match base {
                    Some(base) => amended(file, &base, changes)?,
                    None => changes.iter().map(|c| format!("{c}\n")).collect(),
                };
                Err(self.clash(file, &yours))
            }
        }
    }
}

/// The text of a record with these changes; `file` is for sentences.
pub fn amended(file: &Inside, text: &str, changes: &[Change]) -> Result<String, Refusal> {
    // Records from other systems: the mark and the line ends are put back as they were.
    let (mark, body) = match text.strip_prefix('\u{feff}') {
        Some(body) => ("\u{feff}", body),
        None => ("", text),
    };
    let windows = body.contains("\r\n");
    let plain = if windows {
        body.replace("\r\n", "\n")
    } else {
        body.to_owned()
    };
    if windows && plain.replace('\n', "\r\n") != body {
        return Err(Refusal::Failed {
            doing: format!("reading {file}"),
            cause: "it mixes two kinds of line ends; save it once with one kind".to_owned(),
        });
    }
    let edited = edit::edit(file, &plain, changes)?;
    let edited = if windows {
        edited.replace('\n', "\r\n")
    } else {
        edited
    };
    Ok(format!("{mark}{edited}"))
}
