//! Words within a backed link say more than its fact.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "words-unplaced",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "The words of a backed link, or those right beside it, say more than its fact.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        if let (Judgement::Changed { words }, Some(_), Some(fact)) =
            (&statement.judgement, statement.backed, statement.fact)
        {
            let message = format!(
                "“{words}” beside “{}” changes the figure, so it no longer says what the fact “{}” says.",
                statement.words, fact.name
            );
            findings.push(at(&RULE, statement, message).fact_says(print.quote_for(statement, fact)).mend(
                "Take it away from the link, or state the figure that is meant and back it by a fact of its own.",
            ));
            continue;
        }
        let (Judgement::Beyond { words }, Some(_), Some(fact)) =
            (&statement.judgement, statement.backed, statement.fact)
        else {
            continue;
        };
        let message = format!(
            "“{words}” in “{}” says something that the fact “{}” does not.",
            statement.words, fact.name
        );
        findings.push(at(&RULE, statement, message).fact_says(print.quote_for(statement, fact)).mend(
            "Move these words out of the link, or list them under the fact's “called” if they name it; if they are a unit, packstring does not know it.",
        ));
    }
    findings
}
