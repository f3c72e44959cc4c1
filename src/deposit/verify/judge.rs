//! The judgement, step by step.

use super::lists::{self, List};
use super::{Fault, FaultKind, Source, Verdict, words};
use crate::deposit::bag::digest::{Algorithm, Digests, Sum};
use crate::deposit::bag::names::{PAYLOAD, folded, refused};
use crate::deposit::bag::{facts, manifest};
use crate::deposit::{AGENT, is_agent};
use crate::progress::Listener;
use std::collections::{BTreeMap, BTreeSet};
use std::io;

/// The verdict of something that is no readable bag at all.
pub(super) fn unreadable(fault: Fault) -> Verdict {
    Verdict {
        faults: vec![fault],
        ..empty()
    }
    .settle()
}

fn empty() -> Verdict {
    Verdict {
        packed: false,
        version: None,
        complete: false,
        valid: false,
        files: 0,
        bytes: 0,
        checked: Vec::new(),
        faults: Vec::new(),
        remarks: Vec::new(),
    }
}

struct Judge<'s> {
    source: &'s mut dyn Source,
    files: BTreeMap<String, u64>,
    version: facts::Version,
    payload: Vec<List>,
    tags: Vec<List>,
    verdict: Verdict,
}

pub(super) fn judge(source: &mut dyn Source, listener: &dyn Listener) -> io::Result<Verdict> {
    let (files, faults) = source.files()?;
    let mut judge = Judge {
        source,
        files,
        version: (1, 0),
        payload: Vec::new(),
        tags: Vec::new(),
        verdict: Verdict { faults, ..empty() },
    };
    judge.declaration();
    judge.lists();
    judge.listed();
    judge.names();
    let ours = judge.info();
    judge.fetch();
    let sums = judge.digests(ours, listener);
    if ours {
        judge.as_written(&sums);
    }
    Ok(judge.verdict.settle())
}

impl Judge<'_> {
    fn fault(&mut self, kind: FaultKind, file: &str, what: impl Into<String>) {
        self.verdict.faults.push(Fault::of(kind, file, what));
    }

    fn declaration(&mut self) {
        if !self.files.contains_key("bagit.txt") {
            let what = "is not there; without it this is no bag";
            return self.fault(FaultKind::Form, "bagit.txt", what);
        }
        let read = lists::text(self.source, &self.files, "bagit.txt");
        match read.map(|bytes| facts::declared(&bytes)) {
            Ok(Ok(version)) => {
                self.version = version;
                self.verdict.version = Some(format!("{}.{}", version.0, version.1));
            }
            Ok(Err(what)) => self.fault(FaultKind::Form, "bagit.txt", what),
            Err(fault) => self.verdict.faults.push(fault),
        }
    }

    fn lists(&mut self) {
        let faults = &mut self.verdict.faults;
        self.payload = lists::all("manifest-", self.source, &self.files, faults);
        self.tags = lists::all("tagmanifest-", self.source, &self.files, faults);
        for list in self.payload.iter().chain(&self.tags) {
            if list.algorithm.is_none() {
                let what =
                    "is in an algorithm that is not checked here (SHA-224, 256, 384 and 512 are)";
                let remark = Fault::of(FaultKind::Unread, &list.file, what);
                self.verdict.remarks.push(remark);
            }
        }
        if self.payload.is_empty() {
            let what = "has no manifest, a file such as manifest-sha512.txt";
            self.fault(FaultKind::Form, "", what);
        } else if self.payload.iter().all(|list| list.algorithm.is_none()) {
            let what = "has no manifest whose digests can be checked here, so it was not shown to be valid";
            self.fault(FaultKind::Unread, "", what);
        }
        let known = self.payload.iter().chain(&self.tags);
        self.verdict.checked = words(known.filter_map(|list| list.algorithm));
    }

    /// What is listed is there, and what is there is listed.
    fn listed(&mut self) {
        let mut found = Vec::new();
        for list in self.payload.iter().chain(&self.tags) {
            for name in list.lines.keys() {
                if !self.files.contains_key(name) {
                    let what = format!("is not there; {} lists it", list.file);
                    let mut fault = Fault::of(FaultKind::Missing, name, what);
                    let same = folded(name);
                    if let Some(other) = self.files.keys().find(|f| folded(f) == same) {
                        fault.what += &format!(
                            ". There is ‘{other}’, which differs in case or Unicode normal form only"
                        );
                    }
                    found.push(fault);
                }
            }
        }
        let payload = self
            .files
            .iter()
            .filter(|(name, _)| name.starts_with(PAYLOAD));
        for (name, bytes) in payload {
            self.verdict.files += 1;
            self.verdict.bytes += bytes;
            let without: Vec<&str> = self
                .payload
                .iter()
                .filter(|list| !list.lines.contains_key(name))
                .map(|list| list.file.as_str())
                .collect();
            // Before version 1.0, one manifest was enough.
            let unlisted = match self.version {
                (1, ..) => !without.is_empty(),
                _ => without.len() == self.payload.len(),
            };
            if unlisted {
                let what = format!("is not listed in {}", without.join(" and "));
                found.push(Fault::of(FaultKind::Unlisted, name, what));
            }
        }
        self.verdict.faults.extend(found);
    }

    /// Names that some system could take for one another, or that lead out of the bag.
    fn names(&mut self) {
        let mut seen: BTreeMap<String, String> = BTreeMap::new();
        let listed = self.payload.iter().chain(&self.tags);
        let mut all: BTreeSet<String> = listed.flat_map(|l| l.lines.keys().cloned()).collect();
        all.extend(self.files.keys().cloned());
        for name in all {
            if let Some(why) = refused(&name) {
                self.fault(FaultKind::Name, &name, format!("has a name that {why}"));
            }
            if let Some(first) = seen.insert(folded(&name), name.clone()) {
                let missing = [&first, &name].iter().any(|n| !self.files.contains_key(*n));
                let what = format!("differs from ‘{first}’ in case or Unicode normal form only");
                if !missing {
                    self.fault(FaultKind::Name, &name, what);
                }
            }
        }
    }

    /// `bag-info.txt`; gives whether this program wrote the bag.
    fn info(&mut self) -> bool {
        const INFO: &str = "bag-info.txt";
        if !self.files.contains_key(INFO) {
            return false;
        }
        let text = match lists::text(self.source, &self.files, INFO) {
            Ok(bytes) => String::from_utf8(bytes),
            Err(fault) => {
                self.verdict.faults.push(fault);
                return false;
            }
        };
        let Ok(text) = text else {
            self.fault(FaultKind::Form, INFO, "is not UTF-8");
            return false;
        };
        let (info, lines) = facts::parsed(&text);
        for line in lines {
            let fault = Fault::of(
                FaultKind::Form,
                INFO,
                "has a line that is not ‘Label: value’",
            );
            self.verdict.faults.push(fault.at(line));
        }
        let oxums: Vec<&str> = facts::of(&info, "Payload-Oxum").collect();
        if oxums.len() > 1 {
            self.fault(FaultKind::Form, INFO, "gives Payload-Oxum more than once");
        }
        let there = (self.verdict.bytes, self.verdict.files as u64);
        for text in oxums {
            match facts::oxum(text) {
                None => self.fault(
                    FaultKind::Form,
                    INFO,
                    format!("gives ‘{text}’ as Payload-Oxum, which is not ‘octets.files’"),
                ),
                Some(said) if said != there => {
                    let what = format!(
                        "counts {} bytes in {} files of payload; there are {} in {}",
                        said.0, said.1, there.0, there.1
                    );
                    self.fault(FaultKind::Form, INFO, what);
                }
                Some(_) => {}
            }
        }
        facts::of(&info, AGENT).any(is_agent)
    }

    /// What `fetch.txt` lists is never fetched: either it is there already, or it is missing.
    fn fetch(&mut self) {
        const FETCH: &str = "fetch.txt";
        if !self.files.contains_key(FETCH) {
            return;
        }
        let text = match lists::text(self.source, &self.files, FETCH) {
            Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
            Err(fault) => return self.verdict.faults.push(fault),
        };
        let mut absent = 0;
        for (index, line) in manifest::lines(&text).enumerate() {
            let mut fields = line.splitn(3, [' ', '\t']);
            let (_, length, name) = (fields.next(), fields.next(), fields.next());
            let name = crate::deposit::bag::names::decoded(name.unwrap_or("").trim_start());
            let known = length.is_some_and(|l| l == "-" || l.parse::<u64>().is_ok());
            let what = if !known {
                "has a line that is not ‘address length name’".to_owned()
            } else if let Some(why) = refused(&name) {
                format!("lists ‘{name}’, which {why}")
            } else if !name.starts_with(PAYLOAD) {
                format!("lists ‘{name}’, which is not below data/")
            } else if !self.payload.iter().any(|l| l.lines.contains_key(&name)) {
                format!("lists ‘{name}’, which no manifest lists")
            } else {
                absent += usize::from(!self.files.contains_key(&name));
                continue;
            };
            let fault = Fault::of(FaultKind::Form, FETCH, what);
            self.verdict.faults.push(fault.at(index + 1));
        }
        if absent > 0 {
            let what = format!(
                "names addresses on the web for {absent} files that are not there; nothing was fetched"
            );
            self.verdict
                .remarks
                .push(Fault::of(FaultKind::Missing, FETCH, what));
        }
    }

    /// Every file is read once, for all digests that are listed of it.
    fn digests(&mut self, ours: bool, listener: &dyn Listener) -> BTreeMap<String, Sum> {
        let mut wanted: BTreeMap<String, Vec<(Algorithm, String, String)>> = BTreeMap::new();
        for list in self.payload.iter().chain(&self.tags) {
            let Some(algorithm) = list.algorithm else {
                continue;
            };
            for (name, line) in &list.lines {
                if self.files.contains_key(name) {
                    let of_file = wanted.entry(name.clone()).or_default();
                    of_file.push((algorithm, line.hex.clone(), list.file.clone()));
                }
            }
        }
        let mut sums = BTreeMap::new();
        let total = wanted.len();
        for (done, (name, listed)) in wanted.into_iter().enumerate() {
            listener.progress(done, total, &name);
            let mut algorithms: Vec<Algorithm> = listed.iter().map(|(a, ..)| *a).collect();
            if ours {
                algorithms = Algorithm::WRITTEN.to_vec();
            }
            let mut digests = Digests::of(&algorithms);
            if let Err(e) = self.source.read(&name, &mut |piece| digests.take(piece)) {
                self.fault(FaultKind::Unread, &name, format!("cannot be read: {e}"));
                continue;
            }
            let sum = digests.end();
            for (algorithm, hex, file) in listed {
                if sum.of(algorithm).is_some_and(|found| found != hex) {
                    let what = format!("has other bytes than when {file} was written");
                    self.fault(FaultKind::Changed, &name, what);
                }
            }
            sums.insert(name, sum);
        }
        listener.progress(total, total, "checked");
        sums
    }

    /// A bag of this program has one form only, so that nothing in it can change unseen: not the case of
    /// a digit in a tag manifest either, which no other list covers.
    fn as_written(&mut self, sums: &BTreeMap<String, Sum>) {
        // What is wrong already would be told once more here.
        let lists = self.verdict.faults.is_empty();
        for algorithm in Algorithm::WRITTEN.into_iter().filter(|_| lists) {
            for (stem, lists) in [("manifest", &self.payload), ("tagmanifest", &self.tags)] {
                let file = format!("{stem}-{}.txt", algorithm.word());
                let payload = stem == "manifest";
                let files = sums
                    .iter()
                    .filter(|(name, _)| name.starts_with(PAYLOAD) == payload);
                let meant = manifest::composed(algorithm, files.map(|(n, s)| (n.as_str(), s)));
                let fault = match lists.iter().find(|l| l.file == file) {
                    None => Fault::of(
                        FaultKind::Missing,
                        &file,
                        "is not there; counterpart writes it",
                    ),
                    Some(list) if list.text != meant => Fault::of(
                        FaultKind::Changed,
                        &file,
                        "is not as counterpart writes it for the files that are there",
                    ),
                    Some(_) => continue,
                };
                self.verdict.faults.push(fault);
            }
        }
        let stray: Vec<String> = self
            .files
            .keys()
            .filter(|name| !name.starts_with(PAYLOAD) && !name.starts_with("tagmanifest-"))
            .filter(|name| !sums.contains_key(*name))
            .cloned()
            .collect();
        for name in stray {
            self.fault(
                FaultKind::Unlisted,
                &name,
                "is not listed in the tag manifests",
            );
        }
        let known = ["tagmanifest-sha256.txt", "tagmanifest-sha512.txt"];
        let others = self.files.keys().filter(|n| n.starts_with("tagmanifest-"));
        let others: Vec<String> = others
            .filter(|n| !known.contains(&n.as_str()))
            .cloned()
            .collect();
        for name in others {
            self.fault(FaultKind::Unlisted, &name, "was not written by counterpart");
        }
    }
}
