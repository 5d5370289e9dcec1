//! Which cells of a sheet print words of the roster, so that the press can hold each by itself where no font
//! has its letters, and tells of it at the row. Which letters there are is not known here.

use crate::finding::Place;

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
