//! A bag as a folder.

use super::{Fault, FaultKind, MOST_FILES, Source};
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// Deepest folder that is looked into.
const DEEPEST: usize = 128;

pub(super) struct Folder {
    root: PathBuf,
}

impl Folder {
    pub(super) fn at(root: &Path) -> Self {
        Self {
            root: root.to_owned(),
        }
    }
}

impl Source for Folder {
    fn files(&mut self) -> io::Result<(BTreeMap<String, u64>, Vec<Fault>)> {
        let (mut files, mut faults) = (BTreeMap::new(), Vec::new());
        // Looked into here, so that a folder that cannot be opened at all is an error.
        fs::read_dir(&self.root)?;
        let walk = walkdir::WalkDir::new(&self.root)
            .follow_links(false)
            .max_depth(DEEPEST)
            .sort_by_file_name();
        for entry in walk.into_iter().skip(1) {
            let entry = match entry {
                Ok(entry) => entry,
                Err(error) => {
                    let path = error.path().unwrap_or(&self.root);
                    let name = shown(path.strip_prefix(&self.root).unwrap_or(path));
                    faults.push(Fault::of(FaultKind::Unread, &name, error.to_string()));
                    continue;
                }
            };
            let inside = entry.path().strip_prefix(&self.root);
            let inside = inside.unwrap_or(entry.path());
            let kind = entry.file_type();
            if kind.is_dir() {
                if entry.depth() == DEEPEST {
                    let what = "lies deeper than is looked into";
                    faults.push(Fault::of(FaultKind::Name, &shown(inside), what));
                }
                continue;
            }
            let Some(name) = name_of(inside) else {
                let what = "has a name that is not UTF-8";
                faults.push(Fault::of(FaultKind::Name, &shown(inside), what));
                continue;
            };
            if kind.is_symlink() {
                let what = "is a link, which is not followed; a bag has files only";
                faults.push(Fault::of(FaultKind::Name, &name, what));
            } else if kind.is_file() {
                let length = entry.metadata().map_err(io::Error::from)?.len();
                files.insert(name, length);
            } else {
                let what = "is neither a file nor a folder";
                faults.push(Fault::of(FaultKind::Name, &name, what));
            }
            if files.len() > MOST_FILES {
                let what = format!("has more than {MOST_FILES} files; no more are looked at");
                faults.push(Fault::of(FaultKind::Form, "", what));
                break;
            }
        }
        Ok((files, faults))
    }

    fn read(&mut self, name: &str, each: &mut dyn FnMut(&[u8])) -> io::Result<()> {
        let mut file = plain_file(&self.root.join(name))?;
        let mut piece = vec![0; 1 << 16];
        loop {
            match file.read(&mut piece) {
                Ok(0) => return Ok(()),
                Ok(n) => each(&piece[..n]),
                Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
                Err(e) => return Err(e),
            }
        }
    }
}

/// Opens a file, and not what a link that took its place a moment ago leads to.
#[cfg(unix)]
fn plain_file(path: &Path) -> io::Result<File> {
    use rustix::fs::{Mode, OFlags, open};
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    Ok(open(path, flags, Mode::empty())?.into())
}

#[cfg(not(unix))]
fn plain_file(path: &Path) -> io::Result<File> {
    File::open(path)
}

/// The name within the bag, `/` between steps.
fn name_of(inside: &Path) -> Option<String> {
    let steps: Option<Vec<&str>> = inside.iter().map(|step| step.to_str()).collect();
    Some(steps?.join("/"))
}

fn shown(inside: &Path) -> String {
    inside.to_string_lossy().into_owned()
}
