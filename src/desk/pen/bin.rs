//! The bin: what is deleted can be brought back.

use super::deed::{BinId, Binned, Deed, Record};
use super::ground::{self, failed, move_to_free};
use super::keep::refused;
use super::{Inside, Moment, Pen, Refusal};
use rustix::fs::FileType;
use rustix::io::Errno;
use std::fs::{self, File};
use std::io;
use std::os::fd::OwnedFd;

/// The thing itself, in its folder of the bin.
const THING: &str = "thing";
/// Where it came from.
const LABEL: &str = "label.json";

impl Pen {
    /// Moves a folder or file to the bin.
    pub fn bin(&self, what: &Inside, at: Moment) -> Result<Binned, Refusal> {
        let mut state = self.lock();
        self.settle(&mut state)?;
        let bin = BinId::numbered(state.next);
        let binned = self.lay_out_bin(&bin, what, at)?;
        let place = what.clone();
        let why = format!("To the bin: {what}");
        let record = state.record(Deed::Binned { bin, place }, Vec::new(), &why, at);
        self.carry_out(&mut state, record)?;
        Ok(binned)
    }

    /// What lies in the bin, the oldest first.
    pub fn binned(&self) -> Result<Vec<Binned>, Refusal> {
        let mut all = Vec::new();
        for (name, path) in self.keep.entries("bin")? {
            if fs::symlink_metadata(path.join(THING)).is_ok() {
                all.extend(
                    self.keep
                        .read_json::<Binned>(&format!("bin/{name}/{LABEL}"))?,
                );
            }
        }
        Ok(all)
    }

    /// Brings something back from the bin to its place, if that is free.
    pub fn restore(&self, id: &BinId, at: Moment) -> Result<Inside, Refusal> {
        let mut state = self.lock();
        self.settle(&mut state)?;
        let label = self
            .keep
            .read_json::<Binned>(&format!("bin/{id}/{LABEL}"))?;
        let Some(Binned { place, .. }) = label else {
            return Err(Refusal::Missing {
                what: format!("thing {id} in the bin"),
            });
        };
        let made = self.way_back(id, &place)?;
        let deed = Deed::Restored {
            bin: id.clone(),
            place: place.clone(),
        };
        let why = format!("From the bin: {place}");
        let record = state.record(deed, made, &why, at);
        self.carry_out(&mut state, record)?;
        Ok(place)
    }

    /// Makes the folder of the bin and writes the label; the thing itself comes after.
    pub(super) fn lay_out_bin(
        &self,
        bin: &BinId,
        what: &Inside,
        at: Moment,
    ) -> Result<Binned, Refusal> {
        let missing = || Refusal::Missing {
            what: format!("file or folder {what}"),
        };
        let spot = self.ground.spot(what)?.ok_or_else(missing)?;
        let folder = match spot.kind(&spot.name)? {
            Some(FileType::Directory) => true,
            Some(FileType::RegularFile) => false,
            None => return Err(missing()),
            Some(_) => return Err(spot.link()),
        };
        let path = self.keep.path(&format!("bin/{bin}"));
        match fs::create_dir(&path) {
            // Left by an attempt that failed.
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists && !self.is_in_bin(bin) => {}
            made => made.map_err(|e| refused("making", &path, &e))?,
        }
        let label = Binned {
            id: bin.clone(),
            place: what.clone(),
            folder,
            at,
        };
        let written = self.keep.sync_above(&path);
        let written =
            written.and_then(|()| self.keep.write_json(&format!("bin/{bin}/{LABEL}"), &label));
        if written.is_err() {
            // Emptied again at the next opening, should this fail.
            let _ = fs::remove_dir_all(&path);
        }
        written.map(|()| label)
    }

    /// Checks that a thing is in the bin and its place free; the folders that are missing on the way.
    pub(super) fn way_back(&self, bin: &BinId, place: &Inside) -> Result<Vec<String>, Refusal> {
        if !self.is_in_bin(bin) {
            return Err(Refusal::Missing {
                what: format!("thing {bin} in the bin"),
            });
        }
        let missing = self.ground.missing_above(place)?;
        let there = self.ground.spot(place)?;
        match there
            .map(|spot| spot.kind(&spot.name))
            .transpose()?
            .flatten()
        {
            Some(_) => Err(taken(place)),
            None => Ok(missing),
        }
    }

    pub(super) fn is_in_bin(&self, bin: &BinId) -> bool {
        let thing = self.keep.path(&format!("bin/{bin}/{THING}"));
        fs::symlink_metadata(thing).is_ok()
    }

    pub(super) fn move_to_bin(&self, bin: &BinId, place: &Inside) -> Result<(), Refusal> {
        let missing = || Refusal::Missing {
            what: format!("file or folder {place}"),
        };
        let spot = self.ground.spot(place)?.ok_or_else(missing)?;
        let folder = self.bin_folder(bin)?;
        match move_to_free(&spot.dir, &spot.name, &folder, THING) {
            Ok(true) => {}
            Ok(false) => return Err(taken(place)),
            Err(Errno::NOENT) => return Err(missing()),
            Err(e) => return Err(moving(place, e)),
        }
        ground::sync_folder(&folder, place.as_str())?;
        spot.sync()
    }

    pub(super) fn move_from_bin(&self, bin: &BinId, place: &Inside) -> Result<(), Refusal> {
        let spot = self.ground.made_spot(place)?;
        let folder = self.bin_folder(bin)?;
        match move_to_free(&folder, THING, &spot.dir, &spot.name) {
            Ok(true) => {}
            Ok(false) => return Err(taken(place)),
            Err(e) => return Err(moving(place, e)),
        }
        spot.sync()?;
        ground::sync_folder(&folder, place.as_str())
    }

    fn bin_folder(&self, bin: &BinId) -> Result<OwnedFd, Refusal> {
        let path = self.keep.path(&format!("bin/{bin}"));
        let opened = File::open(&path).map_err(|e| refused("opening", &path, &e))?;
        Ok(OwnedFd::from(opened))
    }

    /// Folders of the bin whose thing never came, or went back.
    pub(super) fn sweep_bin(&self) -> Result<(), Refusal> {
        for (_, path) in self.keep.entries("bin")? {
            if fs::symlink_metadata(path.join(THING)).is_err() {
                match fs::remove_dir_all(&path) {
                    Err(e) if e.kind() != io::ErrorKind::NotFound => {
                        return Err(refused("removing", &path, &e));
                    }
                    _ => {}
                }
            }
        }
        Ok(())
    }

    /// Clears what a finished deed leaves.
    pub(super) fn clear_after(&self, record: &Record) -> Result<(), Refusal> {
        match &record.deed {
            Deed::Restored { .. } => self.sweep_bin(),
            _ => Ok(()),
        }
    }
}

fn taken(place: &Inside) -> Refusal {
    Refusal::Taken {
        path: place.to_string(),
        by: place.to_string(),
    }
}

fn moving(place: &Inside, error: Errno) -> Refusal {
    match error {
        Errno::XDEV => Refusal::Failed {
            doing: format!("moving {place}"),
            cause: "the content folder and the folder .counterpart beside it lie on different disks, and the bin needs both on one".to_owned(),
        },
        e => failed("moving", place.as_str(), e),
    }
}
