//! Pictures that wait to be taken. A few are taken at once: while one is written as files, which not
//! all processors can share in, another is rendered.

use super::PictureFiles;
use crate::picture::{self, PictureError, Sized};
use crate::site::assets::Assets;
use crate::site::{Request, SiteError};
use crate::store::{Key, Store};
use rayon::prelude::*;

/// How many are taken at once: each needs some hundred megabytes.
const AT_ONCE: usize = 2;

/// Takes a picture in all its sizes.
type Take<'a> = Box<dyn Fn() -> Result<Vec<Sized>, PictureError> + Send + Sync + 'a>;

/// A picture to be taken, unless the store has it.
pub(super) struct Pending<'a> {
    /// What is said when its turn comes.
    pub(super) told: String,
    /// Begins the names of its files.
    pub(super) name: String,
    pub(super) key: Key,
    pub(super) take: Take<'a>,
}

impl Pending<'_> {
    /// From the store, or taken now and kept there.
    pub(super) fn sizes(&self, store: &Store) -> Result<Vec<Sized>, SiteError> {
        let refused = |why: &str| SiteError::Picture(format!("{}: {why}", self.name));
        let stored = store.or_make(&self.key, || {
            let sizes = (self.take)().map_err(|e| refused(&e.to_string()))?;
            Ok::<_, SiteError>(picture::pack(&sizes))
        })?;
        picture::unpack(&stored).ok_or_else(|| refused("the stored still cannot be read"))
    }
}

/// The files of all pictures, in their order.
pub(super) fn take_all(
    request: &Request<'_>,
    pending: &[Pending<'_>],
    assets: &Assets,
    next: &mut dyn FnMut(&str),
) -> Result<Vec<PictureFiles>, SiteError> {
    let mut files = Vec::with_capacity(pending.len());
    for some in pending.chunks(AT_ONCE) {
        for one in some {
            next(&one.told);
        }
        let sizes: Vec<Result<Vec<Sized>, SiteError>> = some
            .par_iter()
            .map(|one| one.sizes(request.store))
            .collect();
        for (one, sizes) in some.iter().zip(sizes) {
            files.push(PictureFiles::add(&one.name, &sizes?, assets));
        }
    }
    Ok(files)
}
