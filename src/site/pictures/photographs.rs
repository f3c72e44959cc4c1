//! Photographs of records, in sizes for the page and without their metadata.

use super::PictureFiles;
use crate::picture;
use crate::record::{Object, ObjectId, Photograph};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::steady;
use crate::store::{Key, Store};
use std::path::{Path, PathBuf};

/// Every photograph of an object: its path and a name for its files.
pub(super) fn of(object: &Object) -> Vec<(PathBuf, String)> {
    let mut all = named(&object.id, &object.folder, &object.record.photographs);
    for detail in &object.details {
        all.extend(named(
            &object.id,
            &detail.folder,
            &detail.record.photographs,
        ));
    }
    for step in &object.making {
        all.extend(named(&object.id, &step.folder, &step.record.photographs));
    }
    all
}

/// The photographs of one record.
pub(super) fn named(
    object: &ObjectId,
    folder: &Path,
    photographs: &[Photograph],
) -> Vec<(PathBuf, String)> {
    let of_one = |p: &Photograph| {
        let stem = Path::new(&p.file).file_stem().unwrap_or_default();
        let stem = crate::record::suggest(&stem.to_string_lossy());
        (folder.join(&p.file), format!("{object}-{stem}"))
    };
    photographs.iter().map(of_one).collect()
}

/// Makes the sizes of one photograph, unless its store has them.
pub(super) fn make(
    request: &Request<'_>,
    store: &Store,
    path: &Path,
    name: &str,
    assets: &Assets,
) -> Result<PictureFiles, SiteError> {
    let bytes = steady::read(path, u64::MAX - 1)
        .map_err(|e| SiteError::Io(format!("{}: {e}", path.display())))?;
    let key = Key::of(picture::PHOTOGRAPH_METHOD).and(&bytes);
    let stored = store.or_make(&key, || {
        let sizes = picture::derive(&bytes, request.limits)
            .map_err(|e| SiteError::Picture(format!("{}: {e}", path.display())))?;
        Ok::<_, SiteError>(picture::pack(&sizes))
    })?;
    let sizes = picture::unpack(&stored).ok_or_else(|| {
        SiteError::Picture(format!(
            "{}: the stored sizes cannot be read",
            path.display()
        ))
    })?;
    Ok(PictureFiles::add(name, &sizes, assets))
}
