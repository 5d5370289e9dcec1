//! Why a session could not do what was asked.

use crate::press::PressError;
use crate::program::Unread;
use crate::shelf::ShelfError;
use crate::shelf::register::RegisterError;
use std::fmt;

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
