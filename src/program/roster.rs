//! `people/roster.csv`: one row a participant and event.

use crate::place::Place;

#[derive(Clone, Debug, Default)]
pub struct Roster {
    pub rows: Vec<Participant>,
}

#[derive(Clone, Debug)]
pub struct Participant {
    /// The event's id.
    pub event: String,
    /// As it is to be printed: outer white space removed, every letter kept.
    pub name: String,
    pub companion: Option<String>,
    pub attended: bool,
    pub passed: bool,
    pub email: Option<String>,
    pub address: Option<Address>,
    pub size: Option<String>,
    pub joins: bool,
    /// The name's cell.
    pub place: Place,
    pub event_place: Place,
}

#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Address {
    pub street: String,
    pub town: String,
    pub state: String,
    pub postcode: String,
    pub country: String,
}
