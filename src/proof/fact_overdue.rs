//! A fact was to be looked at again before today.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "fact-overdue",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The date for checking a fact again has passed.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for fact in &print.understood.facts {
        let Some((day, place)) = &fact.review_by else { continue };
        if *day >= print.today {
            continue;
        }
        let message = format!("The fact “{}” was to be checked again by {day}.", fact.name);
        let finding = Finding::of(&RULE, place, message)
            .says(day.to_string())
            .mend("Look it up at its source. Then set as-of to today and review-by to the next day on which to check it.")
            .stops_press(fact.safety);
        findings.push(finding.weighs(if fact.safety { Level::Error } else { RULE.level }));
    }
    findings
}
