//! A backed day or clock time can be read in two ways, of which one is the fact's.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "date-unclear",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A backed day or clock time can be read in two ways.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        let (Judgement::Unclear { or, clear }, Some(_), Some(fact)) =
            (&statement.judgement, statement.backed, statement.fact)
        else {
            continue;
        };
        let message = format!("“{}” can also be read as {or}.", statement.words);
        findings.push(
            at(&RULE, statement, message).fact_says(print.quote(fact)).mend(format!("Write “{clear}”.")),
        );
    }
    findings
}
