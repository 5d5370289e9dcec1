//! What is due: certificates for who attended, passed and was not credited yet.

use super::awards::{self, RenamedAward};
use super::laid::Laid;
use super::needs::{Lack, day_earned};
use super::occasions::Likeness;
use super::standing::Standing;
use crate::credential::number::Number;
use crate::finding::Place;
use crate::people::same_name;
use crate::people::scope::Scope;
use crate::people::scoring::{Passed, Scores};
use crate::program::Program;
use crate::program::Settings;
use crate::program::register::{Given, Occasion, Register};
use crate::program::roster::Participant;
use crate::program::settings::Event;
use jiff::Span;
use jiff::civil::Date;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// A certificate that is due.
#[derive(Clone, Debug)]
pub struct Candidate<'p> {
    pub number: Number,
    pub occasion: Occasion,
    /// As it is to be printed.
    pub name: &'p str,
    pub companion: Option<Cow<'p, str>>,
    pub email: Option<&'p str>,
    /// Where its event was held, as it is to be printed.
    pub venue: Option<&'p str>,
    /// The row that it comes from.
    pub place: &'p Place,
}

/// A row, of the roster or of the hours, that looks like the person of a certificate with a corrected name. It is
/// held: nobody is credited twice for one thing.
#[derive(Clone, Debug)]
pub struct Corrected<'p> {
    pub place: &'p Place,
    pub name: &'p str,
    pub number: Number,
}

/// What is to be given, and what is held.
#[derive(Clone, Debug, Default)]
pub struct Due<'p> {
    pub people: Vec<Candidate<'p>>,
    pub corrected: Vec<Corrected<'p>>,
    /// Rows of which it cannot be told whether they are the person of a certificate whose own row is gone.
    pub unsure: Vec<Corrected<'p>>,
    /// Rows that may be the person of another row of their event, with the number of that row.
    pub doubled: Vec<(&'p Participant, usize)>,
    /// Events that look like an occasion of the register by another name, each with how many people wait for it to
    /// be said.
    pub renamed: Vec<(Likeness<'p>, usize)>,
    /// Certificates whose person stands in the rows of such an event by now.
    pub moved: Vec<Number>,
    /// Awards that look like one that was given by another name.
    pub renamed_awards: Vec<RenamedAward<'p>>,
    /// Rows that passed their event, and what its certificate needs besides.
    pub lacking: Vec<(&'p Participant, &'p Event, Vec<Lack<'p>>)>,
    /// Events that are not in the season, each with how many people wait for that to be put right.
    pub out_of_season: Vec<(&'p Event, usize)>,
}

impl<'p> Corrected<'p> {
    fn of(row: &'p Participant, number: &Number) -> Self {
        Self { place: &row.place, name: &row.name, number: number.clone() }
    }
}

impl Due<'_> {
    /// Takes out whose row is held for what stands in it, unless that person was asked for by name.
    pub fn take_held(&mut self, held: &BTreeSet<Place>) {
        self.people.retain(|candidate| !held.contains(candidate.place));
    }

    /// Takes out whose event or award is of a day that has not come yet.
    pub fn take_ahead(&mut self, today: Date) -> Vec<Place> {
        let ahead = self.people.extract_if(.., |candidate| candidate.occasion.date() > today);
        ahead.map(|candidate| candidate.place.clone()).collect()
    }
}

/// What the register lacks by now; a row that does not say whether it passed is asked of the answers.
pub fn due<'p>(program: &'p Program, scores: &Scores, register: &Register, scope: &Scope) -> Due<'p> {
    due_of(&Laid::of(program, register), scores, scope)
}

/// The same, where roster, hours and register are laid on one another already.
pub fn due_of<'p>(laid: &Laid<'p, '_>, scores: &Scores, scope: &Scope) -> Due<'p> {
    let passed = |row: &Participant| scores.passed(row) == Passed::Yes;
    let mut due = due_by(laid, scope, &passed);
    awards::add(&mut due, laid, scope);
    due
}

/// What the register lacks, of the event and the name that the scope asks for, in the order of the
/// roster. `passed` tells of a row that was attended whether it passed.
///
/// Who is asked for by name is credited also where the row looks like a corrected one: so a second
/// person of nearly the same name gets a certificate too.
pub(super) fn due_by<'p>(
    laid: &Laid<'p, '_>,
    scope: &Scope,
    passed: &dyn Fn(&Participant) -> bool,
) -> Due<'p> {
    let Laid { program, register, standings, needs, .. } = laid;
    let (program, register): (&'p Program, &Register) = (program, register);
    let settings = &program.content.settings;
    let mut due = Due::default();
    let mut taken = BTreeSet::new();
    let (mut renamed, mut out_of_season) = (BTreeMap::new(), BTreeMap::new());
    // Of events of one id the first counts.
    let events = settings.events.iter().rev();
    let events: HashMap<&str, (&Event, bool)> =
        events.map(|event| (event.id.as_str(), (event, settings.in_season(event.date)))).collect();
    for (row, identity, standing) in standings.identified() {
        let Some(&(event, in_season)) = events.get(row.event.as_str()) else { continue };
        let named = scope.participant.as_ref().map(|name| same_name(name, &row.name));
        let other_event = scope.event.as_ref().is_some_and(|event| *event != row.event);
        if !row.attended || !event.certified || named == Some(false) || other_event {
            continue;
        }
        let is_short = row.missed_days().next().is_some();
        if !(passed(row) || is_short && row.passed != Some(false)) {
            continue;
        }
        let lacks = needs.lacking(row, event, passed);
        if !lacks.is_empty() {
            if standing.credited().is_none() {
                due.lacking.push((row, event, lacks));
            }
            continue;
        }
        match standing {
            Standing::Credited(_) => {}
            _ if !in_season => *out_of_season.entry(event.id.as_str()).or_default() += 1,
            Standing::Corrects(number) if named.is_none() => {
                due.corrected.push(Corrected::of(row, number));
            }
            Standing::Unsure(number) if named.is_none() => {
                due.unsure.push(Corrected::of(row, number));
            }
            Standing::Doubled(other) if named.is_none() => due.doubled.push((row, other)),
            Standing::Renamed if named.is_none() => *renamed.entry(event.id.as_str()).or_default() += 1,
            Standing::New
            | Standing::Corrects(_)
            | Standing::Unsure(_)
            | Standing::Renamed
            | Standing::Doubled(_) => {
                let (event_id, name) = (event.id.clone(), event.name.clone());
                let date = day_earned(event, settings);
                let number = draw(program, register, &taken, identity.parts());
                taken.insert(number.clone());
                due.people.push(Candidate {
                    number,
                    occasion: Occasion::Event { id: event_id, name, date },
                    name: &row.name,
                    companion: standings.companion_of(row),
                    email: row.email.as_deref(),
                    venue: event.printed_venue(),
                    place: &row.place,
                });
            }
        }
    }
    let waiting = |like: &Likeness| renamed.get(like.event.id.as_str()).copied();
    let mut told = BTreeSet::new();
    // Of an event that is held whole for another reason too, all that wait are told once.
    let likenesses = standings.likenesses.iter().filter(|like| told.insert(like.event.id.as_str()));
    due.renamed = likenesses.filter_map(|like| Some((like.clone(), waiting(like)?))).collect();
    due.moved = standings.moved.iter().map(|number| (*number).clone()).collect();
    due.out_of_season = settings
        .events
        .iter()
        .filter_map(|event| Some((event, *out_of_season.get(event.id.as_str())?)))
        .collect();
    due
}

/// The last day on which a certificate holds, where the program lets it hold for some time only. Awards are for good.
pub(super) fn until(occasion: &Occasion, settings: &Settings) -> Option<Date> {
    let months = settings.certificate.valid_for?;
    match occasion {
        Occasion::Event { date, .. } => date.checked_add(Span::new().months(months)).ok(),
        Occasion::Award { .. } => None,
    }
}

/// The first draw that neither the register nor this run has.
pub(super) fn draw(
    program: &Program,
    register: &Register,
    taken: &BTreeSet<Number>,
    parts: [&str; 4],
) -> Number {
    let [occasion, name, email, companion] = parts;
    let settings = &program.content.settings;
    let parts = [settings.name.as_str(), &settings.season, occasion, name, email, companion];
    (0..)
        .map(|draw| Number::from_parts(&parts, draw))
        .find(|number| register.given(number).is_none() && !taken.contains(number))
        .expect("there are far more numbers than certificates")
}

impl Candidate<'_> {
    /// The words of the person's own that are printed.
    pub fn printed(&self) -> impl Iterator<Item = &str> {
        [Some(self.name), self.companion.as_deref()].into_iter().flatten()
    }

    /// As the register keeps it, not signed.
    pub fn given(&self, settings: &Settings, day: Date) -> Given {
        Given {
            number: self.number.clone(),
            occasion: self.occasion.clone(),
            season: settings.season.clone(),
            agency: Some(settings.agency.clone()),
            venue: self.venue.map(str::to_owned),
            until: until(&self.occasion, settings),
            title: None,
            program: None,
            name: self.name.to_owned(),
            companion: self.companion.as_deref().map(str::to_owned),
            email: self.email.map(str::to_owned),
            day,
            replaces: None,
            credential: None,
        }
    }
}
