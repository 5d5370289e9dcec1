//! A link or a question names a fact that the facts file does not have.

use super::{Check, Find};
use crate::finding::{Finding, Level, Place, Rule, Settable};
use crate::nearest::nearest;
use crate::program::facts::given;
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
    let names = print.understood.fact_names();
    if given::is_named_so(name) {
        let message = format!("program.toml has no contact or event that says “{name}”.");
        let form = format!(
            "Write {}: NAME is the contact's id, else its name in small letters with hyphens.",
            given::FORM
        );
        let known = nearest(name, names.filter(|known| given::is_named_so(known)));
        let mend = known.map_or(form, |known| format!("Did you mean “{known}”?"));
        return Finding::of(&RULE, place, message).mend(mend);
    }
    let finding = Finding::of(&RULE, place, format!("There is no fact “{name}” in facts.toml."));
    match nearest(name, names) {
        Some(known) => finding.mend(format!("Did you mean “{known}”? Otherwise add the fact to facts.toml.")),
        None => finding.mend("Add the fact to facts.toml, or correct the name in the link."),
    }
}
