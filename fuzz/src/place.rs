//! Folders of this process, in memory where the system has such a place.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

static PLACE: OnceLock<PathBuf> = OnceLock::new();

/// A folder for one reader.
pub(crate) fn folder(name: &str) -> PathBuf {
    let own = PLACE.get_or_init(|| {
        let memory = Path::new("/dev/shm");
        let base = if memory.is_dir() {
            memory.to_owned()
        } else {
            std::env::temp_dir()
        };
        base.join(format!("counterpart-fuzz-{}", std::process::id()))
    });
    let folder = own.join(name);
    std::fs::create_dir_all(&folder).expect("a folder in memory");
    folder
}
