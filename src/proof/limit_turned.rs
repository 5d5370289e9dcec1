//! A figure binds the other way than its fact: "at least" for "at most".

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "limit-turned",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A figure binds the opposite way from its fact: “at least” for “at most”.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        let (Judgement::LimitTurned, Some(fact)) = (&statement.judgement, statement.fact) else { continue };
        let message = format!("“{}” reverses the limit of the fact “{}”.", statement.words, fact.name);
        let mend = match &statement.anew {
            Some(anew) => format!("Make it “{anew}”, and change the sentence around it to match."),
            None => "Word the limit as the fact does, in the figure and in the sentence around it.".into(),
        };
        let finding = at(&RULE, statement, message).fact_says(print.quote_for(statement, fact)).mend(mend);
        let level = if statement.backed.is_some() { RULE.level } else { Level::Warning };
        findings.push(finding.weighs(level));
    }
    findings
}
