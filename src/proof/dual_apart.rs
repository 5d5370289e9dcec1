//! The two halves of a dual statement, "200 ft (60 m)", are not the same quantity.

use super::galley::Galley;
use super::judgement::Judgement;
use super::{Find, Rule};
use crate::finding::{Finding, Level};

pub const RULE: Rule = Rule {
    name: "dual-apart",
    level: Level::Error,
    summary: "The two halves of a dual statement are not the same quantity.",
    find: Find::Print(find),
};

fn find(galley: &Galley) -> Vec<Finding> {
    let apart = galley.statements.iter().filter(|statement| statement.judgement == Judgement::DualApart);
    apart
        .map(|statement| {
            let finding = RULE
                .at(statement, format!("“{}” says two different things in its two units.", statement.words))
                .mend("Correct the half that is wrong, rounded no finer than the other.");
            match statement.fact {
                Some(fact) => finding.fact_says(galley.quote_for(statement, fact)),
                None => finding,
            }
        })
        .collect()
}
