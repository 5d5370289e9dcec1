//! A telephone number, a day, a clock time or an address is not what a contact, an event or a fact beside it has.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::mentions::{Of, Wrong};

pub static RULE: Rule = Rule {
    name: "particular-apart",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A telephone number, a day, a clock time, an address or a ratio does not belong to the name beside it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for mention in print.mentions() {
        let Wrong::Apart(known) = &mention.wrong else { continue };
        let (whose, mend) = match &known.of {
            Of::Contact(name) => (
                format!("“{name}”, a contact of program.toml"),
                format!("Make it “{}”, or correct the contact.", known.written),
            ),
            Of::Event(name) => (
                format!("“{name}”, an event of program.toml"),
                format!("Make it “{}”, or correct the event.", known.written),
            ),
            Of::Fact(fact) => (
                format!("the fact “{}”, which its sentence names", fact.name),
                format!(
                    "If this fact is meant, write “[{}](fact:{})”; if not, name the other thing in full.",
                    known.written, fact.name
                ),
            ),
        };
        let message = format!("“{}” is not the {} of {whose}.", mention.words, mention.kind.name());
        let level = if known.is_grave { Level::Error } else { RULE.level };
        let finding = Finding::of(&RULE, &mention.place, message).says(&*mention.words);
        findings.push(finding.fact_says(&*known.written).mend(mend).weighs(level));
    }
    findings
}
