//! Putting a bag together: beside its place, using what an earlier run has left, read back as a whole,
//! then put in place by one step.

use super::bag::digest::{Algorithm, Sum, sum, sum_of};
use super::contents::{Content, Gathered};
use super::place::{self, Bench, no_room, remove, sync_folder};
use super::room;
use super::tags::tags;
use super::verify::verify;
use super::{DepositError, Deposited, Request, pack};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Lines of all lists for one file, and its entry in an archive, bytes at most (names are short).
const LISTED: u64 = 1024;

/// Writes the bag, checks it, and puts it in its place.
pub(super) fn write(
    request: &Request<'_>,
    target: &Path,
    gathered: Gathered,
) -> Result<Deposited, DepositError> {
    let id = request.object.as_str();
    let bench = Bench::claim(target, id)?;
    bench.restore_if_interrupted(target)?;
    place::may_replace(target, request)?;
    let staged = bench.folder.join("bag").join(id);
    clear_others(&staged, &gathered.files)?;
    let needed = needed(&staged, &gathered.files, request.packed);
    // What the estimate leaves out is small; refusing early is kinder than a full disk.
    if let Some(free) = room::free(&bench.folder)
        && free < needed
    {
        return Err(DepositError::NoRoom {
            place: bench.folder.clone(),
            needed,
            free: Some(free),
        });
    }
    let mut stage = Stage {
        root: &staged,
        folders: BTreeSet::new(),
        found: (0, 0),
        still: needed,
    };
    let mut sums = BTreeMap::new();
    let total = gathered.files.len();
    for (done, (name, content)) in gathered.files.iter().enumerate() {
        request.listener.progress(done, total, name);
        sums.insert(name.clone(), stage.put(name, content)?);
    }
    for (name, text) in tags(&sums, &gathered.about) {
        stage.put(&name, &Content::Bytes(text.into_bytes()))?;
    }
    // The folders that hold the bag hold it for good only when they are synced as well.
    stage.folders.insert(staged.clone());
    stage.folders.insert(bench.folder.join("bag"));
    stage
        .folders
        .iter()
        .try_for_each(|folder| sync_folder(folder))?;
    let found = stage.found;
    read_back(request, &staged, &sums)?;
    let finished = match request.packed {
        false => staged,
        true => {
            let packed = bench.folder.join("packed.zip");
            pack::pack(&staged, id, gathered.about.day, &packed)?;
            read_back(request, &packed, &sums)?;
            packed
        }
    };
    place::may_replace(target, request)?;
    bench.settle(&finished, target)?;
    Ok(Deposited {
        path: target.to_owned(),
        files: sums.len(),
        bytes: sums.values().map(|s| s.bytes).sum(),
        found_files: found.0,
        found_bytes: found.1,
        withheld: gathered.withheld,
    })
}

/// Everything is read once more from the disk, and has to be what was written.
fn read_back(
    request: &Request<'_>,
    path: &Path,
    sums: &BTreeMap<String, Sum>,
) -> Result<(), DepositError> {
    let verdict = verify(path, request.listener)?;
    let bytes: u64 = sums.values().map(|s| s.bytes).sum();
    if verdict.valid && verdict.files == sums.len() && verdict.bytes == bytes {
        return Ok(());
    }
    Err(DepositError::Changed(format!(
        "what was read back is not what was written; the disk may be failing.\n{}",
        verdict.plain(path)
    )))
}

/// Takes away what an earlier run has staged and this one has no use for, so that nothing of it stays.
fn clear_others(staged: &Path, wanted: &BTreeMap<String, Content>) -> Result<(), DepositError> {
    let kept = staged.parent().and_then(Path::parent);
    for leftover in kept.iter().map(|f| f.join("packed.zip")) {
        remove(&leftover)?;
    }
    if let Some(folder) = staged.parent()
        && let Ok(entries) = fs::read_dir(folder)
    {
        for entry in entries.flatten().filter(|e| e.path() != staged) {
            remove(&entry.path())?;
        }
    }
    let mut empty: Vec<PathBuf> = Vec::new();
    for entry in walkdir::WalkDir::new(staged)
        .min_depth(1)
        .into_iter()
        .flatten()
    {
        let inside = entry.path().strip_prefix(staged).unwrap_or(entry.path());
        let name = inside.to_string_lossy().replace('\\', "/");
        if entry.file_type().is_dir() {
            let below = format!("{name}/");
            if !wanted.keys().any(|k| k.starts_with(&below)) {
                empty.push(entry.path().to_owned());
            }
        } else if !entry.file_type().is_file() || !wanted.contains_key(&name) {
            remove(entry.path())?;
        }
    }
    empty.iter().try_for_each(|folder| remove(folder))
}

/// Bytes that are wanted beside what is staged already.
fn needed(staged: &Path, files: &BTreeMap<String, Content>, packed: bool) -> u64 {
    let mut all = 0u64;
    for (name, content) in files {
        let length = content.length();
        let there = fs::symlink_metadata(staged.join(name)).map_or(0, |m| m.len());
        if there != length {
            all = all.saturating_add(room::taken(length));
        }
        all = all.saturating_add(LISTED);
        if packed {
            all = all.saturating_add(length).saturating_add(LISTED);
        }
    }
    all
}

struct Stage<'a> {
    root: &'a Path,
    /// Folders that were written to.
    folders: BTreeSet<PathBuf>,
    /// Files and bytes that were there already.
    found: (usize, u64),
    /// Bytes still wanted.
    still: u64,
}

impl Stage<'_> {
    /// Puts one file in its place within the stage, unless it is there already, byte for byte.
    fn put(&mut self, name: &str, content: &Content) -> Result<Sum, DepositError> {
        let path = self.root.join(name);
        if let Some(folder) = path.parent()
            && !self.folders.contains(folder)
        {
            fs::create_dir_all(folder).map_err(|e| no_room("making", folder, e, self.still))?;
            let mut step = Some(folder);
            while let Some(folder) = step.filter(|f| f.starts_with(self.root)) {
                self.folders.insert(folder.to_owned());
                step = folder.parent();
            }
        }
        let length = content.length();
        let there = fs::symlink_metadata(&path).is_ok_and(|m| m.is_file() && m.len() == length);
        let taken = room::taken(length);
        if there {
            let kept = File::open(&path)
                .and_then(|file| sum(file, &Algorithm::WRITTEN, |_| Ok(())))
                .map_err(|e| DepositError::io("reading", &path, &e))?;
            if kept == content.sum()? {
                // The run that wrote it may have died before this.
                let synced = File::open(&path).and_then(|file| file.sync_all());
                synced.map_err(|e| DepositError::io("syncing", &path, &e))?;
                self.found.0 += 1;
                self.found.1 += length;
                return Ok(kept);
            }
        }
        let sum = self.copy(&path, content)?;
        self.still = self.still.saturating_sub(taken);
        Ok(sum)
    }

    fn copy(&self, path: &Path, content: &Content) -> Result<Sum, DepositError> {
        let failed = |e: io::Error| no_room("writing", path, e, self.still);
        let mut file = File::create(path).map_err(failed)?;
        let sum = match content {
            Content::Bytes(bytes) => {
                file.write_all(bytes).map_err(failed)?;
                sum_of(bytes, &Algorithm::WRITTEN)
            }
            Content::File { path: from, .. } => {
                let source = File::open(from).map_err(|e| DepositError::io("reading", from, &e))?;
                sum(source, &Algorithm::WRITTEN, |piece| file.write_all(piece)).map_err(failed)?
            }
        };
        file.sync_all().map_err(failed)?;
        forget(&file);
        Ok(sum)
    }
}

/// Asks the system not to keep the file in memory, so that reading it back reads the disk.
#[cfg(target_os = "linux")]
fn forget(file: &File) {
    use rustix::fs::{Advice, fadvise};
    // Only an advice: where it is not taken, the digest still tells of what the system has.
    let _ = fadvise(file, 0, None, Advice::DontNeed);
}

#[cfg(not(target_os = "linux"))]
fn forget(_: &File) {}
