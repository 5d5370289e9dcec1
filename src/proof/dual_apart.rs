//! The two halves of a dual statement, "200 ft (60 m)", are not the same quantity.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "dual-apart",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "The two halves of a dual statement are not the same quantity.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let apart = print.statements.iter().filter(|statement| statement.judgement == Judgement::DualApart);
    apart
        .map(|statement| {
            let finding = at(
                &RULE,
                statement,
                format!("“{}” says two different things in its two units.", statement.words),
            )
            .mend("Correct the half that is wrong, rounded no finer than the other.");
            match statement.fact {
                Some(fact) => finding.fact_says(print.quote_for(statement, fact)),
                None => finding,
            }
        })
        .collect()
}
