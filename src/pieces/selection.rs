//! What of a program is to be made, for whom, and how it is printed.

use super::table::row;
use crate::imposition::Paper;
use crate::job::Piece;
use crate::people::scope::Scope;
use crate::since::Comparison;
use crate::words::Words;
use clap::ValueEnum;
use std::sync::Arc;

/// What to make.
#[derive(Clone, Debug, Default)]
pub struct Selection {
    /// Empty: all of them.
    pub pieces: Vec<Piece>,
    /// Of whom.
    pub scope: Scope,
    /// Of the handbook and the deck only what is of this lesson, to be looked at.
    pub lesson: Option<String>,
    pub paper: Option<Paper>,
    pub ink: Ink,
    /// The first label that is not used up on the first sheet, from 1.
    pub start_label: Option<u32>,
    /// What the theme itself says, in each language.
    pub words: Words,
    /// The theme's files in `pages/faces/`: the type that pages are set in, with its licenses.
    pub faces: Vec<String>,
    /// What differs from an earlier making; errata are made of it.
    pub since: Option<Arc<Comparison>>,
    /// Only say what would be made and who would be credited: nothing is written.
    pub trial: bool,
    /// Certificates to look at, which count for nothing.
    pub specimen: bool,
}

/// The inks that a piece is set in, of those that the theme has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, ValueEnum)]
pub enum Ink {
    #[default]
    Color,
    /// Saves ink, and says nothing by color alone.
    Black,
}

impl Selection {
    /// Whether nothing of a piece is left out, so that what is not planned of it is no longer wanted.
    pub fn is_all_of(&self, piece: Piece) -> bool {
        self.is_everything() || (self.pieces.contains(&piece) && self.scope.is_everybody())
    }

    /// Whether nothing is left out, so that what is not planned is no longer wanted at all.
    pub fn is_everything(&self) -> bool {
        self.pieces.is_empty() && self.scope.is_everybody()
    }

    /// Whether a piece that is made of the roster and of answers belongs to it.
    pub fn has_people(&self) -> bool {
        self.pieces.is_empty() || self.pieces.iter().any(|piece| row(*piece).personal)
    }
}
