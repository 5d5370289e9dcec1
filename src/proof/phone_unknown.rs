//! A telephone number is no contact's and no fact's.
//!
//! A contact whose number has changed is told wherever the old one stands, also where nobody is named beside it. A
//! program without any number that it knows is not told of others.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::mentions::Wrong;

pub static RULE: Rule = Rule {
    name: "phone-unknown",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A telephone number in print does not belong to a contact or a fact.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for mention in print.mentions() {
        if let Wrong::Unknown = mention.wrong {
            let message = format!(
                "No contact in program.toml and no fact has the telephone number “{}”.",
                mention.words
            );
            findings.push(Finding::of(&RULE, &mention.place, message).says(&*mention.words).mend(
                "Correct it, or add it to the contacts, or to facts.toml as a fact with kind = \"phone\".",
            ));
        }
    }
    findings
}
