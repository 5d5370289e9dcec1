//! Nothing says who passed an event: neither a column of the roster nor any answers.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::scoring::Passed;
use crate::program::roster::Field;
use std::collections::BTreeMap;

pub static RULE: Rule = Rule {
    name: "passed-unsaid",
    level: Level::Note,
    settable: Settable::Yes,
    summary: "Neither the roster nor any answers say who passed an event, so nobody is credited for it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let program = people.program;
    let roster = &program.people.roster;
    let Some(headings) = roster.table.as_ref().and_then(|table| table.headings()) else { return Vec::new() };
    // Events of which nothing is said of anybody; where something is said of some, the others did not answer.
    let mut unsaid: BTreeMap<&str, Option<usize>> = BTreeMap::new();
    for row in people.rows().filter(|row| row.attended && row.missed_days().next().is_none()) {
        let count = unsaid.entry(&row.event).or_insert(Some(0));
        *count = match people.scores.passed(row) {
            Passed::Unsaid => count.map(|count| count + 1),
            _ => None,
        };
    }
    let events = &program.content.settings.events;
    let is_over = |id: &str| {
        events.iter().any(|event| event.id == id && event.last_day() <= people.today && event.certified)
    };
    let waiting: usize = unsaid.iter().filter(|(id, _)| is_over(id)).filter_map(|(_, count)| *count).sum();
    if waiting == 0 {
        return Vec::new();
    }
    let has_column = roster.columns.iter().any(|column| column.field() == Some(Field::Passed));
    let has_questions = !program.content.questions.list.is_empty();
    let lacks = match (has_column, has_questions) {
        (false, false) => "The roster has no column “passed”, and the program has no questions",
        (false, true) => "The roster has no column “passed”, and there are no answers from these people",
        (true, _) => "The column “passed” is empty for everybody at their event, and no answers are there",
    };
    let of = match waiting {
        1 => "the one who attended is not".to_owned(),
        count => format!("none of the {count} who attended is"),
    };
    let message = format!("{lacks}, so {of} credited.");
    let mend = match has_column {
        true => "Fill in the column “passed” with yes or no, or hand in the answers as people/answers.csv.",
        false => {
            "Add a column “passed” with yes or no, or name the one that says it: passed = \"…\" under [roster.headings] in program.toml. Where everybody who came is to get a certificate, name the column of attendance."
        }
    };
    vec![Finding::of(&RULE, headings.place(), message).mend(mend)]
}
