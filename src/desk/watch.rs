//! Hears when a file of the content folder changes, whoever changes it.

use super::live::Live;
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher, recommended_watcher};
use std::path::Path;
use std::sync::Arc;

/// Watches the folder for as long as the watcher lives.
pub(super) fn watch(content: &Path, live: &Arc<Live>) -> notify::Result<RecommendedWatcher> {
    let live = Arc::clone(live);
    let mut watcher = recommended_watcher(move |event: notify::Result<Event>| match event {
        // Reading the folder opens its files, and must not be heard as a change of them.
        Ok(event) if matches!(event.kind, EventKind::Access(_)) => {}
        // After an error of the system some change may have been missed.
        Ok(_) | Err(_) => live.poke(),
    })?;
    watcher.watch(content, RecursiveMode::Recursive)?;
    Ok(watcher)
}
