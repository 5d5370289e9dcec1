//! An unbacked figure agrees with a fact that its sentence names.

use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub const RULE: Rule = Rule {
    name: "figure-unbacked-match",
    level: Level::Note,
    summary: "An unbacked figure agrees with a fact that its sentence names.",
    find: Find::Print(find),
};

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        let (Judgement::Agrees, None, Some(fact)) = (&statement.judgement, statement.backed, statement.fact)
        else {
            continue;
        };
        let message =
            format!("“{}” is what the fact “{}” says, but is not backed.", statement.words, fact.name);
        findings.push(
            RULE.at(statement, message)
                .fact_says(print.quote_for(statement, fact))
                .mend(format!("Write “[{}](fact:{})”.", statement.words, fact.name)),
        );
    }
    findings
}
