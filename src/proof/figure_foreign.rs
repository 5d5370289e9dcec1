//! A figure in a text of another language has English words.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::quantity::Language;
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "figure-foreign",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A figure has English words in a text of another language.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        if statement.backed.is_some_and(|backed| backed.is_open()) {
            continue; // packstring words it
        }
        let language = print.understood.language_for(&statement.place.file);
        if let Some((message, mend)) = foreign(print, language, &statement.place.file, &statement.words) {
            findings.push(at(&RULE, statement, message).mend(mend));
        }
    }
    for wording in print.understood.facts.iter().filter_map(|fact| fact.wording.as_ref()) {
        let file = &wording.place.file;
        let language = print.understood.language_for(file);
        if let Some((message, mend)) = foreign(print, language, file, &wording.text) {
            findings.push(Finding::of(&RULE, &wording.place, message).says(&*wording.text).mend(mend));
        }
    }
    findings
}

/// What is told of words with English in them, and how to mend it.
fn foreign(print: &PrintContext, language: &Language, file: &str, words: &str) -> Option<(String, String)> {
    let english = language.english_word(words)?;
    let own = print.understood.content.language_of(file);
    let message = format!("“{english}” is English, but this text is in “{own}”.");
    let anew = language.put(words);
    let mend = match language.english_word(&anew) {
        None => format!("Write “{anew}”."),
        Some(_) => "Write it in the language of the text.".to_owned(),
    };
    Some((message, mend))
}
