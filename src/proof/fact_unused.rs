//! Nothing quotes a fact.

use super::galley::Galley;
use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::program::facts::Stated;
use crate::quantity::Worked;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    name: "fact-unused",
    level: Level::Note,
    summary: "No prose, chart, question or other fact uses a fact.",
    find: Find::Print(find),
};

fn find(galley: &Galley) -> Vec<Finding> {
    let program = galley.understood.program;
    let mut used: BTreeSet<String> =
        galley.statements.iter().filter_map(|statement| Some(statement.backed?.fact.clone())).collect();
    used.extend(galley.series_views().map(|view| view.fact.clone()));
    let keys = program.questions.list.iter().filter_map(|question| question.key_fact());
    used.extend(keys.map(|fact| fact.text.clone()));
    for fact in &galley.understood.facts {
        if let Stated::WorkedFrom(expression) = &fact.stated {
            let names = Worked::parse(&expression.text).map(|worked| worked.names()).unwrap_or_default();
            used.extend(names.into_iter().map(|(name, _)| name));
        }
    }
    let unused = galley.understood.facts.iter().filter(|fact| !used.contains(&fact.name));
    unused
        .map(|fact| {
            RULE.finding(&fact.place, format!("Nothing quotes the fact “{}”.", fact.name))
                .says(&*fact.name)
                .mend("Link to it where its figure is printed, or take it out of the facts file.")
        })
        .collect()
}
