//! A figure shows more than its fact is known to.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "figure-too-fine",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A figure is stated more finely than its fact is known.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        let (Judgement::TooFine { expected }, Some(fact)) = (&statement.judgement, statement.fact) else {
            continue;
        };
        let anew = statement.anew.as_ref().unwrap_or(expected);
        let message = format!("“{}” is more exact than the fact “{}” is known.", statement.words, fact.name);
        let finding = at(&RULE, statement, message)
            .fact_says(print.quote_for(statement, fact))
            .mend(format!("Round it: “{anew}”."));
        let level = if statement.backed.is_some() { RULE.level } else { Level::Warning };
        findings.push(finding.weighs(level));
    }
    findings
}
