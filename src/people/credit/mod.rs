//! Who is credited: whose certificate is due, whose was given, and whose name was corrected since.
//!
//! The roster says who came and passed, the register who was given a certificate. [`standing`] lays one
//! on the other by who and for what ([`occasions`] knows an event by more than its label), [`due`] says what is to be given, and here stands who has been. Pure: the register is
//! written by [`crate::shelf::register`], which asks [`due::due`] again once it holds the lock.
//!
//! **Numbers.** The first draw of a certificate's number follows from program, season, event, name,
//! e-mail and companion ([`Number::from_parts`]); one that the register has already is drawn again. Once
//! given, the register keeps it: nothing that changes in the roster changes a number.

mod awards;
pub mod changed;
pub mod due;
pub mod laid;
pub mod needs;
mod occasions;
mod parts;
pub mod record;
pub mod replacement;
mod standing;
#[cfg(test)]
mod tests;
pub mod unborne;

pub use awards::RenamedAward;
pub use due::{Candidate, Corrected, Due, due, due_of};
pub use laid::Laid;
pub use occasions::Likeness;

use super::same_name;
use crate::people::scope::Scope;
use crate::program::Program;
use crate::program::Settings;
use crate::program::register::{Entry, Given, Line, Occasion, State, Withdrawn};
use crate::program::roster::Participant;
use crate::program::settings::{Event, season_years};
use occasions::Occasions;
use standing::Standings;
use std::collections::BTreeMap;

/// A certificate for an event that was given and counts.
#[derive(Clone, Copy, Debug)]
pub struct Credit<'p> {
    pub given: &'p Given,
    pub event: &'p Event,
    /// The row of the roster that it was given to, where the roster still has it.
    pub participant: Option<&'p Participant>,
}

impl<'p> Credit<'p> {
    /// The edition in whose words it is made; `None` for the main one.
    pub fn language(&self) -> Option<&'p str> {
        self.participant?.language.as_deref()
    }
}

/// The certificates that count, for events of the program, in the order in which they were given; of the
/// event and of the name that the scope asks for.
pub fn credited<'p>(program: &'p Program, scope: &Scope) -> Vec<Credit<'p>> {
    let register = &program.people.register;
    let (rows, occasions) = (rows(program), Occasions::of(program, register));
    register
        .valid()
        .filter_map(|given| {
            let participant = rows.get(given.number.plain()).copied();
            Some(Credit { given, event: occasions.event_of(given)?, participant })
        })
        .filter(|credit| scope.covers(&credit.event.id))
        .filter(|credit| scope.participant.as_ref().is_none_or(|name| credit.is_of(name)))
        .collect()
}

/// The service awards of this season that were given and count; those of a name that the scope asks for, whenever
/// they were given.
pub fn awarded<'p>(program: &'p Program, scope: &Scope) -> Vec<&'p Given> {
    let settings = &program.content.settings;
    let valid = program.people.register.valid();
    valid
        .filter(|given| matches!(given.occasion, Occasion::Award { .. }) && scope.event.is_none())
        .filter(|given| match &scope.participant {
            Some(name) => same_name(name, &given.name),
            None => !is_of_earlier_season(given, settings),
        })
        .collect()
}

/// Whether a certificate was given in a season that is over. A season that is only called otherwise by now (“2026”,
/// “2026 spring”) is the same; of one without a year nobody can tell.
pub fn is_of_earlier_season(given: &Given, settings: &Settings) -> bool {
    let last = |season: &str| season_years(season).into_iter().max();
    matches!((last(&given.season), last(&settings.season)), (Some(then), Some(now)) if then < now)
}

impl Credit<'_> {
    /// Whether the certificate or the roster has this name for the person.
    fn is_of(&self, name: &str) -> bool {
        same_name(name, &self.given.name) || self.participant.is_some_and(|row| same_name(name, &row.name))
    }
}

/// The certificates that were withdrawn and not given anew, each with the row that it was given to.
pub fn withdrawn(program: &Program) -> Vec<(&Participant, &Withdrawn)> {
    let register = &program.people.register;
    let is_withdrawal = |line: &Line| matches!(line.entry, Entry::Withdrawn(_));
    if !register.lines().iter().any(is_withdrawal) {
        return Vec::new();
    }
    let standings = Standings::of(program, register);
    let of_row = |(number, row)| match register.state(number) {
        State::Withdrawn(line) => Some((row, line)),
        State::Valid | State::Replaced(_) => None,
    };
    standings.row_of_each().filter_map(of_row).collect()
}

/// The roster's row of each certificate, by its number.
fn rows(program: &Program) -> BTreeMap<&str, &Participant> {
    let standings = Standings::of(program, &program.people.register);
    standings.row_of_each().map(|(number, row)| (number.plain(), row)).collect()
}
