//! A figure that no fact backs.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "figure-unbacked",
    level: Level::Note,
    settable: Settable::Yes,
    summary: "No fact backs a figure, and its sentence names no fact.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let unbacked = print.statements.iter().filter(|statement| statement.judgement == Judgement::Unbacked);
    unbacked
        .map(|statement| {
            at(&RULE, statement, format!("No fact backs “{}”.", statement.words)).mend(
                "Add a fact and link to it, or list the word beside it under [proofread] exempt in program.toml.",
            )
        })
        .collect()
}
