//! What certificates were given for, laid on the events of the program: which event of the program is the occasion
//! that the register knows, whatever it was called then.
//!
//! An occasion is known by its season and its event's id. It is an event of the program where both are the same;
//! where the id and the day are, whatever the season is called by now; and where the event says that it `was` of
//! that id. An occasion that is no event of the program, and shares its day or most of its people with one that is
//! new, may be the same under another name: that is asked before anybody is credited ([`Likeness`]).

use super::needs::days_earned;
use crate::people::plain_name;
use crate::program::Program;
use crate::program::register::{Given, Occasion, Register};
use crate::program::roster::Participant;
use crate::program::settings::Event;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// An occasion as the register calls it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Label<'r> {
    pub season: &'r str,
    pub id: &'r str,
}

impl<'r> Label<'r> {
    pub fn of(given: &'r Given) -> Option<Self> {
        match &given.occasion {
            Occasion::Event { id, .. } => Some(Self { season: &given.season, id }),
            Occasion::Award { .. } => None,
        }
    }
}

/// An event of the program that looks like an occasion of the register by another name. Nobody is credited for it
/// until it is said which it is.
#[derive(Clone, Debug)]
pub struct Likeness<'p> {
    pub event: &'p Event,
    pub season: String,
    pub id: String,
    pub date: Date,
    /// How many rows without a certificate name somebody who was given one then.
    pub shared: usize,
    /// Whether that one is still an event of the program, so that this may be a part of it.
    pub stands: bool,
}

/// Which event of the program each occasion of the register is.
pub(super) struct Occasions<'p, 'r> {
    events: &'p [Event],
    season: &'p str,
    event_of: HashMap<Label<'r>, usize>,
    /// Occasions that are no event of the program.
    others: Vec<Other<'r>>,
}

struct Other<'r> {
    label: Label<'r>,
    name: &'r str,
    date: Date,
    people: HashSet<String>,
}

impl<'p, 'r> Occasions<'p, 'r> {
    pub fn of(program: &'p Program, register: &'r Register) -> Self {
        let settings = &program.content.settings;
        let mut known: Vec<Label> = Vec::new();
        let mut days: HashMap<Label, BTreeSet<Date>> = HashMap::new();
        for given in register.all_given() {
            let Some(label) = Label::of(given) else { continue };
            let days = days.entry(label).or_insert_with(|| {
                known.push(label);
                BTreeSet::new()
            });
            days.insert(given.occasion.date());
        }
        let mut event_of: HashMap<Label, usize> = HashMap::new();
        for label in &known {
            let is_it = |event: &Event| {
                let is_on = || days_earned(event, settings).any(|day| days[label].contains(&day));
                event.id == label.id && (label.season == settings.season || is_on())
            };
            if let Some(at) = settings.events.iter().position(is_it) {
                event_of.entry(*label).or_insert(at);
            }
        }
        // After those that still stand by that name: one that was another is a part of it then.
        for (at, event) in settings.events.iter().enumerate() {
            for was in &event.was {
                // Of several seasons that had an event of this id, the one that is meant is this or else the last.
                let of_id = || known.iter().filter(|label| label.id == was.text);
                let meant =
                    of_id().find(|label| label.season == settings.season).or_else(|| of_id().next_back());
                if let Some(label) = meant {
                    event_of.entry(*label).or_insert(at);
                }
            }
        }
        let (events, season) = (&settings.events, &settings.season);
        let mut this = Self { events, season, event_of, others: Vec::new() };
        this.others = this.gather(register);
        this
    }

    fn gather(&self, register: &'r Register) -> Vec<Other<'r>> {
        let mut others: BTreeMap<Label, Other> = BTreeMap::new();
        for given in register.not_replaced() {
            let Some(label) = Label::of(given).filter(|label| !self.event_of.contains_key(label)) else {
                continue;
            };
            let (name, date) = (given.occasion.name(), given.occasion.date());
            let other =
                others.entry(label).or_insert_with(|| Other { label, name, date, people: HashSet::new() });
            other.people.extend(signs(&given.name, given.email.as_deref()));
        }
        others.into_values().collect()
    }

    /// The event of the program that a certificate was given for.
    pub fn event_of(&self, given: &'r Given) -> Option<&'p Event> {
        Some(&self.events[*self.event_of.get(&Label::of(given)?)?])
    }

    /// The events that look like an occasion of the register by another name. `new` are the rows of who attended
    /// and has no certificate.
    pub fn likenesses<'a>(&self, new: impl Iterator<Item = &'a Participant>) -> Vec<Likeness<'p>> {
        let mut known: HashMap<&str, Vec<usize>> = HashMap::new();
        for (at, other) in self.others.iter().enumerate() {
            other.people.iter().for_each(|sign| known.entry(sign).or_default().push(at));
        }
        if self.others.is_empty() {
            return Vec::new();
        }
        let mut rows: BTreeMap<&str, usize> = BTreeMap::new();
        let mut shared: BTreeMap<(&str, usize), usize> = BTreeMap::new();
        for row in new {
            *rows.entry(&row.event).or_default() += 1;
            let signs = signs(&row.name, row.email.as_deref());
            let others: BTreeSet<usize> =
                signs.iter().filter_map(|sign| known.get(sign.as_str())).flatten().copied().collect();
            others.into_iter().for_each(|at| *shared.entry((row.event.as_str(), at)).or_default() += 1);
        }
        let mut found = Vec::new();
        for event in self.events.iter().filter(|event| !event.again) {
            let of_event = self.others.iter().enumerate().filter_map(|(at, other)| {
                let rows = *rows.get(event.id.as_str())?;
                let shared = shared.get(&(event.id.as_str(), at)).copied().unwrap_or(0);
                other.is_like(event, shared, rows, self.season).then_some((shared, other))
            });
            if let Some((shared, other)) = of_event.max_by_key(|(shared, other)| (*shared, other.label)) {
                let Label { season, id } = other.label;
                let (season, id) = (season.to_owned(), id.to_owned());
                found.push(Likeness { event, season, id, date: other.date, shared, stands: false });
            }
        }
        found
    }
}

impl Other<'_> {
    /// Whether an event with so many rows that have no certificate, so many of which name people of this occasion,
    /// may be this occasion: one person may come to two workshops, on one day or year after year, and hardly ever
    /// half of all. What is left of a season on one day is asked about even where nobody seems the same, for names
    /// and addresses are mended too.
    fn is_like(&self, event: &Event, shared: usize, rows: usize, season: &str) -> bool {
        let same_name = self.label.id == event.id || plain_name(self.name) == plain_name(&event.name);
        let most = shared * 2 >= rows && (shared > 1 || same_name);
        let same_day = event.days().contains(&self.date);
        same_day && (shared > 0 || self.label.season == season) || most
    }
}

/// What a person is known by across occasions: the name, and the e-mail address.
fn signs(name: &str, email: Option<&str>) -> Vec<String> {
    std::iter::once(plain_name(name)).chain(email.map(plain_name)).filter(|sign| !sign.is_empty()).collect()
}
