//! Who asked to join the service unit: each person once.

use super::plain_name;
use super::tally::in_order;
use crate::program::Program;
use crate::program::roster::Participant;
use std::collections::BTreeMap;

/// A person who asked to join.
#[derive(Clone, Debug)]
pub struct JoinRequest<'p> {
    pub name: &'p str,
    pub email: Option<&'p str>,
    /// Where the person asked, in the order of the roster.
    pub rows: Vec<&'p Participant>,
    /// Each once, in the order of the roster.
    pub companions: Vec<&'p str>,
    /// The names of the events at which the person asked, in the order of the roster.
    pub events: Vec<&'p str>,
}

/// Everybody who asked, by name. Two people of one name are told apart by their e-mail addresses.
pub fn asked(program: &Program) -> Vec<JoinRequest<'_>> {
    let mut people: BTreeMap<_, JoinRequest> = BTreeMap::new();
    for row in program.people.roster.rows.iter().filter(|row| row.joins) {
        let name = plain_name(&row.name);
        let email = row.email.as_deref();
        let person =
            people.entry((in_order(&name), name, email.map(plain_name))).or_insert_with(|| JoinRequest {
                name: &row.name,
                email,
                rows: Vec::new(),
                companions: Vec::new(),
                events: Vec::new(),
            });
        let event = program.content.settings.events.iter().find(|event| event.id == row.event);
        person.rows.push(row);
        add(&mut person.companions, row.companion.as_deref());
        add(&mut person.events, event.map(|event| event.name.as_str()));
    }
    people.into_values().collect()
}

fn add<'p>(list: &mut Vec<&'p str>, word: Option<&'p str>) {
    if let Some(word) = word.filter(|word| !list.contains(word)) {
        list.push(word);
    }
}
