//! The ranger's decisions of an earlier run: taken in before anything of people is planned, so that none is
//! lost when `scores.csv` is made again.

use super::SessionError;
use crate::disk;
use crate::io_error::in_words;
use crate::job::Shelf;
use crate::pieces::scores;
use crate::program::decisions::{Decisions, Word};
use crate::program::{Program, tables};
use crate::shelf::is_as_made;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A table of decisions that was read: it is not read again while its bytes are the same.
pub(super) type Remembered = Option<(PathBuf, Vec<u8>, Arc<Decisions>)>;

/// Whether the decisions of a session are taken in.
#[derive(Debug, Default)]
pub(super) enum Taken {
    #[default]
    No,
    /// Nothing goes on without them.
    Needed,
    /// They are looked at: with why they cannot be read, where they cannot.
    Looked(Option<String>),
}

/// Reads the `scores.csv` on the private shelf under `into`, if there is one, or what a spreadsheet has saved
/// beside it.
///
/// # Errors
/// It cannot be read, or it is not sure which file counts: then nothing may be made over it.
pub(super) fn take_in(
    program: &mut Program,
    into: &Path,
    remembered: &mut Remembered,
) -> Result<(), SessionError> {
    let shelf = into.join(Shelf::Private.name());
    let is_there = |name: &String| shelf.join(name).symlink_metadata().is_ok();
    let names: Vec<String> = tables::ENDINGS.iter().map(|ending| in_form(ending)).filter(is_there).collect();
    let old = in_form("xls");
    if is_there(&old) {
        let why = "packstring does not read workbooks of that old form. Save it as .xlsx or .csv".to_owned();
        return Err(unread(&shelf.join(old), &why));
    }
    let decisions = match names.as_slice() {
        [] => Arc::default(),
        [only] => decisions_once(&shelf, only, remembered)?,
        [made, saved] if made == scores::TABLE && is_as_made(into, Shelf::Private, made) => {
            // A spreadsheet has saved it in another form, and packstring's own was not touched since.
            let saved = decisions_in(&shelf, saved)?;
            if !decisions_in(&shelf, made)?.are_all_in(&saved) {
                return Err(two_files(&shelf, &names));
            }
            Arc::new(saved)
        }
        _ => return Err(two_files(&shelf, &names)),
    };
    program.people.decisions = decisions;
    Ok(())
}

/// The bytes of the `scores.csv` under `into`, where there is one.
pub(super) fn bytes(into: &Path) -> Option<Vec<u8>> {
    disk::read(&into.join(Shelf::Private.name()).join(scores::TABLE)).ok()
}

fn decisions_once(
    shelf: &Path,
    name: &str,
    remembered: &mut Remembered,
) -> Result<Arc<Decisions>, SessionError> {
    let file = shelf.join(name);
    let bytes = disk::read(&file).map_err(|error| unread(&file, &in_words(&error)))?;
    if let Some((known, was, decisions)) = remembered
        && (&*known, &*was) == (&file, &bytes)
    {
        return Ok(decisions.clone());
    }
    let decisions = Arc::new(Decisions::read(name, bytes.clone()).map_err(|why| unread(&file, &why))?);
    *remembered = Some((file, bytes, decisions.clone()));
    Ok(decisions)
}

/// The table's name with another ending.
fn in_form(ending: &str) -> String {
    Path::new(scores::TABLE).with_extension(ending).to_string_lossy().into_owned()
}

fn decisions_in(shelf: &Path, name: &str) -> Result<Decisions, SessionError> {
    let file = shelf.join(name);
    let read = disk::read(&file).map_err(|error| in_words(&error));
    read.and_then(|bytes| Decisions::read(name, bytes)).map_err(|why| unread(&file, &why))
}

fn unread(file: &Path, why: &str) -> SessionError {
    SessionError::said(format!(
        "Your decisions in {} cannot be read: {why}. Nothing was made, so that none of them is lost. Mend the file, or move it elsewhere to begin anew.",
        file.display()
    ))
}

fn two_files(shelf: &Path, names: &[String]) -> SessionError {
    SessionError::said(format!(
        "{} has {}, and only one of them can hold your decisions. Nothing was made, so that none of them is lost. Move the others elsewhere.",
        shelf.display(),
        names.join(" and ")
    ))
}

/// The rows of decisions that are neither of the words that packstring knows.
pub(crate) fn unknown(program: &Program) -> Vec<usize> {
    let rows = program.people.decisions.rows.iter();
    rows.filter(|decided| Word::read(&decided.decision) == Word::Unknown).map(|decided| decided.row).collect()
}
