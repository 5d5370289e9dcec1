//! The program's own files changed: whole, and only where they are still what was read.

use super::SessionError;
use crate::restate::Plan;
use crate::shelf::own_files::{SaveError, Saving};
use crate::understand::Understood;

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
    for file in plan.files() {
        let text = program.sources.text(file).map_or("", |text| text);
        saving.stage(file, text.as_bytes(), plan.edited(file, text).as_bytes())?;
    }
    saving.save()
}
