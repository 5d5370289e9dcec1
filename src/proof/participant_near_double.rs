//! Two rows of the roster may mean one person, written in two ways.
//!
//! Two names that are nearly the same are told where they share an e-mail address, at whatever events; and
//! two of one name at one event where only one of them has an address. Each row is held against the few
//! others of its address or name, so that the time grows with the rows alone.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::roster::Participant;
use crate::spelling::alike::{Folded, are_near};
use std::collections::HashMap;

pub static RULE: Rule = Rule {
    name: "participant-near-double",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "Two rows of the roster may be one person with a name written in two ways.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

/// So many spellings of one address are held against one another: a school may have one address for all.
const MOST: usize = 24;

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    // For each address the rows in which a name first stands beside it.
    let mut by_email: HashMap<String, Vec<&Participant>> = HashMap::new();
    let address = |row: &Participant| row.email.as_deref().map(str::to_lowercase);
    for row in people.recurring(address).filter(|row| !row.name.is_empty()) {
        let Some(email) = address(row) else { continue };
        let spellings = by_email.entry(email).or_default();
        if spellings.iter().any(|known| known.name == row.name) {
            continue;
        }
        let folded = (!spellings.is_empty()).then(|| Folded::of(&row.name));
        let is_near = |known: &Participant| {
            let folded = folded.as_ref().is_some_and(|folded| are_near(&Folded::of(&known.name), folded));
            folded && is_other(known, row)
        };
        if let Some(near) = spellings.iter().find(|known| is_near(known)) {
            findings.push(told(row, near, "and they share an e-mail address"));
        }
        if spellings.len() < MOST {
            spellings.push(row);
        }
    }
    findings.extend(with_and_without_email(people));
    findings
}

/// Rows of one name at one event, of which only one has an address.
fn with_and_without_email(people: &PeopleContext) -> Vec<Finding> {
    let mut first: HashMap<(&str, String), &Participant> = HashMap::new();
    let mut findings = Vec::new();
    for row in people.recurring(named) {
        let Some(key) = named(row) else { continue };
        match first.get(&key) {
            None => drop(first.insert(key, row)),
            Some(known) if known.email.is_none() && row.email.is_none() && is_other(known, row) => {
                findings.push(told(row, known, "and neither has an e-mail address"));
            }
            Some(known) if known.email.is_none() != row.email.is_none() => {
                findings.push(told(row, known, "and only one of them has an e-mail address"));
            }
            Some(_) => {}
        }
    }
    findings
}

/// The event, and the name as it is compared.
fn named(row: &Participant) -> Option<(&str, String)> {
    (!row.name.is_empty()).then(|| (row.event.as_str(), Folded::of(&row.name).key()))
}

/// Whether two names are more than the same words in other capitals or spacing, which are doubles.
fn is_other(left: &Participant, right: &Participant) -> bool {
    let plain = |name: &str| name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    left.event != right.event || plain(&left.name) != plain(&right.name)
}

fn told(row: &Participant, earlier: &Participant, besides: &str) -> Finding {
    let number = earlier.row;
    let same =
        if row.name == earlier.name { "have the same name" } else { "have names that are nearly the same" };
    let message = format!("This row and row {number} {same}, {besides}.");
    Finding::of(&RULE, &row.place, message)
        .says(&row.name)
        .mend("If they are one person, write the name alike and take a doubled row out; if they are two, give each an e-mail address of their own.")
}
