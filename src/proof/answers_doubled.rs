//! One person has two rows of answers for one event; the later one counts.

use super::Rule;
use super::galley::Galley;
use crate::finding::{Finding, Level};
use crate::people::scoring::Unplaced;
use crate::program::answers::AnswerRow;

pub const RULE: Rule = Rule {
    name: "answers-doubled",
    level: Level::Note,
    summary: "One person has two rows of answers for one event; the later one counts.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let program = galley.understood.program;
    let doubled = Unplaced::of(program).superseded;
    let finding = |(earlier, later): &(&AnswerRow, &AnswerRow)| {
        let line = program.sources.line_column(&later.place).line;
        RULE.finding(
            &earlier.place,
            format!(
                "The same person has answers for the same event in line {line}, which count instead of these."
            ),
        )
        .mend("Take out the row that is not to count.")
    };
    doubled.iter().map(finding).collect()
}
