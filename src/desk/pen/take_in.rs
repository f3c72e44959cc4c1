//! Photographs, scans and recordings that come in: streamed to a file beside their place, bounded,
//! synced, and put in place only when they are whole.

use super::deed::{self, Deed, Record};
use super::ground::Spot;
use super::{Inside, Moment, Pen, Refusal, Version};
use serde::{Deserialize, Serialize};
use std::io::{self, Read, Write};

/// What was taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Taken {
    /// Where it lies.
    pub file: Inside,
    /// Which bytes it holds.
    pub version: Version,
    /// How many.
    pub bytes: u64,
}

/// What is on its way, so that its remains are found after a crash.
#[derive(Debug, Serialize, Deserialize)]
struct Arrival {
    id: u64,
    file: Inside,
    made: Vec<String>,
}

impl Arrival {
    fn name(&self) -> String {
        format!("arriving/{:010}.json", self.id)
    }
}

impl Pen {
    /// Takes a photograph or a scan in, at most `most` bytes; never over an existing file. Other
    /// writing goes on meanwhile.
    pub fn take_in(
        &self,
        file: &Inside,
        from: &mut dyn Read,
        most: u64,
        at: Moment,
    ) -> Result<Taken, Refusal> {
        let (arrival, spot) = self.expect(file)?;
        let received = receive(&spot, &deed::beside(arrival.id, file), from, most);
        let settled = received.and_then(|(version, bytes)| {
            let mut state = self.lock();
            self.settle(&mut state)?;
            let record = Record {
                format: 1,
                id: arrival.id,
                at,
                why: format!("Taken in: {file}"),
                deed: Deed::TookIn {
                    file: file.clone(),
                    version: version.clone(),
                },
                made: arrival.made.clone(),
                unmade: Vec::new(),
                undoes: None,
            };
            self.carry_out(&mut state, record)?;
            Ok(Taken {
                file: file.clone(),
                version,
                bytes,
            })
        });
        let cleared = self.clear_arrival(&arrival);
        let taken = settled?;
        cleared.map(|()| taken)
    }

    /// Announces a file and makes the folders above it.
    fn expect(&self, file: &Inside) -> Result<(Arrival, Spot), Refusal> {
        file.must_be_file()?;
        let mut state = self.lock();
        self.settle(&mut state)?;
        let made = self.ground.missing_above(file)?;
        if let Some(spot) = self.ground.spot(file)?
            && spot.kind(&spot.name)?.is_some()
        {
            return Err(taken(file));
        }
        let arrival = Arrival {
            id: state.take_number(),
            file: file.clone(),
            made,
        };
        self.keep.write_json(&arrival.name(), &arrival)?;
        match self.ground.made_spot(file) {
            Ok(spot) => Ok((arrival, spot)),
            Err(refusal) => {
                self.clear_arrival(&arrival)?;
                Err(refusal)
            }
        }
    }

    pub(super) fn put_arrival(&self, record: &Record, file: &Inside) -> Result<(), Refusal> {
        let missing = || Refusal::Missing {
            what: format!("folder for {file}"),
        };
        let spot = self.ground.spot(file)?.ok_or_else(missing)?;
        if !spot.rename_to_free(&record.beside(file), &spot.name)? {
            return Err(taken(file));
        }
        spot.sync()
    }

    /// Takes an arrival out of its place again; what lies beside it is cleared with the rest of it.
    pub(super) fn send_back(&self, record: &Record, file: &Inside) -> Result<(), Refusal> {
        if let Some(spot) = self.ground.spot(file)? {
            spot.rename_to_free(&spot.name, &record.beside(file))?;
            spot.sync()?;
        }
        Ok(())
    }

    /// Whether an interrupted arrival had been put in place.
    pub(super) fn arrived(&self, record: &Record, file: &Inside) -> Result<bool, Refusal> {
        let Some(spot) = self.ground.spot(file)? else {
            return Ok(false);
        };
        Ok(spot.kind(&record.beside(file))?.is_none() && spot.kind(&spot.name)?.is_some())
    }

    /// Removes what an arrival left beside its place, and the folders if nothing came of it.
    fn clear_arrival(&self, arrival: &Arrival) -> Result<(), Refusal> {
        if let Some(spot) = self.ground.spot(&arrival.file)? {
            spot.remove(&deed::beside(arrival.id, &arrival.file))?;
        }
        for folder in arrival.made.iter().rev() {
            self.ground.remove_if_empty(folder)?;
        }
        self.keep.remove(&arrival.name())
    }

    pub(super) fn sweep_arrivals(&self) -> Result<(), Refusal> {
        for (name, _) in self.keep.entries("arriving")? {
            if let Some(arrival) = self
                .keep
                .read_json::<Arrival>(&format!("arriving/{name}"))?
            {
                self.clear_arrival(&arrival)?;
            }
        }
        Ok(())
    }

    /// The highest number that an arrival or a thing in the bin has used.
    pub(super) fn last_elsewhere(&self) -> Result<u64, Refusal> {
        let arriving = self.keep.entries("arriving")?.into_iter();
        let names = arriving.chain(self.keep.entries("bin")?);
        let numbers = names.filter_map(|(name, _)| name.get(..10)?.parse().ok());
        Ok(numbers.max().unwrap_or(0))
    }

    /// A clash unless a file, of any size, holds these bytes.
    pub(super) fn expect_file(&self, file: &Inside, version: &Version) -> Result<(), Refusal> {
        let opened = match self.ground.spot(file)? {
            Some(spot) => spot.open(&spot.name)?,
            None => None,
        };
        if let Some(opened) = opened {
            let mut hasher = blake3::Hasher::new();
            hasher
                .update_reader(opened)
                .map_err(|e| Refusal::from_io("reading", file.as_str(), &e))?;
            if &Version::from_hash(hasher.finalize()) == version {
                return Ok(());
            }
        }
        Err(Refusal::Clash {
            file: file.clone(),
            yours: String::new(),
            theirs: None,
        })
    }
}

fn receive(
    spot: &Spot,
    beside: &str,
    from: &mut dyn Read,
    most: u64,
) -> Result<(Version, u64), Refusal> {
    let mut file = spot.create(beside)?;
    let writing = |e: io::Error| Refusal::from_io("writing", &spot.path, &e);
    let (mut hasher, mut bytes) = (blake3::Hasher::new(), 0_u64);
    let mut piece = vec![0; 1 << 16];
    loop {
        let read = match from.read(&mut piece) {
            Ok(0) => break,
            Ok(read) => read,
            Err(e) if e.kind() == io::ErrorKind::Interrupted => continue,
            Err(e) => return Err(Refusal::from_io("receiving", &spot.path, &e)),
        };
        bytes += read as u64;
        if bytes > most {
            return Err(Refusal::TooLarge {
                path: spot.path.clone(),
                most,
            });
        }
        hasher.update(&piece[..read]);
        file.write_all(&piece[..read]).map_err(writing)?;
    }
    file.sync_all().map_err(writing)?;
    Ok((Version::from_hash(hasher.finalize()), bytes))
}

fn taken(file: &Inside) -> Refusal {
    Refusal::Taken {
        path: file.to_string(),
        by: file.to_string(),
    }
}
