//! An unbacked figure agrees with a fact that its sentence names.

use super::galley::Galley;
use super::judgement::Judgement;
use super::{Find, Rule};
use crate::finding::{Finding, Level};

pub const RULE: Rule = Rule {
    name: "figure-unbacked-match",
    level: Level::Note,
    summary: "An unbacked figure agrees with a fact that its sentence names.",
    find: Find::Print(find),
};

fn find(galley: &Galley) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &galley.statements {
        let (Judgement::Agrees, None, Some(fact)) = (&statement.judgement, statement.backed, statement.fact)
        else {
            continue;
        };
        let message =
            format!("“{}” is what the fact “{}” says, but is not backed.", statement.words, fact.name);
        findings.push(
            RULE.at(statement, message)
                .fact_says(galley.quote_for(statement, fact))
                .mend(format!("Write “[{}](fact:{})”.", statement.words, fact.name)),
        );
    }
    findings
}
