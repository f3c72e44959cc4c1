//! Doing what the journal says, finishing it after an interruption, or taking it back.

use super::deed::{Altered, Deed, Record, Recovered};
use super::swap::{Bench, Stands};
use super::{Pen, Refusal, State};

/// A change that is being made.
const JOURNAL: &str = "journal.json";
/// A change that failed and is being taken back.
const TAKING_BACK: &str = "taking-back.json";

impl Pen {
    /// Carries out a deed and puts it into the history; or else leaves all as it was.
    pub(super) fn carry_out(&self, state: &mut State, record: Record) -> Result<(), Refusal> {
        if let Err(refusal) = self.keep.write_json(JOURNAL, &record) {
            // Nothing is done yet, but a journal that was renamed and not synced would be found.
            self.keep.remove(JOURNAL)?;
            return Err(refusal);
        }
        let done = match &record.deed {
            Deed::Wrote { files } => self.write_files(&record, files),
            Deed::TookIn { file, .. } => self.put_arrival(&record, file),
            Deed::Binned { bin, place } => self.move_to_bin(bin, place),
            Deed::Restored { bin, place } => self.move_from_bin(bin, place),
        };
        // On a full disk even the renaming into the history may fail.
        let done = done.and_then(|()| self.finish(state, record.clone(), JOURNAL));
        // Should this fail too, the next change or the next opening takes it back.
        if done.is_err() && self.keep.rename(JOURNAL, TAKING_BACK).is_ok() {
            let _ = self.take_back(&record, TAKING_BACK);
        }
        done
    }

    fn write_files(&self, record: &Record, files: &[Altered]) -> Result<(), Refusal> {
        let bench = self.bench(record);
        files.iter().try_for_each(|altered| bench.stage(altered))?;
        for altered in files {
            if !bench.swap(altered)? {
                let yours = altered
                    .after
                    .as_ref()
                    .map(|v| self.keep.text(v))
                    .transpose()?;
                let yours = yours.flatten().unwrap_or_default();
                return Err(self.clash(&altered.file, &String::from_utf8_lossy(&yours)));
            }
        }
        Ok(())
    }

    fn bench<'p>(&'p self, record: &'p Record) -> Bench<'p> {
        Bench {
            ground: &self.ground,
            keep: &self.keep,
            record,
        }
    }

    /// The change stands: from here on it is history.
    fn finish(&self, state: &mut State, record: Record, from: &str) -> Result<(), Refusal> {
        for folder in record.unmade.iter().rev() {
            self.ground.remove_if_empty(folder)?;
        }
        self.keep.rename(from, &record.history_name())?;
        self.clear_after(&record)?;
        state.history.push(record);
        Ok(())
    }

    /// Finishes or takes back what a dead run, or a failed one, left.
    pub(super) fn settle(&self, state: &mut State) -> Result<Option<Recovered>, Refusal> {
        if let Some(record) = self.keep.read_json::<Record>(TAKING_BACK)? {
            self.take_back(&record, TAKING_BACK)?;
            return Ok(Some(told(&record, false, false)));
        }
        let Some(record) = self.keep.read_json::<Record>(JOURNAL)? else {
            return Ok(None);
        };
        state.next = state.next.max(record.id + 1);
        let (finished, drafts) = match &record.deed {
            Deed::Wrote { files } => self.finish_writing(&record, files)?,
            Deed::TookIn { file, .. } => (self.arrived(&record, file)?, false),
            Deed::Binned { bin, .. } => (self.is_in_bin(bin), false),
            Deed::Restored { bin, .. } => (!self.is_in_bin(bin), false),
        };
        let tale = told(&record, finished, drafts);
        if finished {
            self.finish(state, record, JOURNAL)?;
        } else {
            self.take_back(&record, JOURNAL)?;
        }
        Ok(Some(tale))
    }

    /// Writes what is not written yet, unless somebody else has written meanwhile: then the texts
    /// are put among the drafts. Whether it was finished, and whether there are drafts.
    fn finish_writing(&self, record: &Record, files: &[Altered]) -> Result<(bool, bool), Refusal> {
        let bench = self.bench(record);
        let looks = files.iter().map(|altered| bench.look(altered));
        let stands = looks.collect::<Result<Vec<_>, _>>()?;
        if stands.contains(&Stands::Foreign) {
            files
                .iter()
                .try_for_each(|altered| self.rescue(record, altered))?;
            return Ok((false, true));
        }
        for (altered, stands) in files.iter().zip(stands) {
            if stands == Stands::Before {
                bench.stage(altered)?;
                if !bench.swap(altered)? {
                    files
                        .iter()
                        .try_for_each(|altered| self.rescue(record, altered))?;
                    return Ok((false, true));
                }
            }
        }
        Ok((true, false))
    }

    /// Makes it as if the deed had not been begun.
    fn take_back(&self, record: &Record, from: &str) -> Result<(), Refusal> {
        match &record.deed {
            Deed::Wrote { files } => self.unwrite(record, files)?,
            Deed::TookIn { file, .. } if self.arrived(record, file)? => {
                self.send_back(record, file)?;
            }
            Deed::Binned { bin, place } if self.is_in_bin(bin) => self.move_from_bin(bin, place)?,
            Deed::Restored { bin, place } if !self.is_in_bin(bin) => {
                self.move_to_bin(bin, place)?
            }
            _ => {}
        }
        for folder in record.made.iter().rev() {
            self.ground.remove_if_empty(folder)?;
        }
        self.keep.remove(from)
    }
}

impl Pen {
    fn unwrite(&self, record: &Record, files: &[Altered]) -> Result<(), Refusal> {
        let bench = self.bench(record);
        for altered in files {
            if bench.look(altered)? == Stands::After {
                let back = altered.reversed();
                bench.stage(&back)?;
                // If somebody has written there since, theirs stays.
                bench.swap(&back)?;
            }
        }
        Ok(())
    }
}

fn told(record: &Record, finished: bool, drafts: bool) -> Recovered {
    Recovered {
        why: record.why.clone(),
        files: record.files(),
        finished,
        drafts,
    }
}

#[cfg(test)]
mod tests;
