//! The places that packstring writes to, looked at before anything is written: a link there would lead to what is
//! nobody's to change, and a pipe would be waited for.
//!
//! What is found here is told all at once. That no link is followed later either is for [`crate::disk::Folder`].

use super::ShelfError;
use super::names::{MAKING, PRINTED, PUBLIC_RECORD, START_HERE};
use crate::disk::{Kind, kind_at};
use crate::job::Shelf;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Something that stands where packstring writes and is neither a file nor a folder of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Strange {
    pub path: PathBuf,
    pub kind: Kind,
}

/// How many are told one by one.
const TOLD: usize = 8;

/// What is strange, as sentences without how to mend it.
pub fn told(strange: &[Strange]) -> String {
    let one = |found: &Strange| {
        let leads = match (found.kind, fs::read_link(&found.path)) {
            (Kind::Link, Ok(to)) => format!(" to {}", to.display()),
            _ => String::new(),
        };
        format!("{} is {}{leads}.", found.path.display(), found.kind.word())
    };
    let mut words: Vec<String> = strange.iter().take(TOLD).map(one).collect();
    if strange.len() > TOLD {
        words.push(format!("{} more are there.", strange.len() - TOLD));
    }
    words.join(" ")
}

/// Looks at the folder that pieces go into and at all that stands on its shelves. Of the folders above it those in the
/// program folder count too: whoever shares that may put a link there.
///
/// # Errors
/// Whatever is strange, or a folder that cannot be looked into.
pub fn check(out: &Path, program: &Path) -> Result<(), ShelfError> {
    check_above(out, program)?;
    let mut strange = Vec::new();
    for name in [PUBLIC_RECORD, PRINTED, START_HERE, super::laid_out::FILE] {
        file(&out.join(name), &mut strange)?;
    }
    let shelves = Shelf::ALL.map(Shelf::name);
    for name in std::iter::once(MAKING).chain(shelves) {
        walk(&out.join(name), &mut strange)?;
    }
    if strange.is_empty() { Ok(()) } else { Err(ShelfError::Strange(strange)) }
}

/// Looks at a folder of files in the making.
///
/// # Errors
/// As [`check`].
pub(super) fn check_making(making: &Path) -> Result<(), ShelfError> {
    let mut strange = Vec::new();
    walk(making, &mut strange)?;
    if strange.is_empty() { Ok(()) } else { Err(ShelfError::Strange(strange)) }
}

/// Whether a plain file of this name stands beside the shelves.
pub fn is_beside(out: &Path, name: &str) -> bool {
    matches!(look(&out.join(name)), Ok(Some(Kind::File)))
}

/// The same for who writes only the notes of laying out.
///
/// # Errors
/// As [`check`].
pub(super) fn check_notes(out: &Path, program: &Path) -> Result<(), ShelfError> {
    check_above(out, program)?;
    let mut strange = Vec::new();
    file(&out.join(super::laid_out::FILE), &mut strange)?;
    if strange.is_empty() { Ok(()) } else { Err(ShelfError::Strange(strange)) }
}

/// Of what is below something strange, nothing can be said: it is an error at once.
fn check_above(out: &Path, program: &Path) -> Result<(), ShelfError> {
    above(out, program)?.map_or(Ok(()), |strange| Err(ShelfError::Strange(vec![strange])))
}

/// A link, or the like, in whose place a folder must stand: the folder itself that is written to, or one above it in the
/// program folder.
///
/// # Errors
/// It cannot be looked at.
pub fn above(out: &Path, program: &Path) -> Result<Option<Strange>, ShelfError> {
    // Without a point or a slash at its end, which would lead through a link.
    let out: PathBuf = out.components().collect();
    let whole = |path: &Path| path.canonicalize().ok();
    let program = whole(program);
    let absolute = std::path::absolute(&out).unwrap_or_else(|_| out.clone());
    let steps: Vec<&Path> = absolute.ancestors().collect();
    // None where the user has named a folder elsewhere: how they get there is theirs.
    let in_program = steps.iter().position(|step| program.is_some() && whole(step) == program);
    let count = in_program.unwrap_or(1);
    let above = out.ancestors().filter(|step| !step.as_os_str().is_empty()).take(count);
    let mut above: Vec<&Path> = above.collect();
    above.reverse();
    for path in above {
        if let Some(kind @ (Kind::Link | Kind::Special)) = look(path)? {
            return Ok(Some(Strange { path: path.to_owned(), kind }));
        }
    }
    Ok(None)
}

/// A place for a file: a folder is strange there too.
fn file(path: &Path, strange: &mut Vec<Strange>) -> Result<(), ShelfError> {
    if let Some(kind @ (Kind::Link | Kind::Special | Kind::Folder)) = look(path)? {
        strange.push(Strange { path: path.to_owned(), kind });
    }
    Ok(())
}

/// A place for a folder, and all that stands in it.
fn walk(folder: &Path, strange: &mut Vec<Strange>) -> Result<(), ShelfError> {
    let mut left = vec![folder.to_owned()];
    while let Some(path) = left.pop() {
        let is_top = path == folder;
        match look(&path)? {
            Some(kind @ (Kind::Link | Kind::Special)) => strange.push(Strange { path, kind }),
            Some(Kind::File) if is_top => strange.push(Strange { path, kind: Kind::File }),
            Some(Kind::Folder) => {
                let failed = |error| super::disk("look into", &path)(error);
                let mut entries = fs::read_dir(&path)
                    .and_then(|entries| entries.collect::<io::Result<Vec<_>>>())
                    .map_err(failed)?;
                entries.sort_by_key(fs::DirEntry::file_name);
                for entry in entries {
                    let kind = Kind::from(entry.file_type().map_err(failed)?);
                    match kind {
                        Kind::Folder => left.push(entry.path()),
                        Kind::Link | Kind::Special => strange.push(Strange { path: entry.path(), kind }),
                        Kind::File => {}
                    }
                }
            }
            Some(Kind::File) | None => {}
        }
    }
    Ok(())
}

/// What stands at a path, by itself.
pub(super) fn look(path: &Path) -> Result<Option<Kind>, ShelfError> {
    kind_at(path).map_err(super::disk("look at", path))
}
