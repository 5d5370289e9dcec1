//! Hours of service added up: who has how many, who has reached which award and when, and who is near.
//!
//! Takes a [`Program`] and gives its [`Member`]s by reference, by name. Sums are exact. Hours of every
//! season count towards awards; those of the season are summed beside them. Who was given an award
//! stands in the certificate register. Nothing is read, printed or written here.

mod persons;

use crate::people::plain_name;
use crate::program::Program;
use crate::program::hours::Service;
use crate::program::register::{Given, Occasion, Register};
use crate::program::roster::Participant;
use crate::program::settings::{Award, NEAR};
use crate::quantity::{Exact, Half, plain, round_to};
use jiff::civil::Date;
use num_traits::Zero;
use std::collections::HashMap;

pub use persons::Persons;
pub(crate) use persons::{in_order, same as same_person};

/// All hours of a program.
#[derive(Clone, Debug)]
pub struct Tally<'p> {
    /// Who has hours, by name.
    pub members: Vec<Member<'p>>,
    pub hours: Exact,
    /// Of the season alone.
    pub season_hours: Exact,
    /// The awards that the register says were given, in its order; also to people who have no hours here.
    pub given: Vec<&'p Given>,
}

/// A person who has hours.
#[derive(Clone, Debug)]
pub struct Member<'p> {
    /// As the first of the entries has it.
    pub name: &'p str,
    pub email: Option<&'p str>,
    /// Of the same person, in the order of the file; none where nobody of the roster is meant.
    pub roster: Vec<&'p Participant>,
    /// The earliest first.
    pub entries: Vec<&'p Service>,
    pub hours: Exact,
    pub season_hours: Exact,
    /// The awards whose hours are full, the smallest first.
    pub reached: Vec<Reached<'p>>,
    /// The next award whose hours are not full.
    pub next: Option<Next<'p>>,
}

/// An award whose hours a member has.
#[derive(Clone, Debug)]
pub struct Reached<'p> {
    pub award: &'p Award,
    /// The day on which its hours were full.
    pub on: Date,
    /// Its line in the register, where it was given already.
    pub given: Option<&'p Given>,
}

/// An award that a member is on the way to.
#[derive(Clone, Debug)]
pub struct Next<'p> {
    pub award: &'p Award,
    pub missing: Exact,
    /// Whether so few hours are missing that the program calls it near.
    pub near: bool,
}

impl Member<'_> {
    /// The awards that are to be given.
    pub fn due(&self) -> impl Iterator<Item = &Reached<'_>> {
        self.reached.iter().filter(|reached| reached.given.is_none())
    }

    /// The size that was asked for last.
    pub fn size(&self) -> Option<&str> {
        self.roster.iter().rev().find_map(|row| row.size.as_deref())
    }

    pub fn companion(&self) -> Option<&str> {
        self.roster.iter().rev().find_map(|row| row.companion.as_deref())
    }
}

/// Adds up the hours of a program.
pub fn tally(program: &Program) -> Tally<'_> {
    let mut awards: Vec<&Award> = program.content.settings.awards.iter().collect();
    awards.sort_by_key(|award| award.hours);
    let persons = Persons::of(program);
    let mut given: HashMap<String, Vec<&Given>> = HashMap::new();
    for award in awards_given(&program.people.register) {
        given.entry(plain_name(&award.name)).or_default().push(award);
    }
    let members: Vec<Member> =
        persons.iter().map(|entries| member(program, &persons, (&awards, &given), entries)).collect();
    Tally {
        hours: members.iter().map(|member| &member.hours).sum(),
        season_hours: members.iter().map(|member| &member.season_hours).sum(),
        given: awards_given(&program.people.register).collect(),
        members,
    }
}

/// One that was withdrawn was given all the same: nobody gets it again by itself.
pub(crate) fn awards_given(register: &Register) -> impl Iterator<Item = &Given> {
    register.not_replaced().filter(|given| matches!(given.occasion, Occasion::Award { .. }))
}

fn member<'p>(
    program: &'p Program,
    persons: &Persons<'p>,
    (awards, given): (&[&'p Award], &HashMap<String, Vec<&'p Given>>),
    entries: &[&'p Service],
) -> Member<'p> {
    let mut entries = entries.to_vec();
    let (name, email) = (entries[0].name.as_str(), persons.email_of(entries[0]));
    entries.sort_by_key(|entry| entry.date);
    let (from, until) = program.content.settings.season_days();
    let sum = |of_season: bool| {
        let counts = |entry: &&&Service| !of_season || (from..=until).contains(&entry.date);
        entries.iter().filter(counts).map(|entry| &entry.hours).sum::<Exact>()
    };
    let hours = sum(false);
    let of_name = given.get(&plain_name(name)).map(Vec::as_slice).unwrap_or_default();
    let own: Vec<&Given> = of_name
        .iter()
        .copied()
        .filter(|given| persons::same(&given.name, given.email.as_deref(), name, email))
        .collect();
    let given = |award: &Award| own.iter().find(|given| award.is_called(given.occasion.name())).copied();
    let reached =
        |award: &&'p Award| Some(Reached { award, on: full_on(&entries, award)?, given: given(award) });
    let next = awards.iter().find(|award| hours < whole(award.hours) && given(award).is_none());
    Member {
        name,
        email,
        roster: persons.on_roster(name, email),
        season_hours: sum(true),
        reached: awards.iter().filter_map(reached).collect(),
        next: next.map(|award| next_award(program, award, &hours)),
        hours,
        entries,
    }
}

fn whole(hours: u32) -> Exact {
    Exact::from_integer(hours.into())
}

/// The day on which the hours of an award were full.
fn full_on(entries: &[&Service], award: &Award) -> Option<Date> {
    let mut sum = Exact::zero();
    entries.iter().find_map(|entry| {
        sum += &entry.hours;
        (sum >= whole(award.hours)).then_some(entry.date)
    })
}

fn next_award<'p>(program: &Program, award: &'p Award, hours: &Exact) -> Next<'p> {
    let missing = whole(award.hours) - hours;
    let near = program.content.settings.hours.near.unwrap_or(NEAR).of(&whole(award.hours));
    Next { award, near: missing <= near, missing }
}

/// Hours parted into whole hours and minutes, both in digits; of a fraction of a minute two decimals are
/// kept.
pub fn parted(hours: &Exact) -> (String, String) {
    let full = hours.floor();
    let minutes = (hours - &full) * whole(60);
    let minutes = round_to(&minutes, &Exact::new(1.into(), 100.into()), Half::Even);
    if minutes >= whole(60) {
        (plain(&(full + whole(1))), "0".to_owned())
    } else {
        (plain(&full), plain(&minutes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_parted_into_hours_and_minutes() {
        for ((n, d), expected) in [
            ((5, 2), ("2", "30")),
            ((3, 1), ("3", "0")),
            ((1, 3), ("0", "20")),
            ((233, 100), ("2", "19.8")),
            ((1, 3600), ("0", "0.02")),
            ((3_599_999, 3_600_000), ("1", "0")),
        ] {
            let (hours, minutes) = parted(&Exact::new(n.into(), d.into()));
            assert_eq!((&*hours, &*minutes), expected);
        }
    }
}
