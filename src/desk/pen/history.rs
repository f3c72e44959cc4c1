//! What was done, and taking the last of it back.

use super::deed::{Altered, BinId, Deed, Entry, Record, Undone};
use super::keep::Keep;
use super::{MOST_TEXT, Moment, Pen, Refusal, State, Version};
use std::collections::BTreeSet;

/// All records of the keep, in order.
pub(super) fn load(keep: &Keep) -> Result<Vec<Record>, Refusal> {
    let mut records = Vec::new();
    for (name, _) in keep.entries("history")? {
        records.extend(keep.read_json::<Record>(&format!("history/{name}"))?);
    }
    records.sort_by_key(|r: &Record| r.id);
    Ok(records)
}

impl Pen {
    /// All changes, the first one first.
    pub fn history(&self) -> Result<Vec<Entry>, Refusal> {
        let state = self.lock();
        let undone = undone(&state);
        Ok(state.history.iter().map(|r| entry(r, &undone)).collect())
    }

    /// Takes the last change back that was not taken back yet, unless its files were changed since;
    /// then it is a clash, and `yours` is the text that would have come back.
    pub fn undo(&self, at: Moment) -> Result<Undone, Refusal> {
        let mut state = self.lock();
        self.settle(&mut state)?;
        let gone = undone(&state);
        let open = |r: &&Record| r.undoes.is_none() && !gone.contains(&r.id);
        let Some(last) = state.history.iter().rev().find(open).cloned() else {
            return Err(Refusal::NothingToUndo);
        };
        let mut made = Vec::new();
        let deed = match &last.deed {
            Deed::Wrote { files } => Deed::Wrote {
                files: self.reversed(files, &mut made)?,
            },
            Deed::TookIn { file, version } => {
                self.expect_file(file, version)?;
                let bin = BinId::numbered(state.next);
                self.lay_out_bin(&bin, file, at)?;
                Deed::Binned {
                    bin,
                    place: file.clone(),
                }
            }
            Deed::Binned { bin, place } => {
                made = self.way_back(bin, place)?;
                Deed::Restored {
                    bin: bin.clone(),
                    place: place.clone(),
                }
            }
            Deed::Restored { bin, place } => {
                // Under its old number, by which an earlier deed knows it.
                self.lay_out_bin(bin, place, at)?;
                Deed::Binned {
                    bin: bin.clone(),
                    place: place.clone(),
                }
            }
        };
        let mut record = state.record(deed, made, &last.why, at);
        record.unmade = last.made.clone();
        record.undoes = Some(last.id);
        self.carry_out(&mut state, record)?;
        Ok(Undone {
            entry: entry(&last, &BTreeSet::from([last.id])),
        })
    }

    fn reversed(&self, files: &[Altered], made: &mut Vec<String>) -> Result<Vec<Altered>, Refusal> {
        let mut back = Vec::new();
        for altered in files {
            let there = self.ground.read(&altered.file, MOST_TEXT)?;
            if there.as_deref().map(Version::of) != altered.after {
                let before = altered
                    .before
                    .as_ref()
                    .map(|v| self.keep.text(v))
                    .transpose()?;
                let yours = before.flatten().unwrap_or_default();
                return Err(self.clash(&altered.file, &String::from_utf8_lossy(&yours)));
            }
            if altered.before.is_some() {
                made.extend(self.ground.missing_above(&altered.file)?);
            }
            back.push(altered.reversed());
        }
        Ok(back)
    }
}

fn undone(state: &State) -> BTreeSet<u64> {
    state.history.iter().filter_map(|r| r.undoes).collect()
}

fn entry(record: &Record, undone: &BTreeSet<u64>) -> Entry {
    Entry {
        id: record.id,
        at: record.at,
        why: record.why.clone(),
        files: record.files(),
        undone: undone.contains(&record.id),
        undoes: record.undoes,
    }
}
