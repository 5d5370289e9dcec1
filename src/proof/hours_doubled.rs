//! The hours file has one entry twice.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::hours::Service;
use std::collections::BTreeMap;

pub static RULE: Rule = Rule {
    name: "hours-doubled",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The hours file has the same entry twice: the same person, day, activity and hours.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let program = people.program;
    let mut findings = Vec::new();
    if program.people.hours.is_empty() {
        return findings;
    }
    for entries in people.served.iter() {
        let mut first = BTreeMap::new();
        for entry in entries {
            let activity = entry.activity.as_deref().map(str::to_lowercase);
            let earlier: &Service = first.entry((entry.date, activity, &entry.hours)).or_insert(*entry);
            if earlier.place == entry.place {
                continue;
            }
            let row = program.sources.row(&earlier.place);
            let message = format!("This row says the same as row {row}: person, day, activity and hours.");
            let mend = "Take one of them out; if both were worked, write one row with the sum.";
            findings.push(Finding::of(&RULE, &entry.place, message).mend(mend));
        }
    }
    findings
}
