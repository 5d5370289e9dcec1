//! A link or a question names a fact that the facts file does not have.

use super::{Check, Find};
use crate::finding::{Finding, Level, Place, Rule, Settable};
use crate::nearest::nearest;
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "backing-unknown",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A link or a question names a fact that is not in the facts file.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        if let (Judgement::UnknownFact, Some(backed)) = (&statement.judgement, statement.backed) {
            findings.push(unknown(print, &backed.fact, &statement.place).says(&*statement.words));
        }
    }
    for view in print.series_views() {
        if print.fact(&view.fact).is_none() {
            findings.push(unknown(print, &view.fact, &view.place).says(print.source_words(&view.place)));
        }
    }
    let questions = &print.understood.content.questions.list;
    for fact in questions.iter().filter_map(|question| question.key_fact()) {
        if print.fact(&fact.text).is_none() {
            findings.push(unknown(print, &fact.text, &fact.place).says(&*fact.text));
        }
    }
    findings
}

fn unknown(print: &PrintContext, name: &str, place: &Place) -> Finding {
    let finding = Finding::of(&RULE, place, format!("There is no fact “{name}” in facts.toml."));
    let names = print.understood.facts.iter().map(|fact| fact.name.as_str());
    match nearest(name, names) {
        Some(known) => finding.mend(format!("Did you mean “{known}”? Otherwise add the fact to facts.toml.")),
        None => finding.mend("Add the fact to facts.toml, or correct the name in the link."),
    }
}
