//! What a site is made from, told apart by content: every file of the content folder with its digest.
//!
//! A file whose length, times and number on the disk are as they were is not read again, unless it was
//! written so shortly before it was read that a second change could bear the same time.

use super::{Mark, Stamp};
use crate::record::content_name;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use walkdir::WalkDir;

/// Times of files may be no finer than this.
const COARSEST: Duration = Duration::from_secs(2);
/// No content folder is deeper; what lies below is refused when it is read.
const DEEPEST: usize = 64;

/// The files of a content folder, by their names in it, and its folders, whose names end in `/`.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(crate) struct Inputs(BTreeMap<String, Input>);

#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
struct Input {
    stamp: Stamp,
    /// Whether another change would have another stamp.
    settled: bool,
    digest: Mark,
}

impl Input {
    /// A folder has nothing but its name.
    const FOLDER: Self = Self {
        stamp: Stamp {
            bytes: 0,
            modified: 0,
            changed: 0,
            inode: 0,
        },
        settled: true,
        digest: [0; 32],
    };
}

impl Inputs {
    /// The files below `folder`, hidden ones left out. What was known `before` is asked for when all are found.
    pub(crate) fn take<'b>(
        folder: &Path,
        before: impl FnOnce() -> Option<&'b Self> + Send,
    ) -> io::Result<Self> {
        let (found, before) = rayon::join(|| found(folder), before);
        let input = |(name, found): (String, Found)| -> io::Result<(String, Input)> {
            let Found::File { path, stamp, plain } = found else {
                return Ok((name, Input::FOLDER));
            };
            let known = before.and_then(|before| before.0.get(&name));
            let known = known.filter(|input| input.settled && input.stamp == stamp);
            let input = match known {
                Some(input) => *input,
                None => Input {
                    stamp,
                    settled: stamp.settled(SystemTime::now()),
                    digest: digest(&path, plain)?,
                },
            };
            Ok((name, input))
        };
        found?
            .into_par_iter()
            .map(input)
            .collect::<io::Result<_>>()
            .map(Self)
    }
}

/// What lies in a content folder.
enum Found {
    Folder,
    File {
        path: PathBuf,
        stamp: Stamp,
        /// Whether it is a file and leads nowhere else.
        plain: bool,
    },
}

/// Everything below a folder, by its name in it.
fn found(folder: &Path) -> io::Result<Vec<(String, Found)>> {
    let shown = |entry: &walkdir::DirEntry| {
        entry.depth() == 0 || !entry.file_name().to_string_lossy().starts_with('.')
    };
    let all = WalkDir::new(folder)
        .min_depth(1)
        .max_depth(DEEPEST)
        .into_iter();
    let all = all.filter_entry(shown).map(|entry| {
        let entry = entry?;
        let mut name = content_name(folder, entry.path());
        if entry.file_type().is_dir() {
            name.push('/');
            return Ok((name, Found::Folder));
        }
        let found = Found::File {
            stamp: Stamp::of(&entry.metadata()?),
            plain: entry.file_type().is_file(),
            path: entry.into_path(),
        };
        Ok((name, found))
    });
    all.collect()
}

impl Inputs {
    /// Whether there is such a file, or, with a `/` at the end, folder.
    pub(crate) fn holds(&self, name: &str) -> bool {
        self.0.contains_key(name)
    }

    /// The digest of all files whose names begin so.
    pub(crate) fn below(&self, beginning: &str) -> Mark {
        let mut hasher = blake3::Hasher::new();
        for (name, input) in self.beginning(beginning) {
            add(&mut hasher, name, input);
        }
        *hasher.finalize().as_bytes()
    }

    /// The digest of all files that are below none of these folders.
    pub(crate) fn beside<'n>(&self, folders: impl Fn(&str) -> bool + 'n) -> Mark {
        let mut hasher = blake3::Hasher::new();
        for (name, input) in &self.0 {
            if !name
                .split_once('/')
                .is_some_and(|(first, _)| folders(first))
            {
                add(&mut hasher, name, input);
            }
        }
        *hasher.finalize().as_bytes()
    }

    /// Names that are new, gone or of another content here than there, in order.
    pub(crate) fn changed(&self, before: &Self, wanted: impl Fn(&str) -> bool) -> Vec<String> {
        let other = |one: &Self, name: &String, digest: &Mark| {
            one.0.get(name).is_none_or(|input| input.digest != *digest)
        };
        let here = self.0.iter().filter(|(n, i)| other(before, n, &i.digest));
        let there = before.0.iter().filter(|(n, i)| other(self, n, &i.digest));
        let mut all: Vec<String> = here.chain(there).map(|(name, _)| name.clone()).collect();
        all.retain(|name| wanted(name));
        all.sort();
        all.dedup();
        all
    }

    fn beginning<'s>(&'s self, with: &'s str) -> impl Iterator<Item = (&'s String, &'s Input)> {
        let all = self.0.range(with.to_owned()..);
        all.take_while(move |(name, _)| name.starts_with(with))
    }
}

fn add(hasher: &mut blake3::Hasher, name: &str, input: &Input) {
    hasher.update(&(name.len() as u64).to_le_bytes());
    hasher.update(name.as_bytes());
    hasher.update(&input.digest);
}

fn digest(path: &Path, is_file: bool) -> io::Result<Mark> {
    if !is_file {
        // What leads elsewhere is not followed when it is read either.
        return Ok([0; 32]);
    }
    let mut hasher = blake3::Hasher::new();
    hasher.update_reader(fs::File::open(path)?)?;
    Ok(*hasher.finalize().as_bytes())
}

impl Stamp {
    /// Whether so much time has gone by that another change would have another time.
    pub(super) fn settled(self, now: SystemTime) -> bool {
        let now = now.duration_since(SystemTime::UNIX_EPOCH);
        let latest = self.modified.max(self.changed);
        now.is_ok_and(|now| now.as_nanos() > latest.saturating_add(COARSEST.as_nanos()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_seen_even_when_length_and_time_are_the_same() {
        let place = tempfile::tempdir().unwrap();
        let file = place.path().join("box/en.md");
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, "a lid").unwrap();
        fs::write(place.path().join("site.toml"), "format = 1").unwrap();
        let first = Inputs::take(place.path(), || None).unwrap();
        let time = fs::metadata(&file).unwrap().modified().unwrap();
        fs::write(&file, "a lip").unwrap();
        let kept = fs::File::options().write(true).open(&file).unwrap();
        kept.set_modified(time).unwrap();
        let second = Inputs::take(place.path(), || Some(&first)).unwrap();
        assert_eq!(second.changed(&first, |_| true), ["box/en.md"]);
        assert_ne!(first.below("box/"), second.below("box/"));
        let beside = |inputs: &Inputs| inputs.beside(|folder| folder == "box");
        assert_eq!(beside(&first), beside(&second));
        fs::remove_file(&file).unwrap();
        let third = Inputs::take(place.path(), || Some(&second)).unwrap();
        assert_eq!(third.changed(&second, |_| true), ["box/en.md"]);
    }

    #[test]
    fn what_has_settled_is_not_read_again() {
        let place = tempfile::tempdir().unwrap();
        let file = place.path().join("a");
        fs::write(&file, "old").unwrap();
        let long_ago = SystemTime::now() - Duration::from_secs(3600);
        let open = fs::File::options().write(true).open(&file).unwrap();
        open.set_modified(long_ago).unwrap();
        let stamp = Stamp::of(&fs::metadata(&file).unwrap());
        // The change of its time itself is new.
        assert!(!stamp.settled(SystemTime::now()));
        assert!(stamp.settled(SystemTime::now() + Duration::from_secs(3)));
        let mut known = Inputs::take(place.path(), || None).unwrap();
        let input = known.0.get_mut("a").unwrap();
        (input.settled, input.digest) = (true, [7; 32]);
        let again = Inputs::take(place.path(), || Some(&known)).unwrap();
        assert_eq!(again.0["a"].digest, [7; 32]);
    }
}
