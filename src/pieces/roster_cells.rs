//! Which cells of a sheet print words of the roster, so that the press can hold each by itself where no font
//! has its letters, and tells of it at the row. Which letters there are is not known here.

use crate::place::Place;
use crate::program::roster::Participant;

/// Where a sheet prints words of one row of the roster.
#[derive(Clone, Debug)]
pub struct RosterCells {
    /// From 1 as a spreadsheet shows it.
    pub row: usize,
    pub place: Place,
    /// The name, and the companion's and the e-mail address where there are any.
    pub words: Vec<String>,
    /// Of each cell, its JSON Pointer (RFC 6901) in the sheet's `data`.
    pub at: Vec<String>,
}

impl RosterCells {
    pub(super) fn new(row: &Participant, at: Vec<String>) -> Self {
        let words = std::iter::once(&row.name).chain(&row.companion).chain(&row.email).cloned().collect();
        Self { row: row.row, place: row.place.clone(), words, at }
    }
}
