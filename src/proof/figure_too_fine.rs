//! A figure shows more than its fact is known to.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::quantity::{self, Held, Language};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "figure-too-fine",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A figure is stated more finely than its fact is known.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

/// A figure that was rounded further than this is another figure: "100 seconds" for a minute or so.
const TENTHS: i64 = 10;

/// Whether rounded words are nearly what is held.
pub(super) fn is_near(language: &Language, words: &str, held: Option<&Held>) -> bool {
    let figure = language.read_one(words).or_else(|_| language.read_one_in_english(words));
    let Some((figure, held)) = figure.ok().zip(held) else { return false };
    quantity::is_within_parts(&figure, held, TENTHS)
}

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        let (Judgement::TooFine { expected }, Some(fact)) = (&statement.judgement, statement.fact) else {
            continue;
        };
        let anew = statement.anew.as_ref().unwrap_or(expected);
        let language = print.understood.language_for(&statement.place.file);
        let says = print.quote_for(statement, fact);
        let mend = match is_near(language, anew, print.understood.held(&fact.name)) {
            true => format!("Round it: “{anew}”."),
            false => format!("Say it as the fact does: {says}."),
        };
        let message = format!("“{}” is more exact than the fact “{}”.", statement.words, fact.name);
        let finding = at(&RULE, statement, message).fact_says(says).mend(mend);
        let level = if statement.backed.is_some() { RULE.level } else { Level::Warning };
        findings.push(finding.weighs(level));
    }
    findings
}
