//! One person stands in the roster twice for one event.
//!
//! Nothing here repeats a name or an address: findings may leave the machine that holds the roster.

use super::Rule;
use super::galley::Galley;
use crate::finding::{Finding, Level};
use crate::program::roster::Participant;
use std::collections::HashMap;

pub const RULE: Rule = Rule {
    name: "participant-doubled",
    level: Level::Warning,
    summary: "The roster has one person twice for one event.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let mut first: HashMap<(&str, String, String), &Participant> = HashMap::new();
    let mut findings = Vec::new();
    for row in &galley.understood.program.roster.rows {
        let email = row.email.as_deref().unwrap_or_default();
        let person = (row.event.as_str(), plain(&row.name), plain(email));
        let Some(earlier) = first.get(&person) else {
            first.insert(person, row);
            continue;
        };
        let line = galley.understood.program.sources.line_column(&earlier.place).line;
        let same = if email.is_empty() {
            "name, and neither has an e-mail address"
        } else {
            "name and e-mail address"
        };
        findings.push(
            RULE.finding(
                &row.place,
                format!("This row and line {line} are one person at one event: same {same}."),
            )
            .mend("Take one row out; if they are two people, give each an e-mail address."),
        );
    }
    findings
}

/// In lower case and with single spaces, as a reader compares names.
fn plain(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}
