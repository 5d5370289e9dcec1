//! A backed figure binds, and its fact does not say which way it does.
//!
//! Without the fact's own word nobody can tell "at least 45 psi" from "at most 45 psi".

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "limit-unsaid",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A backed figure sets a limit, but its fact does not say which way it binds.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let unsaid = print.statements.iter().filter(|statement| statement.judgement == Judgement::BindsUnsaid);
    let told = unsaid.filter_map(|statement| {
        let fact = statement.fact?;
        let message = format!(
            "“{}” sets a limit, but the fact “{}” does not say whether it is “at most” or “at least”.",
            statement.words, fact.name
        );
        Some(at(&RULE, statement, message).fact_says(print.quote_for(statement, fact)).mend(
            "Give the fact its “limit”, “at most” or “at least”, from its source, or remove the words that set a limit.",
        ))
    });
    told.collect()
}
