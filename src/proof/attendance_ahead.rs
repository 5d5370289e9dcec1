//! Somebody is marked as having attended or passed an event that has not come yet.

use super::people::PeopleContext;
use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::program::Program;
use crate::program::roster::Participant;
use jiff::civil::Date;

pub const RULE: Rule = Rule {
    name: "attendance-ahead",
    level: Level::Warning,
    summary: "Somebody is marked as having attended or passed an event that has not come yet.",
    find: Find::People(find),
};

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
    if event.date <= today {
        return None;
    }
    let message = format!(
        "This row is marked “{marked}”, and its event is on {}, which has not come yet; nobody is credited before.",
        event.date
    );
    let mend = "Mark who came once the event is over; if it is over, correct its date in program.toml.";
    Some(RULE.finding(&super::people::place_in(program, row, marked), message).mend(mend))
}
