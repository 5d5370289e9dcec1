//! The program's own files changed: whole, and only where they are still what was read.

use super::SessionError;
use crate::atomic_write::{self, Settle};
use crate::finding::FileName;
use crate::io_error::in_words;
use crate::restate::Plan;
use crate::understand::Understood;
use std::{fs, io};

/// Writes the changed files, each whole. All are made ready, and held against what was read, before
/// the first is written.
///
/// # Errors
/// A file was changed meanwhile, is protected, or cannot be written.
pub fn save(understood: &Understood, plan: &Plan) -> Result<(), SessionError> {
    let program = understood.root;
    let mut ready = Vec::new();
    for file in plan.files() {
        let text = program.sources.text(file).map_or("", |text| text);
        let path = program.folder.join(&**file);
        let path = path.canonicalize().map_err(|error| cannot(file, "find", &error))?;
        let there = fs::read(&path).map_err(|error| cannot(file, "read", &error))?;
        if there != text.as_bytes() {
            return Err(SessionError::said(format!(
                "{file} was changed by someone else just now, so nothing was saved. Run the command again."
            )));
        }
        let permissions = fs::metadata(&path).map_err(|error| cannot(file, "read", &error))?.permissions();
        if permissions.readonly() {
            return Err(SessionError::said(format!(
                "{file} is protected against changes, so nothing was saved. Allow writing to it, and run the command again."
            )));
        }
        ready.push((file, path, permissions, plan.edited(file, text)));
    }
    for (file, path, permissions, text) in ready {
        let beside = path.parent().unwrap_or(&program.folder);
        atomic_write::write(beside, &path, text.as_bytes(), Some(permissions), Settle::Wait)
            .map_err(|unwritten| cannot(file, unwritten.doing, &unwritten.source))?;
    }
    Ok(())
}

fn cannot(file: &FileName, doing: &str, error: &io::Error) -> SessionError {
    SessionError::said(format!("Could not {doing} {file}: {}. The file is as it was.", in_words(error)))
}
