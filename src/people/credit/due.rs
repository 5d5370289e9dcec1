//! What is due: certificates for who attended, passed and was not credited yet.

use super::standing::{Standing, Standings};
use crate::people::number::Number;
use crate::people::same_name;
use crate::people::scoring::{Passed, Scores};
use crate::pieces::Selection;
use crate::place::Place;
use crate::program::Program;
use crate::program::register::{Given, Occasion, Register};
use crate::program::roster::Participant;
use crate::understand::Understood;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// A certificate that is due.
#[derive(Clone, Debug)]
pub struct Candidate<'p> {
    pub number: Number,
    pub occasion: Occasion,
    /// As it is to be printed.
    pub name: &'p str,
    pub companion: Option<&'p str>,
    pub email: Option<&'p str>,
    /// The row that it comes from.
    pub place: &'p Place,
}

/// A row that looks like the person of a certificate with a corrected name. It is held: nobody is
/// credited twice for one workshop.
#[derive(Clone, Debug)]
pub struct Corrected<'p> {
    pub participant: &'p Participant,
    pub number: Number,
}

/// What is to be given, and what is held.
#[derive(Clone, Debug, Default)]
pub struct Due<'p> {
    pub people: Vec<Candidate<'p>>,
    pub corrected: Vec<Corrected<'p>>,
}

/// What the register lacks by now; a row that does not say whether it passed is asked of the answers.
pub fn due<'p>(understood: &Understood<'p>, register: &Register, selection: &Selection) -> Due<'p> {
    let scores = Scores::of(understood);
    due_by(understood.program, register, selection, &|row| scores.passed(row) == Passed::Yes)
}

/// What the register lacks, of the event and the name that the selection asks for, in the order of the
/// roster. `passed` tells of a row that was attended whether it passed.
///
/// Who is asked for by name is credited also where the row looks like a corrected one: so a second
/// person of nearly the same name gets a certificate too.
pub(super) fn due_by<'p>(
    program: &'p Program,
    register: &Register,
    selection: &Selection,
    passed: &dyn Fn(&Participant) -> bool,
) -> Due<'p> {
    let mut due = Due::default();
    let mut taken = BTreeSet::new();
    let standings = Standings::of(program, register);
    for (row, identity, standing) in standings.identified() {
        let Some(event) = program.settings.events.iter().find(|event| event.id == row.event) else {
            continue;
        };
        let named = selection.participant.as_ref().map(|name| same_name(name, &row.name));
        let other_event = selection.event.as_ref().is_some_and(|event| *event != row.event);
        if !row.attended || !passed(row) || named == Some(false) || other_event {
            continue;
        }
        match standing {
            Standing::Credited(_) => {}
            Standing::Corrects(number) if named.is_none() => {
                due.corrected.push(Corrected { participant: row, number: number.clone() });
            }
            Standing::New | Standing::Corrects(_) => {
                let (event_id, name, date) = (event.id.clone(), event.name.clone(), event.date);
                let number = draw(program, register, &taken, identity.parts());
                taken.insert(number.clone());
                due.people.push(Candidate {
                    number,
                    occasion: Occasion::Event { id: event_id, name, date },
                    name: &row.name,
                    companion: row.companion.as_deref(),
                    email: row.email.as_deref(),
                    place: &row.place,
                });
            }
        }
    }
    due
}

/// The first draw that neither the register nor this run has.
pub(super) fn draw(
    program: &Program,
    register: &Register,
    taken: &BTreeSet<Number>,
    parts: [&str; 4],
) -> Number {
    let [occasion, name, email, companion] = parts;
    let settings = &program.settings;
    let parts = [settings.name.as_str(), &settings.season, occasion, name, email, companion];
    (0..)
        .map(|draw| Number::from_parts(&parts, draw))
        .find(|number| register.given(number).is_none() && !taken.contains(number))
        .expect("there are far more numbers than certificates")
}

impl Candidate<'_> {
    /// The words of the person's own that are printed.
    pub fn printed(&self) -> impl Iterator<Item = &str> {
        [Some(self.name), self.companion].into_iter().flatten()
    }

    /// As the register keeps it, not signed.
    pub fn given(&self, season: &str, day: Date) -> Given {
        Given {
            number: self.number.clone(),
            occasion: self.occasion.clone(),
            season: season.to_owned(),
            name: self.name.to_owned(),
            companion: self.companion.map(str::to_owned),
            email: self.email.map(str::to_owned),
            day,
            replaces: None,
            credential: None,
        }
    }
}
