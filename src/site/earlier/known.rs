//! Objects as their records were read for the site that stands, so that those of which nothing changed need not
//! be read again.
//!
//! They lie in one file beside the ledger, one behind the other, each with its place and digest in the ledger.
//! What is read anew is added at the end. Nothing that is no longer of use is left: the file is written anew then.

use super::Mark;
use super::inputs::Inputs;
use super::ledger::Ledger;
use super::writing::Shown;
use crate::record::{Day, Finding, Findings, Known, Object, ObjectId, Sources, Use, withheld};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The file, in the folder beside a site.
pub(crate) const RECORDS: &str = "records";

/// When and where records were read.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct Reading {
    /// The content folder, as it was named: records know their files by it.
    pub(super) content: PathBuf,
    /// The day for which they were judged.
    pub(super) today: Day,
}

/// Where an object lies in the file.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
pub(super) struct Lies {
    start: u64,
    bytes: u64,
    digest: Mark,
}

/// Those of which nothing changed, in the order of their ids: none where a change could make another record
/// right or wrong.
pub(super) fn known(bench: &Path, ledger: &Ledger, inputs: &Inputs, now: &Reading) -> Vec<Known> {
    let changed = inputs.changed(&ledger.inputs, |_| true);
    let mut anew = BTreeSet::new();
    for name in &changed {
        let Some((object, below)) = name.split_once('/') else {
            return Vec::new();
        };
        let both = inputs.holds(name) && ledger.inputs.holds(name);
        // Links lead to names of folders, and former names of objects are told apart.
        let known = object
            .parse()
            .is_ok_and(|id: ObjectId| ledger.objects.contains_key(&id));
        if !known || !both || below == "record.toml" {
            return Vec::new();
        }
        anew.insert(object);
    }
    let before = ledger.reading.as_ref();
    let Some(before) = before.filter(|before| before.content == now.content) else {
        return Vec::new();
    };
    let objects = ledger.objects.iter();
    let objects = objects.filter(|(id, _)| !anew.contains(id.as_str()));
    let lying: Vec<Lies> = objects.filter_map(|(_, stood)| stood.lies).collect();
    let path = bench.join(RECORDS);
    // One that cannot be unpacked is read again.
    let whole = fs::metadata(&path).map_or(0, |found| found.len());
    let known = lying.par_chunks(TOGETHER).flat_map_iter(|lying| {
        let (file, mut bytes) = (File::open(&path), Vec::new());
        let known = lying.iter().filter_map(|lies| {
            let mut file = file.as_ref().ok()?;
            let end = lies.start.checked_add(lies.bytes);
            end.filter(|end| *end <= whole)?;
            bytes.resize(usize::try_from(lies.bytes).ok()?, 0);
            file.seek(SeekFrom::Start(lies.start)).ok()?;
            file.read_exact(&mut bytes).ok()?;
            unpacked(&bytes, lies)
        });
        known.collect::<Vec<_>>()
    });
    let same_day = before.today == now.today;
    known
        .filter(|known| same_day || !has_days(&known.object))
        .collect()
}

/// Records that one thread reads in a go.
const TOGETHER: usize = 64;

/// Whether an agreement begins or ends on some day: then the day has a say in what is to be said of it.
fn has_days(object: &Object) -> bool {
    let mut rights = object.record.rights.iter();
    rights.any(|rights| rights.from.is_some() || rights.until.is_some())
}

fn unpacked(own: &[u8], lies: &Lies) -> Option<Known> {
    if *blake3::hash(own).as_bytes() != lies.digest {
        return None;
    }
    let (object, findings, files): (Object, _, _) = postcard::from_bytes(own).ok()?;
    Some(Known {
        object: Arc::new(object),
        findings,
        files,
    })
}

/// Keeps the records of objects of whose models nothing is to be said.
pub(super) fn remember(
    ledger: &mut Ledger,
    bench: &Path,
    content: &Path,
    shown: &Shown<'_>,
) -> io::Result<()> {
    let (mut lying, mut anew) = (BTreeMap::new(), Vec::new());
    for object in &shown.catalogue.objects {
        let stood = ledger.objects.get(&object.id).filter(|stood| stood.quiet);
        let out = withheld(object, Use::Display, shown.catalogue.today);
        match stood.filter(|_| out.is_empty()).map(|stood| stood.lies) {
            Some(Some(lies)) => drop(lying.insert(object.id.clone(), lies)),
            Some(None) => anew.push(object),
            None => {}
        }
    }
    let read = read_of(&anew, shown.findings, shown.sources);
    let mut lying = keep(bench, lying, &read)?;
    for (id, stood) in &mut ledger.objects {
        stood.lies = lying.remove(id);
    }
    ledger.reading = Some(Reading {
        content: content.to_owned(),
        today: shown.catalogue.today,
    });
    Ok(())
}

/// What was read of objects, as it is to be kept.
fn read_of(objects: &[&Arc<Object>], findings: &Findings, sources: &Sources) -> Vec<Known> {
    let mut own: BTreeMap<&str, Vec<Finding>> = objects
        .iter()
        .map(|object| (object.id.as_str(), Vec::new()))
        .collect();
    for finding in findings.iter() {
        let object = finding.place.file.split('/').next().unwrap_or_default();
        if let Some(own) = own.get_mut(object) {
            own.push(finding.clone());
        }
    }
    let known = |object: &&Arc<Object>| {
        let findings = own.remove(object.id.as_str()).unwrap_or_default();
        let names: BTreeSet<&str> = findings.iter().map(|f| f.place.file.as_str()).collect();
        let files = names.into_iter();
        let files = files.filter_map(|name| sources.get(name).cloned());
        Known {
            object: Arc::clone(object),
            files: files.collect(),
            findings,
        }
    };
    objects.iter().map(known).collect()
}

/// Keeps objects: those that lie there already, and others.
///
/// # Errors
/// A file that cannot be read or written. A record that cannot be packed is left out.
fn keep(
    bench: &Path,
    mut lying: BTreeMap<ObjectId, Lies>,
    others: &[Known],
) -> io::Result<BTreeMap<ObjectId, Lies>> {
    let path = bench.join(RECORDS);
    let packed = others.par_iter().filter_map(|known| {
        let own = postcard::to_stdvec(&(&*known.object, &known.findings, &known.files)).ok()?;
        Some((&known.object.id, *blake3::hash(&own).as_bytes(), own))
    });
    let packed: Vec<_> = packed.collect();
    let live: u64 = lying.values().map(|lies| lies.bytes).sum();
    let mut file = match live {
        0 => File::create(&path)?,
        _ => File::options().read(true).write(true).open(&path)?,
    };
    let mut end = file.seek(SeekFrom::End(0))?;
    // What is of no use any more may be words that may no longer be shown.
    if end > live {
        end = write_anew(&mut file, &path, &mut lying)?;
    }
    for (id, digest, own) in packed {
        file.write_all(&own)?;
        let bytes = own.len() as u64;
        let start = end;
        end += bytes;
        lying.insert(
            id.clone(),
            Lies {
                start,
                bytes,
                digest,
            },
        );
    }
    Ok(lying)
}

/// Writes those that lie there behind one another; the file is the new one then, and its length given.
fn write_anew(
    file: &mut File,
    path: &Path,
    lying: &mut BTreeMap<ObjectId, Lies>,
) -> io::Result<u64> {
    let beside = path.with_extension("part");
    let mut new = File::create(&beside)?;
    let mut all: Vec<&mut Lies> = lying.values_mut().collect();
    all.sort_unstable_by_key(|lies| lies.start);
    let mut end = 0;
    // Those that follow one another are copied in one go.
    for run in all.chunk_by_mut(|one, next| one.start + one.bytes == next.start) {
        let start = run.first().map_or(0, |lies| lies.start);
        let bytes = run.iter().map(|lies| lies.bytes).sum();
        file.seek(SeekFrom::Start(start))?;
        io::copy(&mut Read::by_ref(file).take(bytes), &mut new)?;
        for lies in run {
            lies.start = end;
            end += lies.bytes;
        }
    }
    fs::rename(&beside, path)?;
    *file = new;
    Ok(end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::Limits;
    use crate::record;

    #[test]
    fn records_come_back_as_they_were_read() {
        let content = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
        let today = "2026-01-02".parse().unwrap();
        let limits = Limits::default();
        let reading = record::read(&content, today, &limits);
        let catalogue = reading.catalogue.unwrap();
        let objects = &catalogue.objects;
        let every: Vec<&Arc<Object>> = objects.iter().collect();
        let all = read_of(&every, &reading.findings, &reading.sources);
        let place = tempfile::tempdir().unwrap();
        let (first, others) = all.split_at(1);
        let lying = keep(place.path(), BTreeMap::new(), first).unwrap();
        let mut lying = keep(place.path(), lying, others).unwrap();
        let back = |lying: &BTreeMap<ObjectId, Lies>| -> Vec<Known> {
            let all = fs::read(place.path().join(RECORDS)).unwrap();
            let own = |lies: &Lies| -> Known {
                let start = lies.start as usize;
                unpacked(&all[start..start + lies.bytes as usize], lies).unwrap()
            };
            lying.values().map(own).collect()
        };
        let known = back(&lying);
        assert_eq!(format!("{all:?}"), format!("{known:?}"));
        // With all of them known, the rest is read as if it were all.
        let rest = record::read_but(&content, today, &limits, &known);
        assert_eq!(
            format!("{:?}", reading.findings),
            format!("{:?}", rest.findings)
        );
        let rest = rest.catalogue.unwrap();
        assert_eq!(format!("{objects:?}"), format!("{:?}", rest.objects));

        // What is no longer of use goes.
        let gone = objects[0].id.clone();
        lying.retain(|id, _| *id != gone);
        let live: u64 = lying.values().map(|lies| lies.bytes).sum();
        let length = || fs::metadata(place.path().join(RECORDS)).unwrap().len();
        assert!(length() > live);
        let last = keep(place.path(), lying, &[]).unwrap();
        assert_eq!(length(), live);
        assert_eq!(format!("{:?}", &all[1..]), format!("{:?}", back(&last)));
    }

    #[test]
    fn a_damaged_record_is_none() {
        let content = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
        let today = "2026-01-02".parse().unwrap();
        let reading = record::read(&content, today, &Limits::default());
        let catalogue = reading.catalogue.unwrap();
        let first = &catalogue.objects[0];
        let read = read_of(&[first], &reading.findings, &reading.sources);
        let place = tempfile::tempdir().unwrap();
        let lying = keep(place.path(), BTreeMap::new(), &read).unwrap();
        let lies = lying[&first.id];
        let mut all = fs::read(place.path().join(RECORDS)).unwrap();
        assert!(unpacked(&all, &lies).is_some());
        all[7] ^= 1;
        assert!(unpacked(&all, &lies).is_none());
        assert!(unpacked(&all[..9], &lies).is_none());
    }
}
