//! Print records that are kept: `records/editions/NAME.json`, whole or not at all, and never over another.

use crate::disk::{self as on_disk, Folder, Kind, Settle, Staged, WriteError, kind_at};
use crate::io_error::in_words;
use std::fmt;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::rc::Rc;

const RECORDS: &str = "records";
const EDITIONS: &str = "editions";
const ENDING: &str = ".json";

/// Why a record was not kept. Nothing was changed.
#[derive(Debug)]
pub enum KeepError {
    /// A record of that name is there, and it says something else.
    There(PathBuf),
    /// A link or the like stands where a folder or a file must.
    Strange(PathBuf, Kind),
    Disk {
        doing: &'static str,
        file: PathBuf,
        source: io::Error,
    },
}

impl fmt::Display for KeepError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::There(file) => write!(
                f,
                "{} is already there and says something else. Choose another name, or move that file away if you no longer need it.",
                file.display()
            ),
            Self::Strange(path, kind) => write!(
                f,
                "{} is {}. Print records are kept only in plain folders. Move it elsewhere and run the command again.",
                path.display(),
                kind.word()
            ),
            Self::Disk { doing, file, source } => {
                write!(f, "Could not {doing} {}: {}.", file.display(), in_words(source))
            }
        }
    }
}

impl std::error::Error for KeepError {}

/// Where the record of a name stands.
pub fn path(program: &Path, name: &str) -> PathBuf {
    program.join(RECORDS).join(EDITIONS).join(format!("{name}{ENDING}"))
}

/// The names of the records that there are.
pub fn names(program: &Path) -> Vec<String> {
    let folder = Folder::open(&program.join(RECORDS).join(EDITIONS));
    let names = folder.and_then(|folder| folder.names()).unwrap_or_default();
    let mut names: Vec<String> =
        names.iter().filter_map(|name| name.to_str()?.strip_suffix(ENDING).map(str::to_owned)).collect();
    names.sort();
    names
}

/// Looks whether a record could be kept under a name.
///
/// # Errors
/// One is there, or something strange stands in its way.
pub fn check(program: &Path, name: &str) -> Result<(), KeepError> {
    for folder in [program.join(RECORDS), program.join(RECORDS).join(EDITIONS)] {
        match look(&folder)? {
            Some(Kind::Folder) | None => {}
            Some(kind) => return Err(KeepError::Strange(folder, kind)),
        }
    }
    let file = path(program, name);
    match look(&file)? {
        None => Ok(()),
        Some(Kind::File) => Err(KeepError::There(file)),
        Some(kind) => Err(KeepError::Strange(file, kind)),
    }
}

/// Keeps a record under a name, for its owner only.
///
/// # Errors
/// One that says something else is there, or it cannot be written.
pub fn keep(program: &Path, name: &str, bytes: &[u8]) -> Result<PathBuf, KeepError> {
    let file = path(program, name);
    match check(program, name) {
        Err(KeepError::There(_)) if on_disk::read(&file).is_ok_and(|there| there == bytes) => {
            return Ok(file);
        }
        checked => checked?,
    }
    let failed = |doing| {
        let file = file.clone();
        move |source| KeepError::Disk { doing, file, source }
    };
    let folder = Folder::open(program).map_err(failed("open the folder for"))?;
    let records = folder.make(RECORDS.as_ref(), 0o700).map_err(failed("make the folder for"))?;
    let editions = Rc::new(records.make(EDITIONS.as_ref(), 0o700).map_err(failed("make the folder for"))?);
    on_disk::sweep_where_free(&editions);
    let write = |WriteError { doing, source }| failed(doing)(source);
    let staged = Staged::write(editions.clone(), bytes, None, Settle::Wait).map_err(write)?;
    match staged.put_new(&editions, file.file_name().unwrap_or_default()) {
        Err(WriteError { source, .. }) if source.kind() == ErrorKind::AlreadyExists => {
            Err(KeepError::There(file))
        }
        put => put.map_err(write).map(|()| file),
    }
}

fn look(path: &Path) -> Result<Option<Kind>, KeepError> {
    kind_at(path).map_err(|source| KeepError::Disk { doing: "look at", file: path.to_owned(), source })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn a_record_is_kept_once() {
        let folder = tempfile::tempdir().unwrap();
        assert!(names(folder.path()).is_empty());
        let file = keep(folder.path(), "2026.spring", b"one").unwrap();
        assert_eq!(fs::read(&file).unwrap(), b"one");
        assert_eq!(names(folder.path()), ["2026.spring"]);
        assert_eq!(keep(folder.path(), "2026.spring", b"one").unwrap(), file, "the same is kept already");
        let other = keep(folder.path(), "2026.spring", b"two").unwrap_err().to_string();
        assert!(other.contains("is already there and says something else"), "{other}");
        assert_eq!(fs::read(&file).unwrap(), b"one");
    }

    #[cfg(unix)]
    #[test]
    fn no_link_is_followed() {
        let (folder, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        fs::create_dir(folder.path().join("records")).unwrap();
        std::os::unix::fs::symlink(elsewhere.path(), folder.path().join("records/editions")).unwrap();
        assert!(matches!(keep(folder.path(), "a", b"one"), Err(KeepError::Strange(..))));
        assert_eq!(fs::read_dir(elsewhere.path()).unwrap().count(), 0);
    }

    #[test]
    fn wherever_keeping_stops_the_record_is_whole_or_none() {
        use crate::disk::trial::{Stop, at_each_step};
        for stop in [Stop::Full, Stop::Killed] {
            let begin = || tempfile::tempdir().unwrap();
            let write = |folder: &tempfile::TempDir| keep(folder.path(), "a", b"one");
            let steps = at_each_step(stop, begin, write, |folder, stopped, _| {
                let there = fs::read(path(folder.path(), "a")).ok();
                assert!(there.is_none() || there.as_deref() == Some(b"one"), "{stop:?} at {stopped:?}");
            });
            assert!(steps >= 4, "only {steps} steps were tried");
        }
    }
}
