//! Folders that tests work on.

use std::fs;
use std::path::Path;

/// Copies what stands in one folder into another, over what is there; not what a program has made.
pub fn copy(from: &Path, to: &Path) {
    let is_made = |entry: &walkdir::DirEntry| entry.path() == from.join("out");
    for entry in walkdir::WalkDir::new(from).into_iter().filter_entry(|entry| !is_made(entry)) {
        let entry = entry.unwrap();
        let target = to.join(entry.path().strip_prefix(from).unwrap());
        if entry.file_type().is_dir() {
            fs::create_dir_all(target).unwrap();
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}
