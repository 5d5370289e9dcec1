//! Nothing quotes a fact.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::facts::Stated;
use crate::quantity::Worked;
use crate::statements::PrintContext;
use std::collections::BTreeSet;

pub static RULE: Rule = Rule {
    name: "fact-unused",
    level: Level::Note,
    settable: Settable::Yes,
    summary: "No prose, chart, question or other fact uses a fact.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let content = print.understood.content;
    let mut used: BTreeSet<String> =
        print.statements.iter().filter_map(|statement| Some(statement.backed?.fact.clone())).collect();
    used.extend(print.series_views().map(|view| view.fact.clone()));
    let keys = content.questions.list.iter().filter_map(|question| question.key_fact());
    used.extend(keys.map(|fact| fact.text.clone()));
    for fact in &print.understood.facts {
        if let Stated::WorkedFrom(expression) = &fact.stated {
            let names = Worked::parse(&expression.text).map(|worked| worked.names()).unwrap_or_default();
            used.extend(names.into_iter().map(|(name, _)| name));
        }
    }
    let unused = print.understood.facts.iter().filter(|fact| !used.contains(&fact.name));
    unused
        .map(|fact| {
            Finding::of(&RULE, &fact.place, format!("Nothing quotes the fact “{}”.", fact.name))
                .says(&*fact.name)
                .mend("Link to it where its figure is printed, or take it out of the facts file.")
        })
        .collect()
}
