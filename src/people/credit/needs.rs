//! What the certificate of an event needs besides the event itself: all its days, and other events.
//!
//! An event that is needed is met by a row of the same person that says attended and passed; where that event gives no
//! certificate of its own, and so may have no questions, by one that says attended and does not say failed; and by a
//! certificate of it that holds on the day, where the row is not there any more. One that was withdrawn meets nothing. The day of
//! the certificate is the one on which the last need was met.

use super::occasions::Occasions;
use crate::people::plain_name;
use crate::program::Program;
use crate::program::register::{Register, State};
use crate::program::roster::Participant;
use crate::program::settings::{Event, Settings};
use jiff::civil::Date;
use std::collections::HashMap;

/// What somebody lacks.
#[derive(Clone, Debug)]
pub enum Lack<'p> {
    /// A day of the event itself, from 0.
    Day(usize),
    /// The person has no row of this event, or did not come.
    Absent(&'p Event),
    /// The person came, and missed a day of it.
    DayOf(&'p Event),
    /// The person came, and nothing says that they passed.
    Unpassed(&'p Event),
    /// The person's certificate of this event was withdrawn.
    Withdrawn(&'p Event),
}

/// The rows of events that others need, by event and person.
pub struct Needs<'p> {
    events: &'p [Event],
    rows: HashMap<(&'p str, String), Vec<&'p Participant>>,
    /// The certificates of such events, by event and person.
    given: HashMap<(&'p str, String), Vec<Held>>,
}

/// A certificate of an event that is needed, which was not replaced.
struct Held {
    email: Option<String>,
    until: Option<Date>,
    is_withdrawn: bool,
}

impl<'p> Needs<'p> {
    pub fn of(program: &'p Program, register: &Register) -> Self {
        let events = &program.content.settings.events;
        let is_needed = |id: &str| events.iter().any(|event| event.needs.iter().any(|need| need.text == id));
        let mut rows: HashMap<(&str, String), Vec<&Participant>> = HashMap::new();
        let mut given: HashMap<(&str, String), Vec<Held>> = HashMap::new();
        if events.iter().any(|event| !event.needs.is_empty()) {
            for row in program.people.roster.rows.iter().filter(|row| is_needed(&row.event)) {
                rows.entry((&row.event, plain_name(&row.name))).or_default().push(row);
            }
            let occasions = Occasions::of(program, register);
            for certificate in register.not_replaced() {
                let is_withdrawn = register.state(&certificate.number) != State::Valid;
                let Some(event) = occasions.event_of(certificate).filter(|event| is_needed(&event.id)) else {
                    continue;
                };
                let (email, until) = (certificate.email.clone(), certificate.until);
                let held = Held { email, until, is_withdrawn };
                given.entry((event.id.as_str(), plain_name(&certificate.name))).or_default().push(held);
            }
        }
        Self { events, rows, given }
    }

    /// What a person lacks of what the certificate of the row's event needs, where the event itself is passed.
    pub fn lacking(
        &self,
        row: &'p Participant,
        event: &'p Event,
        passed: &dyn Fn(&Participant) -> bool,
    ) -> Vec<Lack<'p>> {
        let days = row.missed_days().map(Lack::Day);
        let on = event.last_day();
        let others = self.needed(event).filter_map(|needed| self.lack_of(row, (needed, on), passed));
        days.chain(others).collect()
    }

    fn needed(&self, event: &'p Event) -> impl Iterator<Item = &'p Event> {
        let events = self.events;
        let needs = event.needs.iter().filter(move |need| need.text != event.id);
        needs.filter_map(move |need| events.iter().find(|other| other.id == need.text))
    }

    fn lack_of(
        &self,
        row: &Participant,
        (needed, on): (&'p Event, Date),
        passed: &dyn Fn(&Participant) -> bool,
    ) -> Option<Lack<'p>> {
        let same_email = |email: Option<&str>| {
            email.is_none()
                || row.email.is_none()
                || email.map(plain_name) == row.email.as_deref().map(plain_name)
        };
        let person = (needed.id.as_str(), plain_name(&row.name));
        let held = self.given.get(&person).into_iter().flatten();
        let held: Vec<&Held> = held.filter(|held| same_email(held.email.as_deref())).collect();
        let counts = |held: &&Held| !held.is_withdrawn && held.until.is_none_or(|until| until >= on);
        if held.iter().any(counts) {
            return None;
        }
        if held.iter().any(|held| held.is_withdrawn) {
            return Some(Lack::Withdrawn(needed));
        }
        let rows = self.rows.get(&person);
        let rows = rows.into_iter().flatten().filter(|other| same_email(other.email.as_deref()));
        let lacks = rows.filter(|other| other.attended).map(|other| match () {
            () if other.missed_days().next().is_some() => Some(Lack::DayOf(needed)),
            () if passed(other) || !needed.certified && other.passed != Some(false) => None,
            () => Some(Lack::Unpassed(needed)),
        });
        // Of several rows of the person, one that lacks nothing is enough.
        let lacks: Vec<Option<Lack>> = lacks.collect();
        if lacks.iter().any(Option::is_none) {
            return None;
        }
        Some(lacks.into_iter().flatten().next().unwrap_or(Lack::Absent(needed)))
    }
}

/// The days on which the certificate of an event may have been earned: its own last, or that of what it needs.
pub fn days_earned<'s>(event: &'s Event, settings: &'s Settings) -> impl Iterator<Item = Date> + 's {
    let needs = move |other: &&Event| event.needs.iter().any(|need| need.text == other.id);
    let needed = settings.events.iter().filter(needs).map(Event::last_day);
    std::iter::once(event.last_day()).chain(needed)
}

/// The day on which the last need is met, where all are: every need is an event of the program with a last day.
pub fn day_earned(event: &Event, settings: &Settings) -> Date {
    days_earned(event, settings).max().unwrap_or(event.date)
}
