//! A backed figure is not what its fact rounds to.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "figure-drift",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A backed figure is not what its fact rounds to.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        let (Judgement::Off { expected }, Some(_), Some(fact)) =
            (&statement.judgement, statement.backed, statement.fact)
        else {
            continue;
        };
        let anew = statement.anew.as_ref().unwrap_or(expected);
        let message = format!("“{}” is not what the fact “{}” says.", statement.words, fact.name);
        findings.push(
            at(&RULE, statement, message)
                .fact_says(print.quote_for(statement, fact))
                .mend(format!("Make it “{anew}”, or correct the fact if its source has changed.")),
        );
    }
    findings
}
