//! Folders that tests work on.

use packstring::program::{self, Program};
use std::fs;
use std::path::Path;
use std::process::Command;
use tempfile::TempDir;

/// The smallest program there is.
pub const BARE_PROGRAM: &str = r#"[program]
name = "Lake Riders"
agency = "Tern Lake District"
season = "2026"

[[syllabus]]
lesson = "example"
minutes = 10

[[events]]
id = "spring"
name = "Spring Workshop"
date = 2026-05-16
start = 09:00
minutes = 60
place = "Tern Lake shelter"
form = "in person"
"#;

/// Runs a command in a program's folder: what it said, on both outputs, and its exit code.
pub fn run<'a>(folder: &Path, arguments: impl IntoIterator<Item = &'a str>) -> (String, i32) {
    let done = Command::new(env!("CARGO_BIN_EXE_packstring"))
        .current_dir(folder)
        .env("PACKSTRING_KEYS", folder.join("keys"))
        .args(arguments)
        .output()
        .unwrap();
    (String::from_utf8([done.stdout, done.stderr].concat()).unwrap(), done.status.code().unwrap())
}

/// A folder with these files.
pub fn laid_out(files: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    files.iter().for_each(|(name, text)| write(folder.path(), name, text));
    folder
}

/// Writes a file, and the folders that it lies in.
pub fn write(folder: &Path, name: &str, text: impl AsRef<[u8]>) {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}

/// The program of a folder that has no mistakes.
pub fn open(folder: impl AsRef<Path>) -> Program {
    program::open(folder.as_ref()).unwrap_or_else(|unread| panic!("{}", crate::mistakes::told(&unread)))
}

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
