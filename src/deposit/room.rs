//! How much room a disk has.

use std::path::Path;

/// Files take whole blocks; so many bytes each is what disks usually have.
const BLOCK: u64 = 4096;

/// What a file of this length takes, its entry in a folder included.
pub(super) fn taken(length: u64) -> u64 {
    length
        .div_ceil(BLOCK)
        .saturating_mul(BLOCK)
        .saturating_add(BLOCK / 8)
}

/// Bytes that are free where `folder` is, if the system tells.
#[cfg(unix)]
pub(super) fn free(folder: &Path) -> Option<u64> {
    let found = rustix::fs::statvfs(folder).ok()?;
    Some(found.f_bavail.saturating_mul(found.f_frsize))
}

#[cfg(not(unix))]
pub(super) fn free(_: &Path) -> Option<u64> {
    None
}
