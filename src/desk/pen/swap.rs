//! One file put in the place of another such that nobody's text is overwritten: the new file
//! and the old one change places in one step, and only then is looked at what came out. If it is not
//! what was expected, they change back.

use super::deed::{Altered, Record};
use super::ground::{Exchanged, Ground, Spot};
use super::keep::Keep;
use super::{MOST_TEXT, Refusal, Version};
use std::io::Write;

/// What is needed to carry out one record.
pub(super) struct Bench<'p> {
    pub(super) ground: &'p Ground,
    pub(super) keep: &'p Keep,
    pub(super) record: &'p Record,
}

/// How a file stands to a change of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stands {
    /// As before the change.
    Before,
    /// As after it.
    After,
    /// Somebody else's.
    Foreign,
}

impl Bench<'_> {
    fn text(&self, version: &Version) -> Result<Vec<u8>, Refusal> {
        let found = self.keep.text(version)?;
        found.ok_or_else(|| Refusal::Missing {
            what: format!("text {version} in {}", self.keep.path("texts").display()),
        })
    }

    /// Writes the new text beside the file. All that can run out of room happens here.
    pub(super) fn stage(&self, altered: &Altered) -> Result<(), Refusal> {
        let Some(after) = &altered.after else {
            return Ok(());
        };
        let bytes = self.text(after)?;
        let spot = self.ground.made_spot(&altered.file)?;
        let mut file = spot.create(&self.record.beside(&altered.file))?;
        let written = file.write_all(&bytes).and_then(|()| file.sync_all());
        written.map_err(|e| Refusal::from_io("writing", altered.file.as_str(), &e))
    }

    /// Puts the staged text in place, or takes the file away. Whether it was as expected; if not,
    /// all is as it was.
    pub(super) fn swap(&self, altered: &Altered) -> Result<bool, Refusal> {
        let beside = self.record.beside(&altered.file);
        let Some(spot) = self.ground.spot(&altered.file)? else {
            // The folder went away meanwhile.
            return Ok(altered.before.is_none() && altered.after.is_none());
        };
        let done = match (&altered.before, &altered.after) {
            (None, None) => true,
            (None, Some(_)) => spot.rename_to_free(&beside, &spot.name)?,
            (Some(before), Some(_)) => self.replace(&spot, altered, before)?,
            (Some(before), None) => take_away(&spot, &beside, before)?,
        };
        if !done {
            spot.remove(&beside)?;
        }
        spot.sync()?;
        Ok(done)
    }

    fn replace(&self, spot: &Spot, altered: &Altered, before: &Version) -> Result<bool, Refusal> {
        let beside = self.record.beside(&altered.file);
        // Nearly always this settles it, and nobody then sees our text come and go.
        if !holds(spot, &spot.name, before) {
            return Ok(false);
        }
        match spot.exchange(&beside, &spot.name)? {
            Exchanged::Gone => Ok(false),
            Exchanged::Cannot => {
                spot.rename_over(&beside, &spot.name)?;
                Ok(true)
            }
            Exchanged::Yes if holds(spot, &beside, before) => {
                spot.remove(&beside)?;
                Ok(true)
            }
            Exchanged::Yes => {
                spot.exchange(&beside, &spot.name)?;
                let ours = altered
                    .after
                    .as_ref()
                    .is_some_and(|v| holds(spot, &beside, v));
                if !ours && spot.exchange(&beside, &spot.name)? == Exchanged::Yes {
                    // Saved twice by somebody while we looked: the later save stands, the earlier
                    // one is kept.
                    if let Some(earlier) = spot.read(&beside, MOST_TEXT)? {
                        self.keep.keep_text(&earlier)?;
                    }
                }
                Ok(false)
            }
        }
    }

    /// Clears what lies beside a file after an interruption, and tells how the file stands. A text
    /// that is neither ours nor the one we replaced is put back in its place, or else kept.
    pub(super) fn look(&self, altered: &Altered) -> Result<Stands, Refusal> {
        let beside = self.record.beside(&altered.file);
        let Some(spot) = self.ground.spot(&altered.file)? else {
            return Ok(stands(altered, None));
        };
        if let Some(aside) = spot.read(&beside, MOST_TEXT)? {
            let there = spot.read(&spot.name, MOST_TEXT)?;
            let now = there.as_deref().map(Version::of);
            let ours = match &altered.after {
                Some(after) => self.text(after)?.starts_with(&aside) && now.as_ref() != Some(after),
                None => false,
            };
            let replaced = altered.before.as_ref() == Some(&Version::of(&aside));
            if ours || replaced {
                spot.remove(&beside)?;
            } else if now == altered.after {
                // Somebody's text came out of the exchange and nobody was left to put it back.
                let back = match altered.after {
                    Some(_) => spot.exchange(&beside, &spot.name)? == Exchanged::Yes,
                    None => spot.rename_to_free(&beside, &spot.name)?,
                };
                if !back {
                    self.keep.keep_text(&aside)?;
                }
                spot.remove(&beside)?;
            } else {
                self.keep.keep_text(&aside)?;
                spot.remove(&beside)?;
            }
            spot.sync()?;
        }
        let now = spot.read(&spot.name, MOST_TEXT)?;
        Ok(stands(altered, now.as_deref().map(Version::of)))
    }
}

fn stands(altered: &Altered, now: Option<Version>) -> Stands {
    if now == altered.after {
        Stands::After
    } else if now == altered.before {
        Stands::Before
    } else {
        Stands::Foreign
    }
}

fn holds(spot: &Spot, name: &str, version: &Version) -> bool {
    // A link or a folder that somebody put there is not what was expected either.
    matches!(spot.read(name, MOST_TEXT), Ok(Some(bytes)) if &Version::of(&bytes) == version)
}

fn take_away(spot: &Spot, beside: &str, before: &Version) -> Result<bool, Refusal> {
    if !holds(spot, &spot.name, before) {
        return Ok(false);
    }
    spot.rename_to_free(&spot.name, beside)?;
    let expected = holds(spot, beside, before);
    if expected {
        spot.remove(beside)?;
    } else {
        spot.rename_to_free(beside, &spot.name)?;
    }
    Ok(expected)
}
