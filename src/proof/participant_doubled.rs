//! One person stands in the roster twice for one event.
//!
//! Nothing here repeats a name or an address: findings may leave the machine that holds the roster.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::roster::Participant;
use std::collections::HashMap;

pub static RULE: Rule = Rule {
    name: "participant-doubled",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The roster has one person twice for one event.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut first: HashMap<(&str, String, String), &Participant> = HashMap::new();
    let mut findings = Vec::new();
    for row in people.recurring(|row| Some(person(row))) {
        let person = person(row);
        let Some(earlier) = first.get(&person) else {
            first.insert(person, row);
            continue;
        };
        let number = earlier.row;
        let same = if row.email.is_none() {
            "name, and neither has an e-mail address"
        } else {
            "name and e-mail address"
        };
        findings.push(
            Finding::of(
                &RULE,
                &row.place,
                format!("This row and row {number} are one person at one event: same {same}."),
            )
            .mend("Take one row out; if they are two people, give each an e-mail address."),
        );
    }
    findings
}

/// Event, name and e-mail address.
fn person(row: &Participant) -> (&str, String, String) {
    (&row.event, plain(&row.name), plain(row.email.as_deref().unwrap_or_default()))
}

/// In lower case and with single spaces, as a reader compares names.
fn plain(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}
