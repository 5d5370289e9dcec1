//! Nothing says who passed: the roster has no column for it, and the program has no questions.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::roster::Field;

pub static RULE: Rule = Rule {
    name: "passed-unsaid",
    level: Level::Note,
    settable: Settable::Yes,
    summary: "Nothing says who passed, so nobody is credited: the roster has no such column, and there are no questions.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let program = people.program;
    let roster = &program.people.roster;
    let has_column = roster.columns.iter().any(|column| column.field() == Some(Field::Passed));
    let has_questions = !program.content.questions.list.is_empty();
    let Some(headings) = roster.table.as_ref().and_then(|table| table.headings()) else { return Vec::new() };
    if has_column || has_questions {
        return Vec::new();
    }
    let attended = people.rows().filter(|row| row.attended).count();
    if attended == 0 {
        return Vec::new();
    }
    let message = format!(
        "The roster has no column “passed”, and the program has no questions, so none of the {attended} who attended is credited."
    );
    let mend = "Add a column “passed” with yes or no, or name the one that says it: passed = \"…\" under [roster.headings] in program.toml. Where everybody who came is to get a certificate, name the column of attendance.";
    vec![Finding::of(&RULE, headings.place(), message).mend(mend)]
}
