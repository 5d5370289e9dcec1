//! One person has two rows of answers for one event; the later one counts.

use super::people::PeopleContext;
use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::program::answers::AnswerRow;

pub const RULE: Rule = Rule {
    name: "answers-doubled",
    level: Level::Note,
    summary: "One person has two rows of answers for one event; the later one counts.",
    find: Find::People(find),
};

fn find(people: &PeopleContext) -> Vec<Finding> {
    let finding = |(earlier, later): &(&AnswerRow, &AnswerRow)| {
        let line = people.program.sources.line_column(&later.place).line;
        RULE.finding(
            &earlier.place,
            format!(
                "The same person has answers for the same event in line {line}, which count instead of these."
            ),
        )
        .mend("Take out the row that is not to count.")
    };
    people.scores.superseded.iter().map(finding).collect()
}
