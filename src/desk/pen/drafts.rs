//! Drafts: what is typed and not yet written to its file. They outlive a closed window, a killed
//! server, and, thanks to a reserve that is given up for them, a disk that has just become full.

use super::deed::{Altered, Record};
use super::{Inside, MOST_TEXT, Moment, Pen, Refusal, Version, WindowId};
use serde::{Deserialize, Serialize};

/// One text that somebody is writing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Draft {
    /// The window it is typed in; `recovered-…` when an interrupted change left it.
    pub window: WindowId,
    /// The file it is meant for.
    pub file: Inside,
    /// The version it was begun from; none for a new file.
    pub base: Option<Version>,
    /// The whole text.
    pub text: String,
    /// When it was last kept.
    pub at: Moment,
}

impl Draft {
    fn name(window: &WindowId, file: &Inside) -> String {
        let key = format!("{}\n{file}", window.as_str());
        format!("drafts/{}.json", Version::of(key.as_bytes()))
    }
}

/// Room that is held for drafts, bytes.
const RESERVE: usize = 1 << 18;
const RESERVE_NAME: &str = "reserve";

impl Pen {
    /// Keeps a draft: one per window and file, on the disk when this returns.
    pub fn draft(
        &self,
        window: &WindowId,
        file: &Inside,
        base: Option<&Version>,
        text: &str,
        at: Moment,
    ) -> Result<(), Refusal> {
        if text.len() as u64 > MOST_TEXT {
            return Err(Refusal::TooLarge {
                path: file.to_string(),
                most: MOST_TEXT,
            });
        }
        self.keep_draft(&Draft {
            window: window.clone(),
            file: file.clone(),
            base: base.cloned(),
            text: text.to_owned(),
            at,
        })
    }

    fn keep_draft(&self, draft: &Draft) -> Result<(), Refusal> {
        let name = Draft::name(&draft.window, &draft.file);
        match self.keep.write_json(&name, draft) {
            Err(Refusal::NoRoom { .. }) => {
                self.keep.remove(RESERVE_NAME)?;
                self.keep.write_json(&name, draft)
            }
            kept => kept,
        }
    }

    /// Holds some room for drafts. Without it all goes on; only a full disk then keeps no draft, and
    /// says so.
    pub(super) fn hold_reserve(&self) {
        if !self.keep.path(RESERVE_NAME).exists() {
            let _ = self.keep.write(RESERVE_NAME, &vec![b'.'; RESERVE]);
        }
    }

    /// All drafts, the oldest first.
    pub fn drafts(&self) -> Result<Vec<Draft>, Refusal> {
        let mut all = Vec::new();
        for (name, _) in self.keep.entries("drafts")? {
            if name.ends_with(".json") {
                all.extend(self.keep.read_json::<Draft>(&format!("drafts/{name}"))?);
            }
        }
        all.sort_by(|a: &Draft, b| (a.at, &a.file, &a.window).cmp(&(b.at, &b.file, &b.window)));
        Ok(all)
    }

    /// Lets a draft go: it was written to its file, or is no longer wanted.
    pub fn drop_draft(&self, window: &WindowId, file: &Inside) -> Result<(), Refusal> {
        self.keep.remove(&Draft::name(window, file))
    }

    /// Puts the text of an interrupted change among the drafts.
    pub(super) fn rescue(&self, record: &Record, altered: &Altered) -> Result<(), Refusal> {
        let text = altered
            .after
            .as_ref()
            .map(|v| self.keep.text(v))
            .transpose()?;
        let Some(text) = text.flatten() else {
            return Ok(());
        };
        let window = WindowId::new(&format!("recovered-{}", record.id));
        self.keep_draft(&Draft {
            window: window.map_err(|cause| Refusal::Failed {
                doing: "keeping a draft".to_owned(),
                cause,
            })?,
            file: altered.file.clone(),
            base: altered.before.clone(),
            text: String::from_utf8_lossy(&text).into_owned(),
            at: record.at,
        })
    }
}
