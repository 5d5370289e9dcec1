//! Somebody is marked as having attended or passed an event that has not come yet.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::Program;
use crate::program::roster::Participant;
use jiff::civil::Date;

pub static RULE: Rule = Rule {
    name: "attendance-ahead",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The roster says that somebody attended or passed an event that has not happened yet.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    people.rows().filter_map(|row| attendance_ahead(row, people.program, people.today)).collect()
}

/// What is told of a row that is marked before the day of its event.
pub fn attendance_ahead(row: &Participant, program: &Program, today: Date) -> Option<Finding> {
    let marked = match (row.attended, row.passed) {
        (true, _) => "attended",
        (false, Some(true)) => "passed",
        (false, _) => return None,
    };
    let event = program.content.settings.events.iter().find(|event| event.id == row.event)?;
    // Of an event over several days, the last that is marked.
    let marked_days = row.days.iter().zip(event.days()).filter(|(came, _)| **came).map(|(_, day)| day);
    let date = marked_days.max().unwrap_or(event.date);
    if date <= today {
        return None;
    }
    let message = format!(
        "This row is marked “{marked}”, and its event is on {}, which has not come yet; nobody is credited before.",
        date
    );
    let mend =
        "Mark the people who came once the event is over; if it is over, correct its date in program.toml.";
    Some(Finding::of(&RULE, super::people::place_in(program, row, marked), message).mend(mend))
}
