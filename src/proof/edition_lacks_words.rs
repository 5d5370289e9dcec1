//! An edition has a short text only in the main language.

use super::{Check, Find, some_of};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "edition-lacks-words",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "An edition lacks a short text, such as a question's, and prints the main edition's.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for edition in &print.understood.root.editions {
        let mut lacks: Vec<_> = edition.lacks.iter().collect();
        lacks.sort_by_key(|lack| &lack.place);
        for lacks in lacks.chunk_by(|one, next| one.place.file == next.place.file) {
            let first = lacks[0];
            let what = match lacks.len() {
                1 => first.what.clone(),
                several => format!("{several} texts of {}; the first is {}", first.place.file, first.what),
            };
            let message = format!("The edition “{}” has no words of its own for {what}.", edition.language);
            let keys = some_of(lacks.iter().map(|lack| lack.key.as_str()));
            let mend = format!("Put them into {}: {keys}.", edition.texts_file());
            let says = print.source_words(&first.place);
            findings.push(Finding::of(&RULE, &first.place, message).says(says).mend(mend));
        }
    }
    findings
}
