//! The rows of the roster, as the rules about people walk them.

use super::galley::Galley;
use crate::people::mends::{self, OddCell};
use crate::place::Place;
use crate::program::roster::{Field, Participant};

pub(super) fn all<'g>(galley: &'g Galley) -> impl Iterator<Item = &'g Participant> {
    galley.understood.program.roster.rows.iter()
}

/// Where a field of a row stands, by its heading; the name where the row has no such cell.
pub(super) fn place(galley: &Galley, row: &Participant, heading: &str) -> Place {
    let field = Field::ALL.into_iter().find(|field| field.word() == heading);
    let cell = field.and_then(|field| galley.understood.program.roster.place_of(row, field));
    cell.unwrap_or_else(|| row.place.clone())
}

/// The cells whose words have something odd.
pub(super) fn cells<'g>(galley: &'g Galley) -> impl Iterator<Item = OddCell<'g>> {
    mends::cells(&galley.understood.program.roster)
}
