//! Awards of the service unit: whose hours are full, and who was given one already, by whatever name.
//!
//! An award is never given twice to one person: not where the award is called otherwise by now (`was` settles
//! that), and not where the person is written otherwise in the hours by now.

use super::due::{Candidate, Corrected, Due, draw};
use super::laid::Laid;
use crate::credential::number::Number;
use crate::people::scope::Scope;
use crate::people::tally::{Member, Reached, awards_given, same_person};
use crate::people::{Identity, plain_name, same_name};
use crate::program::Program;
use crate::program::register::{Given, Occasion, Register};
use crate::program::settings::Award;
use crate::spelling::alike::{Folded, are_near};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// An award of the program that looks like one that people were given by another name: their hours were full on
/// the same day. Nobody is given it until it is said which it is.
#[derive(Clone, Debug)]
pub struct RenamedAward<'p> {
    pub award: &'p Award,
    /// What it was called.
    pub was: String,
    /// How many people wait for that to be said.
    pub waiting: usize,
}

/// Adds the awards whose hours are full and that were never given, and those that are held; where an event is asked
/// for, none.
pub(super) fn add<'p>(due: &mut Due<'p>, laid: &Laid<'p, '_>, scope: &Scope) {
    if scope.event.is_some() {
        return;
    }
    let (program, register, members) = (laid.program, laid.register, laid.members());
    let known = Known::of(program, register, members);
    let mut taken: BTreeSet<Number> = due.people.iter().map(|other| other.number.clone()).collect();
    let mut renamed: BTreeMap<(usize, &str), usize> = BTreeMap::new();
    for member in members {
        let named = scope.participant.as_ref().map(|name| same_name(name, member.name));
        if named == Some(false) {
            continue;
        }
        for reached in &member.reached {
            let place = &member.entries[0].place;
            match known.standing(member, reached) {
                Standing::Given => {}
                Standing::Renamed(was) if named.is_none() => {
                    let at =
                        program.content.settings.awards.iter().position(|it| it.name == reached.award.name);
                    *renamed.entry((at.unwrap_or_default(), was)).or_default() += 1;
                }
                Standing::Corrects(number) if named.is_none() => {
                    due.corrected.push(Corrected { place, name: member.name, number: number.clone() });
                }
                Standing::New | Standing::Renamed(_) | Standing::Corrects(_) => {
                    let candidate = candidate(program, register, &taken, (member, reached));
                    taken.insert(candidate.number.clone());
                    due.people.push(candidate);
                }
            }
        }
    }
    let awards = &program.content.settings.awards;
    due.renamed_awards = renamed
        .into_iter()
        .map(|((at, was), waiting)| RenamedAward { award: &awards[at], was: was.to_owned(), waiting })
        .collect();
}

fn candidate<'p>(
    program: &'p Program,
    register: &Register,
    taken: &BTreeSet<Number>,
    (member, reached): (&Member<'p>, &Reached<'p>),
) -> Candidate<'p> {
    let occasion = Occasion::Award { name: reached.award.name.clone(), date: reached.on };
    let person = Identity::new(&occasion.key(), member.name, member.email, None);
    Candidate {
        number: draw(program, register, taken, person.parts()),
        occasion,
        name: member.name,
        companion: None,
        email: member.email,
        venue: None,
        place: &member.entries[0].place,
    }
}

/// What the register says of a person's award.
enum Standing<'r> {
    New,
    Given,
    /// The person was given an award that the program has no more, on the day on which this one was reached.
    Renamed(&'r str),
    /// Somebody who is not in the hours any more was given it, and this looks like that person.
    Corrects(&'r Number),
}

/// The awards that were ever given, withdrawn or not.
struct Known<'r> {
    awards: &'r [Award],
    by_name: HashMap<String, Vec<&'r Given>>,
    by_email: HashMap<String, Vec<&'r Given>>,
    /// Those whose holder is not in the hours any more.
    gone: Vec<(Folded, &'r Given)>,
}

impl<'r> Known<'r> {
    fn of(program: &'r Program, register: &'r Register, members: &[Member]) -> Self {
        let present: HashSet<String> = members.iter().map(|member| plain_name(member.name)).collect();
        let mut by_name: HashMap<String, Vec<&Given>> = HashMap::new();
        let mut by_email: HashMap<String, Vec<&Given>> = HashMap::new();
        let mut gone = Vec::new();
        for given in register.all_given().filter(|given| matches!(given.occasion, Occasion::Award { .. })) {
            by_name.entry(plain_name(&given.name)).or_default().push(given);
        }
        for given in awards_given(register) {
            let name = plain_name(&given.name);
            if present.contains(&name) {
                continue;
            }
            gone.push((Folded::of(&given.name), given));
            if let Some(email) = &given.email {
                by_email.entry(plain_name(email)).or_default().push(given);
            }
        }
        Self { awards: &program.content.settings.awards, by_name, by_email, gone }
    }

    fn standing(&self, member: &Member, reached: &Reached) -> Standing<'r> {
        let of_name = self.by_name.get(&plain_name(member.name)).map(Vec::as_slice).unwrap_or_default();
        let of_person: Vec<&'r Given> = of_name
            .iter()
            .copied()
            .filter(|given| same_person(&given.name, given.email.as_deref(), member.name, member.email))
            .collect();
        if of_person.iter().any(|given| reached.award.is_called(given.occasion.name())) {
            return Standing::Given;
        }
        let renamed =
            |given: &&&Given| self.is_no_more(given.occasion.name()) && given.occasion.date() == reached.on;
        if let Some(given) = of_person.iter().find(renamed) {
            return Standing::Renamed(given.occasion.name());
        }
        let may_be = |given: &&'r Given| self.may_be(given, reached.award, reached.on);
        let by_email = member.email.and_then(|email| self.by_email.get(&plain_name(email)));
        let by_email = by_email.into_iter().flatten().copied().find(may_be);
        let name = Folded::of(member.name);
        let by_name = || self.gone.iter().find(|(gone, given)| may_be(given) && are_near(gone, &name));
        match by_email.or_else(|| by_name().map(|(_, given)| *given)) {
            Some(given) => Standing::Corrects(&given.number),
            None => Standing::New,
        }
    }

    fn may_be(&self, given: &Given, award: &Award, on: Date) -> bool {
        let name = given.occasion.name();
        award.is_called(name) || self.is_no_more(name) && given.occasion.date() == on
    }

    /// Whether no award of the program is called so, or was.
    fn is_no_more(&self, name: &str) -> bool {
        !self.awards.iter().any(|award| award.is_called(name))
    }
}
