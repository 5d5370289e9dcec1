//! The hours file has one entry twice.

use super::people::PeopleContext;
use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::program::hours::Service;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    name: "hours-doubled",
    level: Level::Warning,
    summary: "The hours file has one entry twice: the same person, day, activity and hours.",
    find: Find::People(find),
};

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
            let line = program.sources.line_column(&earlier.place).line;
            let message = format!("This row says the same as line {line}: person, day, activity and hours.");
            let mend = "Take one of them out; if both were worked, write one row with the sum.";
            findings.push(RULE.finding(&entry.place, message).mend(mend));
        }
    }
    findings
}
