//! An unbacked figure agrees with a fact that its sentence names.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "figure-unbacked-match",
    level: Level::Note,
    settable: Settable::Yes,
    summary: "An unbacked figure agrees with a fact that its sentence names.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        let (Judgement::Agrees, None, Some(fact)) = (&statement.judgement, statement.backed, statement.fact)
        else {
            continue;
        };
        let message =
            format!("“{}” is what the fact “{}” says, but is not backed.", statement.words, fact.name);
        // words that leave out what the fact is per would be told as a link's
        let words = if statement.says_rate { &*statement.words } else { "…" };
        findings.push(
            at(&RULE, statement, message)
                .fact_says(print.quote_for(statement, fact))
                .mend(format!("Write “[{words}](fact:{})”.", fact.name)),
        );
    }
    findings
}
