//! Why the shelves cannot be used, and what stands there then.

use super::places::{self, Strange};
use crate::io_error::in_words;
use std::io;
use std::path::{Path, PathBuf};

/// How many files a run has changed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Changed {
    pub put: usize,
    pub cleared: usize,
}

/// Why the shelves cannot be used.
#[derive(Debug)]
pub enum ShelfError {
    /// Another run is at work in the same folder.
    Busy(PathBuf),
    /// Links, pipes and the like stand where files and folders of packstring's own must.
    Strange(Vec<Strange>),
    /// What was being done, to which file, what the system said, and what the run had changed by then.
    Disk { doing: &'static str, file: PathBuf, source: io::Error, changed: Changed },
}

impl std::fmt::Display for ShelfError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Busy(out) => write!(
                f,
                "Another packstring is making pieces in {} just now. Wait until it has finished, or use --into with another folder.",
                out.display()
            ),
            Self::Strange(strange) => write!(
                f,
                "{} packstring writes and removes files only in plain folders of its own. Nothing was written, taken away or changed. Move {} elsewhere and run the command again; to have the pieces in another folder, name that folder itself with --into.",
                places::told(strange),
                if strange.len() == 1 { "it" } else { "them" }
            ),
            Self::Disk { doing, file, source, changed } => {
                write!(f, "Could not {doing} {}: {}. ", file.display(), in_words(source))?;
                changed.fmt(f)?;
                f.write_str(" Check the disk, or use --into with another folder, and make again.")
            }
        }
    }
}

/// What stands in the out folder after a trouble, as sentences.
impl std::fmt::Display for Changed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let files = |count| match count {
            1 => "1 file".to_owned(),
            count => format!("{count} files"),
        };
        match self {
            Self { put: 0, cleared: 0 } => f.write_str("No file was changed."),
            Self { put, cleared: 0 } => {
                write!(f, "This run had put {} in place by then. ", files(*put))?;
                f.write_str("They are complete, and all others are unchanged.")
            }
            Self { put, cleared } => {
                write!(f, "This run had put {} in place by then", files(*put))?;
                write!(f, " and taken {} away. What is there is whole.", files(*cleared))
            }
        }
    }
}

impl std::error::Error for ShelfError {}

pub(super) fn disk<'a>(doing: &'static str, file: &'a Path) -> impl FnOnce(io::Error) -> ShelfError + 'a {
    move |source| ShelfError::Disk { doing, file: file.to_owned(), source, changed: Changed::default() }
}

impl ShelfError {
    pub(super) fn after(mut self, so_far: Changed) -> Self {
        if let Self::Disk { changed, .. } = &mut self {
            *changed = so_far;
        }
        self
    }
}
