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
    if plan.files().is_empty() {
        return Ok(());
    }
    let mut saving = Saving::open(&program.folder)?;
    let mut changed = Vec::new();
    for file in plan.files() {
        let text = program.sources.text(file).map_or("", |text| text);
        let now = plan.edited(file, text);
        saving.stage(file, text.as_bytes(), now.as_bytes())?;
        changed.push(Changed::new(file, text, &now));
    }
    // Before the first is put in place, so that whatever stops this can be taken back.
    undo::note(&program.folder, changed)?;
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
