//! A fact does not say where it comes from.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::facts::Stated;
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "fact-unsourced",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A fact that is not worked from others names no source.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let unsourced = print.understood.facts.iter().filter(|fact| {
        let named = fact.source.as_ref().is_some_and(|source| !source.text.trim().is_empty());
        !named && !matches!(fact.stated, Stated::WorkedFrom(_))
    });
    unsourced
        .map(|fact| {
            Finding::of(&RULE, &fact.place, format!("The fact “{}” names no source.", fact.name))
                .says(&*fact.name)
                .mend("Add source = \"…\": the document, rule or person that it was taken from.")
        })
        .collect()
}
