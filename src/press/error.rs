//! What keeps the press from making a piece: mistakes in templates, a theme that cannot be read, a
//! shelf that takes nothing.

use crate::hindrance::in_words;
use std::fmt;
use std::io;

/// The press could not do its work. Not the ranger's text but a template, the theme or the disk is
/// to blame; what is wrong with the text is a [`Finding`](crate::finding::Finding).
#[derive(Debug)]
pub enum PressError {
    /// A template failed while a piece was being made. All that it said, in order.
    Template { path: String, faults: Vec<Fault> },
    /// A file of the theme cannot be read or understood.
    Theme { file: String, message: String },
    /// A job names a file that is not there.
    Missing { path: String, file: String },
    /// A table cannot be written in the form of its file.
    Tables { path: String, why: String },
    /// Who was to take the bytes could not.
    Put { path: String, error: io::Error },
}

/// One mistake in a template.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fault {
    /// The file as the template sees it (`sheets/handbook.typ`, `data/piece.json`), where it is known.
    pub file: Option<String>,
    /// From 1, columns in Unicode scalars.
    pub line: usize,
    pub column: usize,
    pub message: String,
    pub hints: Vec<String>,
}

impl fmt::Display for PressError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Template { path, faults } => {
                write!(f, "{path} could not be made, for a mistake in the theme")?;
                faults.iter().try_for_each(|fault| write!(f, "\n{fault}"))
            }
            Self::Theme { file, message } => write!(f, "{file}: {message}"),
            Self::Missing { path, file } => {
                write!(f, "{path} could not be made: it needs {file}, which is not there")
            }
            Self::Tables { path, why } => write!(f, "{path} could not be made: {why}"),
            Self::Put { path, error } => write!(f, "{path} could not be put away: {}.", in_words(error)),
        }
    }
}

impl std::error::Error for PressError {}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(file) = &self.file {
            write!(f, "{file}:{}:{}: ", self.line, self.column)?;
        }
        f.write_str(&self.message)?;
        self.hints.iter().try_for_each(|hint| write!(f, " ({hint})"))
    }
}

/// Line and column of a byte in a text, both from 1.
pub(super) fn line_column(text: &str, at: usize) -> (usize, usize) {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    let line_start = before.rfind('\n').map_or(0, |end| end + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}
