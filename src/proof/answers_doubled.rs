//! One person has two rows of answers for one event; the later one counts.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::answers::AnswerRow;

pub static RULE: Rule = Rule {
    name: "answers-doubled",
    level: Level::Note,
    settable: Settable::Yes,
    summary: "One person has two rows of answers for one event; the later one counts.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let finding = |(earlier, later): &(&AnswerRow, &AnswerRow)| {
        let row = people.program.sources.row(&later.place);
        Finding::of(
            &RULE,
            &earlier.place,
            format!(
                "The same person has answers for the same event in row {row}, which count instead of these."
            ),
        )
        .mend("Delete the row that should not count.")
    };
    people.scores.superseded.iter().map(finding).collect()
}
