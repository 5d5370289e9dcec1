//! A fact of safety asks for a second reader, and nobody has read it a second time.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::facts::ReadBy;
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "second-reader-missing",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A fact asks for a second reader, and it has none yet.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for fact in &print.understood.facts {
        if let Some(ReadBy::Asked(place)) = &fact.read_by {
            let message = format!("The fact “{}” asks for a second reader, and none is named.", fact.name);
            findings.push(Finding::of(&RULE, place, message).says(&*fact.name).mend(
                "Have somebody else hold it against its source, and write who did: read-by = \"Ines Calloway\".",
            ));
        }
    }
    findings
}
