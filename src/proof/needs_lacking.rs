//! Somebody passed an event, and its certificate needs more: another day of it, or another event.
//!
//! Nothing here repeats a name: findings may leave the machine that holds the roster.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::credit::needs::Lack;
use crate::people::scoring::Passed;
use crate::program::Program;
use crate::program::roster::Participant;
use crate::program::settings::Event;

pub static RULE: Rule = Rule {
    name: "needs-lacking",
    level: Level::Note,
    settable: Settable::Yes,
    summary: "Somebody came to an event whose certificate needs more: another of its days, or another event.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let program = people.program;
    let events = &program.content.settings.events;
    if events.iter().all(|event| event.needs.is_empty() && event.later_days.is_empty()) {
        return Vec::new();
    }
    let needs = people.laid().needs();
    let passed = |row: &Participant| people.scores.passed(row) == Passed::Yes;
    let of_row = |row: &Participant| {
        let event = events.iter().find(|event| event.id == row.event)?;
        let is_short = row.missed_days().next().is_some();
        let counts =
            row.attended && event.certified && (passed(row) || is_short && row.passed != Some(false));
        // While its days last, nobody lacks anything yet.
        let is_over = event.last_day() <= people.today;
        let lacks = if counts && is_over { needs.lacking(row, event, &passed) } else { Vec::new() };
        (!lacks.is_empty()).then(|| needs_lacking(row, event, &lacks, program))
    };
    people.rows().filter_map(of_row).collect()
}

/// What is told of somebody who lacks something.
pub fn needs_lacking(row: &Participant, event: &Event, lacks: &[Lack], program: &Program) -> Finding {
    let told: Vec<String> = lacks
        .iter()
        .map(|lack| match lack {
            Lack::Day(at) => format!("day {} ({})", at + 1, event.days()[*at]),
            Lack::Absent(other) => format!("“{}”, to which the person did not come", other.id),
            Lack::DayOf(other) => format!("“{}”, of which the person missed a day", other.id),
            Lack::Withdrawn(other) => format!("“{}”, whose certificate was withdrawn", other.id),
            Lack::Unpassed(other) => format!("“{}”, of which nothing says that the person passed", other.id),
        })
        .collect();
    let message = format!(
        "The certificate of “{}” is not given to the person of row {} yet. What is lacking: {}.",
        event.id,
        row.row,
        told.join("; ")
    );
    let mend = "If that is right, you need not do anything: the certificate is given once the roster says that everything is done.";
    Finding::of(&RULE, super::people::place_in(program, row, "attended"), message)
        .says(&*row.event)
        .mend(mend)
}
