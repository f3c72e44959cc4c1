//! What a site is made from, told apart by content: every file of the content folder with its digest.
//!
//! A file whose length, times and number on the disk are as they were is not read again, unless it was
//! written so shortly before it was read that a second change could bear the same time.

use super::looks::{Looking, Looks, Root};
use super::ordered::{Figures, Ordered, mark, number, side_by_side};
use super::{Mark, Stamp};
use crate::record::content_name;
use rayon::prelude::*;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use walkdir::WalkDir;

/// Times of files may be no finer than this.
const COARSEST: Duration = Duration::from_secs(2);
/// No content folder is deeper; what lies below is refused when it is read.
const DEEPEST: usize = 64;

/// The files of a content folder, by their names in it, and its folders, whose names end in `/`; its own is empty.
#[derive(Debug, Clone, Default)]
pub(crate) struct Inputs(Ordered<Input>);

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Input {
    stamp: Stamp,
    /// Whether another change would have another stamp.
    settled: bool,
    /// Of what is in a file; a folder has nothing but names.
    digest: Mark,
}

impl Figures for Input {
    const BYTES: usize = 72;

    fn put(&self, to: &mut Vec<u8>) {
        let Stamp {
            bytes,
            modified,
            changed,
            inode,
        } = self.stamp;
        for number in [bytes, modified, changed, inode, u64::from(self.settled)] {
            to.extend_from_slice(&number.to_le_bytes());
        }
        to.extend_from_slice(&self.digest);
    }

    fn take(from: &mut &[u8]) -> Self {
        let [bytes, modified, changed, inode, settled] = [(); 5].map(|()| number(from));
        Self {
            stamp: Stamp {
                bytes,
                modified,
                changed,
                inode,
            },
            settled: settled == 1,
            digest: mark(from),
        }
    }
}

impl Input {
    /// Whether what was read of it before still holds: of a file its digest, of a folder the names in it.
    fn holds(&self, now: Stamp) -> bool {
        self.settled && self.stamp == now
    }
}

impl Inputs {
    /// The files below `folder`, hidden ones left out. What did not change since it was known `before` is not read
    /// again; a folder that did is walked anew.
    pub(crate) fn take(folder: &Path, before: Option<&Self>) -> io::Result<Self> {
        // Nothing was known where the folder could not be read, whoever says so.
        let Some(before) = before.filter(|before| before.holds("")) else {
            return walked(folder, "", None);
        };
        let root = Root::open(folder)?;
        let looked = |(name, input): (&str, Input)| -> io::Result<Looked> {
            // What cannot be looked at by its name has its folder walked, which tells why.
            let Ok(now) = root.look(name) else {
                return Ok(Looked::Gone);
            };
            let is_folder = name.is_empty() || name.ends_with('/');
            match (is_folder, now.kind) {
                (true, Looking::Folder) if now.stamp.tells_names() && input.holds(now.stamp) => {
                    Ok(Looked::Same)
                }
                (false, Looking::File | Looking::Other) if input.holds(now.stamp) => {
                    Ok(Looked::Same)
                }
                (false, Looking::File) => {
                    Input::read(&folder.join(name), now, SystemTime::now()).map(Looked::New)
                }
                (true, Looking::Folder) => Ok(Looked::Other),
                _ => Ok(Looked::Gone),
            }
        };
        let known = &before.0;
        let pieces = (0..known.len().div_ceil(PIECE)).into_par_iter();
        let pieces = pieces.map(|piece| {
            let all = known.between(piece * PIECE, (piece + 1) * PIECE);
            all.map(looked).collect::<io::Result<Vec<Looked>>>()
        });
        let looked: Vec<Looked> = pieces.collect::<io::Result<Vec<_>>>()?.concat();
        let anew = known.iter().zip(&looked);
        let anew = anew.filter_map(|((name, _), looked)| match looked {
            Looked::Same | Looked::New(_) => None,
            Looked::Other => Some(name),
            Looked::Gone => Some(around(name)),
        });
        let anew = outermost(anew.collect());
        let mut fresh = Vec::new();
        for below in &anew {
            fresh.push(walked(folder, below, Some(known))?);
        }
        let within = |name: &str| {
            let before = anew.partition_point(|folder| *folder <= name);
            let folder = before.checked_sub(1).and_then(|at| anew.get(at));
            folder.is_some_and(|folder| name.starts_with(folder))
        };
        let stay = known.iter().zip(looked);
        let stay = stay.filter(|((name, _), _)| !within(name));
        let stay = stay.map(|((name, input), looked)| match looked {
            Looked::New(input) => (name, input),
            Looked::Same | Looked::Other | Looked::Gone => (name, input),
        });
        // None of these folders is in another, so that their names follow one another.
        let fresh = fresh.iter().flat_map(|walked| walked.0.iter());
        let all = side_by_side(stay, fresh);
        let mut out = Ordered::like(known);
        for (name, stay, fresh) in all {
            if let Some(input) = fresh.or(stay) {
                out.push(name, &input);
            }
        }
        Ok(Self(out))
    }

    /// For a file: see [`Ordered::parts`].
    pub(super) fn parts(&self) -> [&[u8]; 2] {
        self.0.parts()
    }

    pub(super) fn from_parts(names: Vec<u8>, rows: Vec<u8>) -> Option<Self> {
        Ordered::from_parts(names, rows).map(Self)
    }
}

/// Names that one thread looks at in a go.
const PIECE: usize = 2048;

/// What was found where something was known.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Looked {
    Same,
    /// A file with something else in it.
    New(Input),
    /// A folder with other names in it.
    Other,
    /// Something else, or nothing.
    Gone,
}

/// The folder that something is in.
fn around(name: &str) -> &str {
    let end = name.trim_end_matches('/').rfind('/');
    &name[..end.map_or(0, |slash| slash + 1)]
}

/// Those folders that are in no other, in their order.
fn outermost(mut folders: Vec<&str>) -> Vec<&str> {
    folders.sort_unstable();
    // One that is in another comes behind it.
    folders.dedup_by(|later, kept| later.starts_with(*kept));
    folders
}

impl Input {
    /// Of what is at a path, as it looked just before; what it holds was not asked for before `since`.
    fn read(path: &Path, now: Looks, since: SystemTime) -> io::Result<Self> {
        Ok(Self {
            stamp: now.stamp,
            settled: now.stamp.settled(since),
            digest: match now.kind {
                Looking::File => digest(path)?,
                // What leads elsewhere is not followed when it is read either.
                Looking::Folder | Looking::Other => [0; 32],
            },
        })
    }
}

/// All of a folder `below` the content folder, whose name is empty or ends in `/`, itself with it. Files that are as
/// they were known are not read.
fn walked(content: &Path, below: &str, known: Option<&Ordered<Input>>) -> io::Result<Inputs> {
    let begun = SystemTime::now();
    let shown = |entry: &walkdir::DirEntry| {
        entry.depth() == 0 || !entry.file_name().to_string_lossy().starts_with('.')
    };
    let depth = below.matches('/').count();
    let all = WalkDir::new(content.join(below))
        .max_depth(DEEPEST.saturating_sub(depth))
        .into_iter();
    let all = all.filter_entry(shown).map(|entry| {
        let entry = entry?;
        let mut name = content_name(content, entry.path());
        // Of a folder this is asked before its names are read: what comes to it meanwhile makes it look newer.
        let found = match entry.depth() {
            // A content folder may be a link.
            0 => fs::metadata(entry.path())?,
            _ => entry.metadata()?,
        };
        let stamp = Stamp::of(&found);
        let kind = match (found.is_dir(), found.is_file()) {
            (true, _) => Looking::Folder,
            (_, true) => Looking::File,
            _ => Looking::Other,
        };
        if kind == Looking::Folder && !name.is_empty() {
            name.push('/');
        }
        Ok((name, entry.into_path(), Looks { kind, stamp }))
    });
    let found: Vec<(String, PathBuf, Looks)> = all.collect::<io::Result<_>>()?;
    let input = |(name, path, now): (String, PathBuf, Looks)| -> io::Result<(String, Input)> {
        let before = known.and_then(|known| known.get(&name));
        let before = before.filter(|input| now.kind != Looking::Folder && input.holds(now.stamp));
        let input = before.map_or_else(|| Input::read(&path, now, begun), Ok);
        Ok((name, input?))
    };
    let mut all = found
        .into_par_iter()
        .map(input)
        .collect::<io::Result<Vec<_>>>()?;
    all.par_sort_by(|(a, _), (b, _)| a.cmp(b));
    // Names that are no UTF-8 may look alike.
    all.dedup_by(|(a, _), (b, _)| a == b);
    Ok(Inputs(all.into_iter().collect()))
}

impl Inputs {
    /// Whether there is such a file, or, with a `/` at the end, folder.
    pub(crate) fn holds(&self, name: &str) -> bool {
        self.0.get(name).is_some()
    }

    /// The digest of all files whose names begin so.
    pub(crate) fn below(&self, beginning: &str) -> Mark {
        let mut hasher = blake3::Hasher::new();
        for (name, input) in self.0.beginning(beginning) {
            add(&mut hasher, name, &input);
        }
        *hasher.finalize().as_bytes()
    }

    /// The digest of all files that are below none of these folders.
    pub(crate) fn beside<'n>(&self, folders: impl Fn(&str) -> bool + 'n) -> Mark {
        let mut hasher = blake3::Hasher::new();
        for (name, input) in self.0.iter() {
            if !name
                .split_once('/')
                .is_some_and(|(first, _)| folders(first))
            {
                add(&mut hasher, name, &input);
            }
        }
        *hasher.finalize().as_bytes()
    }

    /// Names that are new, gone or of another content here than there, in order.
    pub(crate) fn changed(&self, before: &Self, wanted: impl Fn(&str) -> bool) -> Vec<String> {
        let all = side_by_side(self.0.iter(), before.0.iter());
        let other = all.filter(|(_, here, there)| {
            here.map(|input| input.digest) != there.map(|input| input.digest)
        });
        let names = other.map(|(name, ..)| name).filter(|name| wanted(name));
        names.map(str::to_owned).collect()
    }
}

fn add(hasher: &mut blake3::Hasher, name: &str, input: &Input) {
    hasher.update(&(name.len() as u64).to_le_bytes());
    hasher.update(name.as_bytes());
    hasher.update(&input.digest);
}

fn digest(path: &Path) -> io::Result<Mark> {
    let mut hasher = blake3::Hasher::new();
    hasher.update_reader(fs::File::open(path)?)?;
    Ok(*hasher.finalize().as_bytes())
}

impl Stamp {
    /// Whether the times of a folder move when something comes to it or goes: not so where the system keeps none of
    /// changes, as Windows on sticks.
    fn tells_names(self) -> bool {
        self.modified != 0 && self.changed != 0
    }

    /// Whether so much time has gone by that another change would have another time.
    pub(super) fn settled(self, now: SystemTime) -> bool {
        let now = now.duration_since(SystemTime::UNIX_EPOCH);
        let latest = self.modified.max(self.changed);
        now.is_ok_and(|now| now.as_nanos() > u128::from(latest) + COARSEST.as_nanos())
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
        let first = Inputs::take(place.path(), None).unwrap();
        let time = fs::metadata(&file).unwrap().modified().unwrap();
        fs::write(&file, "a lip").unwrap();
        let kept = fs::File::options().write(true).open(&file).unwrap();
        kept.set_modified(time).unwrap();
        let second = Inputs::take(place.path(), Some(&first)).unwrap();
        assert_eq!(second.changed(&first, |_| true), ["box/en.md"]);
        assert_ne!(first.below("box/"), second.below("box/"));
        let beside = |inputs: &Inputs| inputs.beside(|folder| folder == "box");
        assert_eq!(beside(&first), beside(&second));
        fs::remove_file(&file).unwrap();
        let third = Inputs::take(place.path(), Some(&second)).unwrap();
        assert_eq!(third.changed(&second, |_| true), ["box/en.md"]);
    }

    #[test]
    fn a_folder_that_changed_is_walked_anew() {
        let place = tempfile::tempdir().unwrap();
        for name in ["a/x", "a/deep/y", "a.txt", "b/z", "c/w"] {
            let path = place.path().join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, name).unwrap();
        }
        let settled = |_: &str, input: Input| Input {
            settled: true,
            ..input
        };
        let mut known = Inputs::take(place.path(), None).unwrap();
        let all = [
            "", "a.txt", "a/", "a/deep/", "a/deep/y", "a/x", "b/", "b/z", "c/", "c/w",
        ];
        assert!(known.0.iter().map(|(name, _)| name).eq(all));
        known.0.change(settled);
        assert_eq!(
            format!("{:?}", Inputs::take(place.path(), Some(&known)).unwrap()),
            format!("{known:?}")
        );
        // One came, one went, one is of another kind, and a folder took the place of a file.
        fs::write(place.path().join("a/deep/new"), "new").unwrap();
        fs::remove_file(place.path().join("a/x")).unwrap();
        fs::remove_dir_all(place.path().join("c")).unwrap();
        fs::write(place.path().join("c"), "file").unwrap();
        fs::write(place.path().join("b/.hidden"), "").unwrap();
        let again = Inputs::take(place.path(), Some(&known)).unwrap();
        let from_nothing = Inputs::take(place.path(), None).unwrap();
        let names = |inputs: &Inputs| -> Vec<(String, Mark)> {
            let all = inputs.0.iter();
            all.map(|(name, input)| (name.to_owned(), input.digest))
                .collect()
        };
        assert_eq!(names(&again), names(&from_nothing));
        assert_eq!(
            again.changed(&known, |_| true),
            ["a/deep/new", "a/x", "c", "c/", "c/w"]
        );
        fs::write(place.path().join("b/z"), "longer than before").unwrap();
        let again = Inputs::take(place.path(), Some(&from_nothing)).unwrap();
        assert_eq!(again.changed(&from_nothing, |_| true), ["b/z"]);
    }

    #[test]
    fn from_nothing_known_everything_is_found() {
        let place = tempfile::tempdir().unwrap();
        fs::create_dir(place.path().join("a")).unwrap();
        fs::write(place.path().join("a/x"), "x").unwrap();
        let nothing = Inputs::default();
        let all = Inputs::take(place.path(), Some(&nothing)).unwrap();
        assert_eq!(all.changed(&nothing, |_| true).len(), 3);
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
        let mut known = Inputs::take(place.path(), None).unwrap();
        known.0.change(|_, input| Input {
            settled: true,
            digest: [7; 32],
            ..input
        });
        let again = Inputs::take(place.path(), Some(&known)).unwrap();
        assert_eq!(again.0.get("a").unwrap().digest, [7; 32]);
    }
}
