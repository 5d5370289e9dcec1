//! The program's own files changed: whole, and only where they are still what was read; and the last change taken back.

use super::SessionError;
use crate::restate::Plan;
use crate::shelf::own_files::{SaveError, Saving};
use crate::shelf::undo::{self, Changed, Undone};
use crate::understand::Understood;
use std::path::Path;

/// Writes the changed files, each whole. All are made ready, and held against what was read, before
/// the first is put in place.
///
/// # Errors
/// A file was changed meanwhile, is protected, or cannot be written.
pub fn save(understood: &Understood, plan: &Plan) -> Result<(), SessionError> {
    save_plan(understood, plan).map_err(|error| SessionError::said(error.to_string()))
}

fn save_plan(understood: &Understood, plan: &Plan) -> Result<(), SaveError> {
    let program = understood.root;
    let files = plan.files().into_iter().map(|file| {
        let text = program.sources.text(file).map_or("", |text| text);
        FileChange { file: file.to_string(), was: text.to_owned(), now: plan.edited(file, text) }
    });
    save_files(&program.folder, &files.collect::<Vec<_>>())
}

/// A file of the program, and what it is to hold instead of what was read.
#[derive(Debug)]
pub(super) struct FileChange {
    pub file: String,
    pub was: String,
    pub now: String,
}

/// Puts files in place together, and notes them to be taken back.
pub(super) fn save_files(program: &Path, files: &[FileChange]) -> Result<(), SaveError> {
    if files.is_empty() {
        return Ok(());
    }
    let mut saving = Saving::open(program)?;
    let mut changed = Vec::new();
    for FileChange { file, was, now } in files {
        saving.stage(file, was.as_bytes(), now.as_bytes())?;
        changed.push(Changed::new(file, was, now));
    }
    // Before the first is put in place, so that whatever stops this can be taken back.
    undo::note(program, changed)?;
    saving.save()
}

/// Takes back what was saved last in a program folder; `None` where there is nothing to take back. The program need
/// not be readable.
///
/// # Errors
/// A file is protected, or cannot be written.
pub fn undo(program: &Path) -> Result<Option<Undone>, SessionError> {
    undo::undo(program).map_err(|error| SessionError::said(error.to_string()))
}
