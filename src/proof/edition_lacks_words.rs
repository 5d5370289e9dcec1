//! An edition has a short text only in the main language.

use super::{Check, Find};
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
    let editions = print.understood.root.editions.iter();
    let lacks = editions.flat_map(|edition| edition.lacks.iter().map(move |lack| (edition, lack)));
    lacks
        .map(|(edition, lack)| {
            let message =
                format!("The edition “{}” has no words of its own for {}.", edition.language, lack.what);
            Finding::of(&RULE, &lack.place, message).says(print.source_words(&lack.place)).mend(format!(
                "Put them into {}: {}.",
                edition.texts_file(),
                lack.key
            ))
        })
        .collect()
}
