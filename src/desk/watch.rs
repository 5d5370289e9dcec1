//! The program folder, watched: whatever is saved there, in any editor, is told to the pages that wait for it.

use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use std::path::{Path, PathBuf};
use tokio::sync::watch::Sender;

/// Raises the version with each change in what the program is made from. `None` where the system cannot tell.
pub(super) fn watch(folder: &Path, version: Sender<u64>) -> Option<RecommendedWatcher> {
    let root = folder.to_owned();
    let told = move |event: notify::Result<Event>| {
        if event.is_ok_and(|event| concerns(&root, &event)) {
            version.send_modify(|version| *version += 1);
        }
    };
    let mut watcher = notify::recommended_watcher(told).ok()?;
    watcher.watch(folder, RecursiveMode::NonRecursive).ok()?;
    for name in SOURCES {
        let inner = folder.join(name);
        if inner.is_dir() {
            watcher.watch(&inner, RecursiveMode::Recursive).ok()?;
        }
    }
    Some(watcher)
}

/// The folders of a program that hold what is written by people, and its register.
const SOURCES: [&str; 4] = ["lessons", "pictures", "people", "records"];

/// Whether a file that the program is read from was changed: not one that is only looked at, nor one that is not in place
/// yet, nor what is made.
fn concerns(root: &Path, event: &Event) -> bool {
    let is_change = !matches!(event.kind, EventKind::Access(_));
    let is_source = |path: &PathBuf| {
        let name = path.file_name().unwrap_or_default();
        let is_out = path.strip_prefix(root).is_ok_and(|below| below.starts_with("out"));
        !crate::disk::is_temporary(name) && !is_out
    };
    is_change && event.paths.iter().any(is_source)
}
