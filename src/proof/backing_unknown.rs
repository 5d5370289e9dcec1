//! A link or a question names a fact that the facts file does not have.

use super::galley::Galley;
use super::judgement::Judgement;
use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::nearest::nearest;
use crate::place::Place;

pub const RULE: Rule = Rule {
    name: "backing-unknown",
    level: Level::Error,
    summary: "A link or a question names a fact that is not in the facts file.",
    find: Find::Print(find),
};

fn find(galley: &Galley) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &galley.statements {
        if let (Judgement::UnknownFact, Some(backed)) = (&statement.judgement, statement.backed) {
            findings.push(unknown(galley, &backed.fact, &statement.place).says(&*statement.words));
        }
    }
    for view in galley.series_views() {
        if galley.fact(&view.fact).is_none() {
            findings.push(unknown(galley, &view.fact, &view.place).says(galley.source_words(&view.place)));
        }
    }
    let questions = &galley.understood.program.questions.list;
    for fact in questions.iter().filter_map(|question| question.key_fact()) {
        if galley.fact(&fact.text).is_none() {
            findings.push(unknown(galley, &fact.text, &fact.place).says(&*fact.text));
        }
    }
    findings
}

fn unknown(galley: &Galley, name: &str, place: &Place) -> Finding {
    let finding = RULE.finding(place, format!("There is no fact “{name}” in facts.toml."));
    let names = galley.understood.facts.iter().map(|fact| fact.name.as_str());
    match nearest(name, names) {
        Some(known) => finding.mend(format!("Did you mean “{known}”? Otherwise add the fact to facts.toml.")),
        None => finding.mend("Add the fact to facts.toml, or correct the name in the link."),
    }
}
