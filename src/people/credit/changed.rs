//! Certificates that say otherwise than the program by now: the event's name, date or place, or the agency, was
//! changed after they were given. What is printed is what the register says, until they are replaced.

use super::due::until;
use super::needs::days_earned;
use super::occasions::Occasions;
use super::record;
use crate::program::Program;
use crate::program::register::{Given, Occasion, Register};
use crate::program::settings::{Event, Settings};

/// What of a certificate the program says otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    Name,
    Date,
    Place,
    Agency,
    /// What the certificate is called.
    Title,
    /// The program that gives it.
    Program,
    /// Until when it holds.
    Until,
}

impl What {
    pub fn word(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Date => "date",
            Self::Place => "place",
            Self::Agency => "agency",
            Self::Title => "title",
            Self::Program => "program",
            Self::Until => "last day",
        }
    }
}

/// An event of which certificates say otherwise.
#[derive(Clone, Debug)]
pub struct Changed<'p> {
    pub event: &'p Event,
    /// What is otherwise, of any of them.
    pub what: Vec<What>,
    /// The certificates that count and say it.
    pub given: Vec<&'p Given>,
}

/// What a certificate says otherwise than the program.
fn differs(given: &Given, event: &Event, settings: &Settings) -> Vec<What> {
    let mut what = Vec::new();
    if given.occasion.name() != event.name {
        what.push(What::Name);
    }
    if days_earned(event, settings).all(|day| day != given.occasion.date()) {
        what.push(What::Date);
    }
    // A line of an older form does not say where it was.
    if given.agency.is_some() && given.venue.as_deref() != event.printed_venue() {
        what.push(What::Place);
    }
    if given.agency().is_some_and(|agency| agency != settings.agency) {
        what.push(What::Agency);
    }
    if given.until != until(&given.occasion, settings) {
        what.push(What::Until);
    }
    if record::title_of(given).is_some_and(|it| it != record::title(settings)) {
        what.push(What::Title);
    }
    if record::program_of(given).is_some_and(|it| it != settings.name) {
        what.push(What::Program);
    }
    what
}

/// The events of which certificates that count say otherwise, in the order of the program.
pub fn changed<'p>(program: &'p Program, register: &'p Register) -> Vec<Changed<'p>> {
    let settings = &program.content.settings;
    let occasions = Occasions::of(program, register);
    let mut found: Vec<Changed> = Vec::new();
    let of_event = register.valid().filter_map(|given| Some((given, occasions.event_of(given)?)));
    for (given, event) in of_event {
        let what = differs(given, event, settings);
        if what.is_empty() {
            continue;
        }
        match found.iter_mut().find(|changed| changed.event.id == event.id) {
            Some(changed) => {
                changed.what.extend(what);
                changed.given.push(given);
            }
            None => found.push(Changed { event, what, given: vec![given] }),
        }
    }
    for changed in &mut found {
        changed.what.sort_unstable();
        changed.what.dedup();
    }
    found.sort_by_key(|changed| settings.events.iter().position(|event| event.id == changed.event.id));
    found
}

/// A certificate as it is given anew with the program's words, not signed and with no number of its own yet.
pub(super) fn renewed(given: &Given, event: &Event, settings: &Settings) -> Given {
    let (id, name, then) = (event.id.clone(), event.name.clone(), given.occasion.date());
    let stands = days_earned(event, settings).any(|day| day == then);
    let date = if stands { then } else { event.last_day() };
    let occasion = Occasion::Event { id, name, date };
    Given {
        until: until(&occasion, settings),
        occasion,
        season: settings.season.clone(),
        agency: Some(settings.agency.clone()),
        venue: event.printed_venue().map(str::to_owned),
        credential: None,
        ..given.clone()
    }
}
