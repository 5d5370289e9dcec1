//! Why a session could not do what was asked.

use crate::disk::{LayOutError, WriteError};
use crate::io_error::{Refusal, in_words, refusal};
use crate::press::PressError;
use crate::program::Unread;
use crate::shelf::ShelfError;
use crate::shelf::register::RegisterError;
use std::fmt;
use std::path::Path;

/// Why something could not be done at all. What is wrong with a program that can be read is a
/// [`Finding`](crate::finding::Finding) and no error.
#[derive(Debug)]
pub enum SessionError {
    /// The program folder has mistakes: all of them.
    Unread(Box<Unread>),
    /// What was asked for is not there, or may not be touched; in sentences that say what to do.
    Said(String),
    /// The theme cannot set what it is given.
    Press(PressError),
    /// What was made cannot be put away.
    Shelf(ShelfError),
}

impl SessionError {
    pub fn said(sentence: impl Into<String>) -> Self {
        Self::Said(sentence.into())
    }
}

impl SessionError {
    /// Why nothing was laid out in a folder, as the user named it.
    pub fn not_laid_out(why: &LayOutError, folder: &Path) -> Self {
        let LayOutError { file, unwritten: WriteError { doing, source } } = why;
        let mend = match refusal(source) {
            Some(Refusal::Link) => "Name the folder itself that it leads to.",
            _ => "Check that you may write there and that the disk has room, and try again.",
        };
        Self::said(format!(
            "Could not {doing} {}: {}. Nothing was put into {}. {mend}",
            file.display(),
            in_words(source),
            folder.display(),
        ))
    }
}

impl fmt::Display for SessionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unread(_) => f.write_str("packstring cannot read the program folder."),
            Self::Said(sentence) => f.write_str(sentence),
            Self::Press(error) => error.fmt(f),
            Self::Shelf(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for SessionError {}

impl From<PressError> for SessionError {
    fn from(error: PressError) -> Self {
        Self::Press(error)
    }
}

impl From<RegisterError> for SessionError {
    fn from(error: RegisterError) -> Self {
        Self::said(error.to_string())
    }
}

impl From<ShelfError> for SessionError {
    fn from(error: ShelfError) -> Self {
        Self::Shelf(error)
    }
}
