//! Recordings of records and their captions: nothing is encoded anew, but what they carry beside
//! sound, pictures and words (names, places, serial numbers, remarks) stays behind.

use crate::record::captions;
use crate::record::media::{self, Media};
use crate::record::{Object, Recording};
use crate::site::assets::Assets;
use crate::site::{Form, Request, SiteError};
use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Path, PathBuf};

/// One file of sound or film.
#[derive(Debug, Clone)]
pub(crate) struct RecordingFile {
    /// Relative to the root of the site.
    pub(crate) path: String,
    pub(crate) bytes: usize,
    pub(crate) media: Media,
    /// Captions by their name beside the record: a path relative to the root, or the whole file as
    /// an address.
    pub(crate) captions: BTreeMap<String, Track>,
}

/// Where captions are found.
#[derive(Debug, Clone)]
pub(crate) enum Track {
    /// A file, relative to the root of the site.
    File(String),
    /// The captions themselves: a page on a disk may not load them from another file.
    Inside(String),
}

/// The folders of an object that hold records, each with its recordings.
pub(super) fn of(object: &Object) -> Vec<(&Path, &[Recording])> {
    let details = object.details.iter();
    let details = details.map(|d| (d.folder.as_path(), d.record.recordings.as_slice()));
    let steps = object.making.iter();
    let steps = steps.map(|s| (s.folder.as_path(), s.record.recordings.as_slice()));
    let own = (object.folder.as_path(), object.record.recordings.as_slice());
    [own].into_iter().chain(details).chain(steps).collect()
}

/// Adds every recording of an object; by their path on disk.
pub(super) fn make(
    request: &Request<'_>,
    object: &Object,
    assets: &Assets,
    found: &mut BTreeMap<PathBuf, RecordingFile>,
) -> Result<(), SiteError> {
    for (folder, recordings) in of(object) {
        for recording in recordings {
            let path = folder.join(&recording.file);
            let bytes = read(&path, request.limits.recording_bytes)?;
            let media = Media::read(&bytes).ok_or_else(|| {
                SiteError::Picture(format!("{}: not sound or film", path.display()))
            })?;
            let mut captions = BTreeMap::new();
            for name in recording.captions.values() {
                let bytes = read(&folder.join(name), request.limits.text_bytes)?;
                let bytes = captions::bare(&String::from_utf8_lossy(&bytes)).into_bytes();
                let track = match request.form {
                    Form::Served => Track::File(assets.add(&named(object, name), "vtt", bytes)),
                    Form::Carried => {
                        Track::Inside(format!("data:text/vtt;base64,{}", base64::encode(&bytes)))
                    }
                };
                captions.insert(name.clone(), track);
            }
            let ending = ending(&recording.file, &media);
            let bare = media::bare(&bytes, media.format);
            let file = RecordingFile {
                bytes: bare.len(),
                path: assets.add(&named(object, &recording.file), ending, bare),
                media,
                captions,
            };
            found.insert(path, file);
        }
    }
    Ok(())
}

/// The ending of the file's own name, which reading has held against its bytes.
fn ending(name: &str, media: &Media) -> &'static str {
    let own = name.rsplit_once('.').map_or("", |(_, ending)| ending);
    let all = media.endings();
    let found = all.iter().find(|known| own.eq_ignore_ascii_case(known));
    found.copied().unwrap_or(all[0])
}

fn named(object: &Object, file: &str) -> String {
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    format!("{}-{}", object.id, crate::record::suggest(stem))
}

fn read(path: &Path, limit: u64) -> Result<Vec<u8>, SiteError> {
    let mut bytes = Vec::new();
    let read = std::fs::File::open(path).and_then(|f| f.take(limit).read_to_end(&mut bytes));
    read.map_err(|e| SiteError::Io(format!("{}: {e}", path.display())))?;
    Ok(bytes)
}
