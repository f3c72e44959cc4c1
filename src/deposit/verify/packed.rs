//! A bag as one packed file: a ZIP archive whose top level is exactly one folder.

use super::{Fault, FaultKind, MOST_BYTES, MOST_FILES, Source};
use crate::deposit::bag::names::refused;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{self, BufReader, Read};
use std::path::Path;
use zip::ZipArchive;

pub(in crate::deposit) struct Packed {
    archive: ZipArchive<BufReader<File>>,
    /// Entries by their name within the bag.
    entries: BTreeMap<String, usize>,
    lengths: BTreeMap<String, u64>,
    faults: Vec<Fault>,
}

fn form(what: impl Into<String>) -> Fault {
    Fault::of(FaultKind::Form, "", what)
}

impl Packed {
    /// Opens an archive and looks at all names before anything is unpacked. An archive that cannot
    /// be read, or that is a trap, is one fault.
    pub(in crate::deposit) fn open(path: &Path) -> Result<Self, Fault> {
        let unread = |e: &dyn std::fmt::Display| {
            form(format!(
                "cannot be read as a ZIP archive ({e}); a bag packed otherwise has to be unpacked first"
            ))
        };
        let file = File::open(path).map_err(|e| unread(&e))?;
        let length = file.metadata().map_err(|e| unread(&e))?.len();
        let mut archive = ZipArchive::new(BufReader::new(file)).map_err(|e| unread(&e))?;
        if archive.len() > MOST_FILES {
            return Err(form(format!("has more than {MOST_FILES} files")));
        }
        let overlaps = archive.has_overlapping_files().map_err(|e| unread(&e))?;
        if overlaps || archive.has_duplicate_names() {
            return Err(form(
                "is an archive whose files overlap or have the same name twice; it was not unpacked",
            ));
        }
        let mut packed = Self {
            archive,
            entries: BTreeMap::new(),
            lengths: BTreeMap::new(),
            faults: Vec::new(),
        };
        if let Err(e) = packed.archive.validate_header_consistency() {
            let what = format!("says of a file one thing before it and another in its list: {e}");
            packed.faults.push(form(what));
        }
        let total = packed.look().map_err(|e| unread(&e))?;
        if total > MOST_BYTES.min(length.saturating_mul(1100)) {
            return Err(form(format!(
                "would unpack to {total} bytes from {length}; it was not unpacked"
            )));
        }
        Ok(packed)
    }

    /// Takes down every file below the one folder at the top; gives their length in all.
    fn look(&mut self) -> Result<u64, zip::result::ZipError> {
        let (mut tops, mut total) = (BTreeSet::new(), 0u64);
        for index in 0..self.archive.len() {
            let entry = self.archive.by_index_raw(index)?;
            let raw = entry.name_raw();
            let shown = String::from_utf8_lossy(raw).into_owned();
            let (folder, link, locked, size) = (
                entry.is_dir(),
                entry.is_symlink(),
                entry.encrypted(),
                entry.size(),
            );
            let unicode = std::str::from_utf8(raw).is_ok();
            let mut fault = |what: &str| self.faults.push(Fault::of(FaultKind::Name, &shown, what));
            if !unicode {
                fault("has a name that is not UTF-8");
                continue;
            }
            if let Some(why) = refused(shown.trim_end_matches('/')) {
                fault(&format!("has a name that {why}"));
                continue;
            }
            let (top, inside) = shown.split_once('/').unwrap_or((&shown, ""));
            tops.insert(top.to_owned());
            if folder {
                continue;
            }
            if inside.is_empty() {
                fault("lies beside the folder of the bag");
            } else if link {
                fault("is a link, which is not followed; a bag has files only");
            } else if locked {
                fault("is locked with a password");
            } else {
                total = total.saturating_add(size);
                self.lengths.insert(inside.to_owned(), size);
                self.entries.insert(inside.to_owned(), index);
            }
        }
        if tops.len() != 1 {
            let names: Vec<String> = tops.into_iter().take(5).collect();
            self.faults.push(form(format!(
                "must have exactly one folder at its top; it has: {}",
                if names.is_empty() {
                    "nothing".to_owned()
                } else {
                    names.join(", ")
                }
            )));
        }
        Ok(total)
    }
}

impl Source for Packed {
    fn files(&mut self) -> io::Result<(BTreeMap<String, u64>, Vec<Fault>)> {
        Ok((self.lengths.clone(), self.faults.clone()))
    }

    fn read(&mut self, name: &str, each: &mut dyn FnMut(&[u8])) -> io::Result<()> {
        let index = *self.entries.get(name).ok_or(io::ErrorKind::NotFound)?;
        let entry = self.archive.by_index(index).map_err(io::Error::other)?;
        let length = entry.size();
        // No more than it says, whatever it unpacks to.
        let mut bounded = entry.take(length + 1);
        let (mut piece, mut read) = (vec![0; 1 << 16], 0u64);
        loop {
            match bounded.read(&mut piece)? {
                0 => break,
                n => {
                    read += n as u64;
                    each(&piece[..n]);
                }
            }
        }
        if read > length {
            return Err(io::Error::other("it unpacks to more than it says"));
        }
        Ok(())
    }
}
