//! A folder of this process, in memory where the system has such a place.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

static PLACE: OnceLock<PathBuf> = OnceLock::new();

/// The folder, made at the first call.
pub(crate) fn folder(name: &str) -> &'static Path {
    PLACE.get_or_init(|| {
        let memory = Path::new("/dev/shm");
        let base = if memory.is_dir() {
            memory.to_owned()
        } else {
            std::env::temp_dir()
        };
        let own = base.join(format!("counterpart-fuzz-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&own).expect("a folder in memory");
        own
    })
}
