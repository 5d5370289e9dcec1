//! Certificates that count and that the roster does not bear out any more: their row says by now that the person
//! did not attend or pass, or is gone.

use super::due::Due;
use super::needs::Needs;
use super::standing::Standings;
use crate::people::scoring::{Passed, Scores};
use crate::program::Program;
use crate::program::register::Given;
use crate::program::roster::Participant;
use std::collections::BTreeSet;

/// Why a certificate is not borne out.
#[derive(Clone, Copy, Debug)]
pub enum Unborne<'p> {
    /// The row says that the person did not attend.
    Absent(&'p Participant),
    /// Neither it nor the answers say that the person passed.
    Failed(&'p Participant),
    /// Something else that the certificate needs is not done.
    Lacking(&'p Participant),
    /// There is no row of the person, though there are others of the event.
    Gone,
    /// The roster has no row of the event any more.
    EventGone,
}

/// The certificates that count, for events of the program, and that no row bears out, in the order in which they
/// were given. Those that a row is held as a correction of are told there.
pub fn unborne<'p>(program: &'p Program, scores: &Scores, due: &Due) -> Vec<(&'p Given, Unborne<'p>)> {
    let standings = Standings::of(program, &program.people.register);
    let asked = due.corrected.iter().chain(&due.unsure).map(|row| row.number.plain());
    let asked: BTreeSet<&str> = asked.collect();
    let events: BTreeSet<&str> = program.people.roster.rows.iter().map(|row| row.event.as_str()).collect();
    let needs = Needs::of(program, &program.people.register);
    let passed = |row: &Participant| scores.passed(row) == Passed::Yes;
    let lacks = |row: &'p Participant, id: &str| {
        let mut events = program.content.settings.events.iter();
        events
            .find(|event| event.id == id)
            .is_some_and(|event| !needs.lacking(row, event, &passed).is_empty())
    };
    let mut found = Vec::new();
    for (given, event, row) in standings.valid() {
        let why = match row {
            Some(row) if !row.attended => Unborne::Absent(row),
            Some(row) if matches!(scores.passed(row), Passed::No | Passed::Unsaid) => Unborne::Failed(row),
            Some(row) if lacks(row, event) => Unborne::Lacking(row),
            Some(_) => continue,
            None if asked.contains(given.number.plain()) => continue,
            None if events.contains(event) => Unborne::Gone,
            None => Unborne::EventGone,
        };
        found.push((given, why));
    }
    found
}
