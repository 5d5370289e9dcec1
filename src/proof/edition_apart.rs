//! Two editions of a lesson quote other facts.

use super::{Check, Find, some_of};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::lesson::{Backed, Lesson};
use crate::program::walk;
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "edition-apart",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A lesson quotes a fact that its edition in another language does not.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let program = print.understood.root;
    let mut findings = Vec::new();
    for edition in &program.editions {
        let pairs = program.content.lessons.iter().zip(&edition.content.lessons);
        for (main, own) in pairs.filter(|(main, _)| edition.lessons.contains(&main.id)) {
            let (in_main, in_own) = (quoted(main), quoted(own));
            let in_main_alone = only_in(&in_main, &in_own);
            findings.extend(told(print, &in_main_alone, &own.file, |facts| {
                let language = &edition.language;
                format!("The lesson “{}” quotes {facts} here; its edition “{language}” does not.", main.id)
            }));
            let in_own_alone = only_in(&in_own, &in_main);
            findings.extend(told(print, &in_own_alone, &main.file, |facts| {
                format!(
                    "The edition “{}” of the lesson “{}” quotes {facts} here; the main one does not.",
                    edition.language, main.id
                )
            }));
        }
    }
    findings
}

/// One finding for all that a lesson quotes alone, at the first of it.
fn told(
    print: &PrintContext,
    alone: &[&Backed],
    other: &str,
    message: impl Fn(&str) -> String,
) -> Option<Finding> {
    let first = alone.first()?;
    let names = alone.iter().map(|backed| backed.fact.as_str());
    let (facts, them) = match alone.len() {
        1 => (format!("the fact “{}”", first.fact), "it"),
        several => (format!("{several} facts ({})", some_of(names)), "them"),
    };
    let mend = format!("Quote {them} in {other} too, or take {them} out here.");
    let says = print.source_words(&first.words_place);
    Some(Finding::of(&RULE, &first.place, message(&facts)).says(says).mend(mend))
}

/// The first link to each fact that a lesson quotes.
fn quoted(lesson: &Lesson) -> Vec<&Backed> {
    let mut found: Vec<&Backed> = Vec::new();
    for backed in walk::lesson(lesson).into_iter().filter_map(walk::Met::backed) {
        if found.iter().all(|other| other.fact != backed.fact) {
            found.push(backed);
        }
    }
    found
}

/// The links of one list to facts that no link of the other leads to.
fn only_in<'l>(some: &[&'l Backed], others: &[&Backed]) -> Vec<&'l Backed> {
    let elsewhere = |backed: &Backed| others.iter().any(|other| other.fact == backed.fact);
    some.iter().copied().filter(|backed| !elsewhere(backed)).collect()
}
