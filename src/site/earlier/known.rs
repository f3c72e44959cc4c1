//! Objects as their records were read for the site that stands, so that those of which nothing changed need not
//! be read again.
//!
//! They lie in one file beside the ledger, one behind the other, each with its place and digest in the ledger.
//! What is read anew is added at the end. Nothing that is no longer of use is left: the file is written anew then.

use super::Mark;
use super::inputs::Inputs;
use super::ledger::Ledger;
use crate::record::{
    Catalogue, Day, Finding, Findings, Known, Object, ObjectId, Sources, Use, withheld,
};
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
    let Ok(all) = fs::read(bench.join(RECORDS)) else {
        return Vec::new();
    };
    let objects = ledger.objects.par_iter();
    let objects = objects.filter(|(id, _)| !anew.contains(id.as_str()));
    // One that cannot be unpacked is read again.
    let objects = objects.filter_map(|(_, stood)| unpacked(&all, &stood.lies?));
    let same_day = before.today == now.today;
    objects
        .filter(|known| same_day || !has_days(&known.object))
        .collect()
}

/// Whether an agreement begins or ends on some day: then the day has a say in what is to be said of it.
fn has_days(object: &Object) -> bool {
    let mut rights = object.record.rights.iter();
    rights.any(|rights| rights.from.is_some() || rights.until.is_some())
}

fn unpacked(all: &[u8], lies: &Lies) -> Option<Known> {
    let start = usize::try_from(lies.start).ok()?;
    let end = start.checked_add(usize::try_from(lies.bytes).ok()?)?;
    let own = all.get(start..end)?;
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

/// What was read of objects, as it is to be kept. Nothing of one of which something is withheld.
pub(super) fn read_of(
    catalogue: &Catalogue,
    findings: &Findings,
    sources: &Sources,
) -> BTreeMap<ObjectId, Known> {
    let mut own: BTreeMap<&str, Vec<Finding>> = BTreeMap::new();
    for finding in findings.iter() {
        let object = finding.place.file.split('/').next().unwrap_or_default();
        own.entry(object).or_default().push(finding.clone());
    }
    let may_be = |object: &&Arc<Object>| {
        let out = withheld(object, Use::Display, catalogue.today);
        out.is_empty()
    };
    let known = |object: &Arc<Object>| {
        let findings = own.remove(object.id.as_str()).unwrap_or_default();
        let names: BTreeSet<&str> = findings.iter().map(|f| f.place.file.as_str()).collect();
        let files = names
            .into_iter()
            .filter_map(|name| sources.get(name).cloned())
            .collect();
        let known = Known {
            object: Arc::clone(object),
            findings,
            files,
        };
        (object.id.clone(), known)
    };
    catalogue.objects.iter().filter(may_be).map(known).collect()
}

/// Keeps objects: those that lie there already, and others.
///
/// # Errors
/// A file that cannot be read or written. A record that cannot be packed is left out.
pub(super) fn keep(
    bench: &Path,
    mut lying: BTreeMap<ObjectId, Lies>,
    others: &[&Known],
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
    let mut end = 0;
    for lies in lying.values_mut() {
        file.seek(SeekFrom::Start(lies.start))?;
        io::copy(&mut Read::by_ref(file).take(lies.bytes), &mut new)?;
        lies.start = end;
        end += lies.bytes;
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
        let read = read_of(&catalogue, &reading.findings, &reading.sources);
        let place = tempfile::tempdir().unwrap();
        let all: Vec<&Known> = read.values().collect();
        let (first, others) = all.split_at(1);
        let lying = keep(place.path(), BTreeMap::new(), first).unwrap();
        let mut lying = keep(place.path(), lying, others).unwrap();
        let back = |lying: &BTreeMap<ObjectId, Lies>| -> Vec<Known> {
            let all = fs::read(place.path().join(RECORDS)).unwrap();
            let found = lying.values().map(|lies| unpacked(&all, lies).unwrap());
            found.collect()
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
        let read = read_of(&catalogue, &reading.findings, &reading.sources);
        let (id, first) = read.first_key_value().unwrap();
        let place = tempfile::tempdir().unwrap();
        let lying = keep(place.path(), BTreeMap::new(), &[first]).unwrap();
        let lies = lying[id];
        let mut all = fs::read(place.path().join(RECORDS)).unwrap();
        assert!(unpacked(&all, &lies).is_some());
        all[7] ^= 1;
        assert!(unpacked(&all, &lies).is_none());
        assert!(unpacked(&all[..9], &lies).is_none());
    }
}
