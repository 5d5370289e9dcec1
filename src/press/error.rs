//! What keeps the press from making a piece: mistakes in templates, a theme that cannot be read, a
//! shelf that takes nothing.

use super::theme::Theme;
use crate::io_error::in_words;
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

/// One bracket that is not closed puts every line after it in doubt: so many faults are told.
const TOLD: usize = 3;

/// One mistake in a template.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fault {
    /// The file, where it is known: one of the program's own folder by its path in the program
    /// (`themes/ours/sheets/handbook.typ`), others as the template sees them (`sheets/handbook.typ`).
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
                faults.iter().take(TOLD).try_for_each(|fault| write!(f, "\n{fault}"))?;
                match faults.len().saturating_sub(TOLD) {
                    0 => Ok(()),
                    more => write!(f, "\nand {more} more, which often come from the first"),
                }
            }
            Self::Theme { file, message } => write!(f, "{file}: {message}"),
            Self::Missing { path, file } => {
                write!(f, "{path} could not be made: it needs {file}, which is missing")
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

/// A TOML file of the theme, or where it breaks the form of its language.
pub(super) fn read_toml(theme: &Theme, name: &str, bytes: &[u8]) -> Result<toml::Table, PressError> {
    let shown = theme.shown(name);
    let text = check_utf8(&shown, bytes)?;
    text.parse().map_err(|error: toml::de::Error| {
        let (line, column) = line_column(text, error.span().map_or(0, |span| span.start));
        PressError::Theme { file: format!("{shown}:{line}:{column}"), message: one_line(error.message()) }
    })
}

/// The text of a file of the theme, or where it is none.
pub(super) fn check_utf8<'b>(shown: &str, bytes: &'b [u8]) -> Result<&'b str, PressError> {
    std::str::from_utf8(bytes).map_err(|error| {
        let sound = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
        let (line, column) = line_column(&sound, sound.len());
        let message = "this is not UTF-8 text; save the file as UTF-8".to_owned();
        PressError::Theme { file: format!("{shown}:{line}:{column}"), message }
    })
}

/// What a parser says in several lines, as one.
pub(super) fn one_line(message: &str) -> String {
    message.lines().map(str::trim).collect::<Vec<_>>().join(", ")
}

/// What the typesetter says of a mistake, and its hints. What it advises of itself as a program to run, such as an
/// option, nobody has here.
pub(super) fn said<'h>(message: &str, hints: impl Iterator<Item = &'h str>) -> (String, Vec<String>) {
    if let Some((path, _)) = message.split_once(" would escape the ") {
        let hint =
            "write it from the theme's top, such as \"/sheets/lib/base.typ\" or \"/program/pictures/x.svg\"";
        return (format!("the {path} leads out of what a sheet sees"), vec![hint.to_owned()]);
    }
    (one_line(message), hints.filter(|hint| !hint.contains("`--")).map(str::to_owned).collect())
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
