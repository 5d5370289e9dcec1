//! A figure that no fact backs.

use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub const RULE: Rule = Rule {
    name: "figure-unbacked",
    level: Level::Note,
    summary: "No fact backs a figure, and none is named in its sentence.",
    find: Find::Print(find),
};

fn find(print: &PrintContext) -> Vec<Finding> {
    let unbacked = print.statements.iter().filter(|statement| statement.judgement == Judgement::Unbacked);
    unbacked
        .map(|statement| {
            RULE.at(statement, format!("No fact backs “{}”.", statement.words)).mend(
                "Add a fact and link to it, or list the word beside it under [proofread] exempt in program.toml.",
            )
        })
        .collect()
}
