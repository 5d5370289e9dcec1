//! Two editions of a lesson quote other facts.

use super::{Check, Find};
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
            for backed in only_in(&in_main, &in_own) {
                let message = format!(
                    "The lesson “{}” quotes the fact “{}” here; its edition “{}” does not.",
                    main.id, backed.fact, edition.language
                );
                let mend = format!("Quote it in {} too, or take it out here.", own.file);
                findings.push(at(print, backed, message, mend));
            }
            for backed in only_in(&in_own, &in_main) {
                let message = format!(
                    "The edition “{}” of the lesson “{}” quotes the fact “{}” here; the main one does not.",
                    edition.language, main.id, backed.fact
                );
                let mend = format!("Quote it in {} too, or take it out here.", main.file);
                findings.push(at(print, backed, message, mend));
            }
        }
    }
    findings
}

fn at(print: &PrintContext, backed: &Backed, message: String, mend: String) -> Finding {
    Finding::of(&RULE, &backed.place, message).says(print.source_words(&backed.words_place)).mend(mend)
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
