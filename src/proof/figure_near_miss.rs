//! An unbacked figure is named like a fact and has its unit, but another value.

use super::galley::Galley;
use super::judgement::Judgement;
use super::{Find, Rule};
use crate::finding::{Finding, Level};

pub const RULE: Rule = Rule {
    name: "figure-near-miss",
    level: Level::Warning,
    summary: "An unbacked figure is named like a fact, but has another value.",
    find: Find::Print(find),
};

fn find(galley: &Galley) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &galley.statements {
        let (Judgement::Off { expected }, None, Some(fact)) =
            (&statement.judgement, statement.backed, statement.fact)
        else {
            continue;
        };
        let anew = statement.anew.as_ref().unwrap_or(expected);
        let message = format!(
            "“{}” stands in a sentence that names the fact “{}”, which has another value.",
            statement.words, fact.name
        );
        let mend = if statement.can_be_backed {
            format!(
                "If this fact is meant, write “[{anew}](fact:{})”; if not, back the figure by its own fact.",
                fact.name
            )
        } else {
            format!(
                "If this fact is meant, write “{anew}”, without a link; if not, leave the figure out of the picture's words."
            )
        };
        findings.push(RULE.at(statement, message).fact_says(galley.quote_for(statement, fact)).mend(mend));
    }
    findings
}
