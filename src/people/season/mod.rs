//! A season counted: who came, who completed, who came again, what the service unit gave, how the
//! questions were answered.
//!
//! Takes what was understood, and the answers as they were scored, and gives a [`Season`]: its
//! [`SeasonRecord`] of plain counts and the item statistics. [`shown`] makes of a record what may be printed,
//! for the agency or for everybody. How it is laid out is planned in [`crate::pieces::season_report`].
//!
//! **What is counted.** At an event each person counts once, however many rows there are; visits are the
//! sum over events, people are counted once for the season. Who completed attended and passed, by the
//! roster's word or by the answers. Who had
//! been before came to an earlier event of the season, or holds a certificate of an earlier one in the
//! register: nothing else of earlier seasons is kept that would tell. Events without a row on the roster
//! are not counted.

mod persons;
pub mod questions;
mod service;
pub mod shown;

use crate::people::scoring::{Passed, Scores};
use crate::program::Program;
use crate::program::register::Occasion;
use crate::program::roster::Participant;
use crate::program::season_record::{EventCounts, FORMAT, Named, People, RewardCount, SeasonRecord, Visits};
use crate::program::settings::{Event, GivenFor};
use crate::understand::Understood;
use persons::{Person, Persons};
use questions::QuestionReport;
use std::collections::{BTreeMap, BTreeSet};

/// What a season came to.
#[derive(Clone, Debug)]
pub struct Season {
    pub record: SeasonRecord,
    /// `None` where no sheet came back.
    pub questions: Option<QuestionReport>,
    /// Events of the program that the roster does not name.
    pub without_rows: Vec<String>,
}

/// Counts the season of a program; `None` where there is nothing to count yet.
pub fn count(understood: &Understood, scores: &Scores) -> Option<Season> {
    let program = understood.root;
    if program.people.roster.rows.is_empty() && program.people.hours.is_empty() {
        return None;
    }
    let questions = questions::report(understood, scores);
    let (events, people) = visits(program, scores);
    let service = service::count(program);
    let awards = service.as_ref().map_or(&[][..], |service| &service.awards);
    let record = SeasonRecord {
        format: FORMAT,
        season: program.content.settings.season.clone(),
        rewards: rewards(program, people.completed, awards),
        people: Some(people),
        questions: questions.as_ref().map(QuestionReport::counts),
        service,
        events,
    };
    let named = |event: &&Event| !program.people.roster.rows.iter().any(|row| row.event == event.id);
    let without_rows =
        program.content.settings.events.iter().filter(named).map(|event| event.name.clone()).collect();
    Some(Season { record, questions, without_rows })
}

/// What each person of one event did there.
#[derive(Clone, Copy, Default)]
struct Took {
    came: bool,
    completed: bool,
}

fn visits(program: &Program, scores: &Scores) -> (Vec<EventCounts>, People) {
    let persons = Persons::of(program);
    let of_row = |row: &Participant| persons.person(&row.name, row.email.as_deref());
    let known = known_before(program, &persons);
    let mut events: Vec<&Event> = program.content.settings.events.iter().collect();
    events.sort_by_key(|event| event.date);
    let mut came: BTreeMap<Person, u32> = BTreeMap::new();
    let mut completed: BTreeSet<Person> = BTreeSet::new();
    let mut counts = Vec::new();
    for event in events {
        let mut took: BTreeMap<Person, Took> = BTreeMap::new();
        for row in program.people.roster.rows.iter().filter(|row| row.event == event.id) {
            let person = took.entry(of_row(row)).or_default();
            person.came |= row.attended;
            person.completed |= row.attended && scores.passed(row) == Passed::Yes;
        }
        if took.is_empty() {
            continue;
        }
        let been = |person: &Person| came.contains_key(person) || known.contains(person);
        let visits = Visits {
            signed_up: number(took.len()),
            came: number(took.values().filter(|took| took.came).count()),
            completed: number(took.values().filter(|took| took.completed).count()),
            been_before: number(took.iter().filter(|(person, took)| took.came && been(person)).count()),
        };
        for (person, _) in took.iter().filter(|(_, took)| took.came) {
            *came.entry(person.clone()).or_default() += 1;
        }
        completed.extend(took.into_iter().filter(|(_, took)| took.completed).map(|(person, _)| person));
        counts.push(EventCounts { id: event.id.clone(), name: event.name.clone(), date: event.date, visits });
    }
    let repeat = came.iter().filter(|(person, times)| **times > 1 || known.contains(person)).count();
    let joining: BTreeSet<Person> =
        program.people.roster.rows.iter().filter(|row| row.joins).map(of_row).collect();
    let people = People {
        came: number(came.len()),
        completed: number(completed.len()),
        repeat: number(repeat),
        joining: number(joining.len()),
    };
    (counts, people)
}

/// Who holds a certificate of an earlier season's event.
fn known_before(program: &Program, persons: &Persons) -> BTreeSet<Person> {
    let given = program.people.register.valid().filter(|given| {
        given.season != program.content.settings.season && matches!(given.occasion, Occasion::Event { .. })
    });
    given.map(|given| persons.person(&given.name, given.email.as_deref())).collect()
}

/// What was earned: a reward of completion once by each person who completed, an award's with the award.
fn rewards(program: &Program, completed: u32, awards: &[Named]) -> Vec<RewardCount> {
    let of_completion =
        program.content.settings.rewards.iter().filter(|reward| reward.given == GivenFor::Completion);
    let mut rewards: Vec<RewardCount> = of_completion
        .map(|reward| RewardCount {
            name: reward.name.clone(),
            count: completed,
            completion: true,
            awards: Vec::new(),
        })
        .collect();
    for (award, reached) in program.content.settings.awards.iter().zip(awards) {
        let Some(name) = award.reward.as_ref().map(|reward| &reward.text) else { continue };
        let at = rewards.iter().position(|reward| reward.name == *name).unwrap_or_else(|| {
            rewards.push(RewardCount { name: name.clone(), count: 0, completion: false, awards: Vec::new() });
            rewards.len() - 1
        });
        rewards[at].count += reached.count;
        rewards[at].awards.push(award.name.clone());
    }
    rewards
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
