//! One person stands in the roster twice for one event.
//!
//! Nothing here repeats a name or an address: findings may leave the machine that holds the roster.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::roster::Participant;
use crate::program::settings::Companions;
use std::collections::HashMap;

pub static RULE: Rule = Rule {
    name: "participant-doubled",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The roster has one person twice for one event.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut first: HashMap<(&str, String, String, String), &Participant> = HashMap::new();
    let mut findings = Vec::new();
    // Where companions are named together, a row for each of them is no double.
    let together = people.program.content.settings.certificate.companions == Companions::Together;
    let person = |row| person(row, together);
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
        // Two companions are no double: the program says how they are named.
        let companions = (
            plain(row.companion.as_deref().unwrap_or_default()),
            plain(earlier.companion.as_deref().unwrap_or_default()),
        );
        let mend = match companions.0 != companions.1 && !companions.0.is_empty() && !companions.1.is_empty()
        {
            true => {
                "Both companions are kept as they stand, a certificate each; companions = \"together\" under [certificate] in program.toml has one certificate name both. If one of the rows is wrong, take it out; if they are two people, give each an e-mail address."
            }
            false => "Take one row out; if they are two people, give each an e-mail address.",
        };
        findings.push(
            Finding::of(
                &RULE,
                &row.place,
                format!("This row and row {number} are one person at one event: same {same}."),
            )
            .mend(mend),
        );
    }
    let held = people.due().map(|due| due.doubled.as_slice()).unwrap_or_default();
    findings.extend(held.iter().map(|(row, other)| participant_held(row, *other)));
    findings
}

/// Event, name and e-mail address, and the companion where a row for each of them is meant.
fn person(row: &Participant, with_companion: bool) -> (&str, String, String, String) {
    let text = |words: &Option<String>| plain(words.as_deref().unwrap_or_default());
    let companion = if with_companion { text(&row.companion) } else { String::new() };
    (&row.event, plain(&row.name), text(&row.email), companion)
}

/// In lower case and with single spaces, as a reader compares names.
fn plain(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// What is told of a row that is held because another row of its event has the same name.
pub fn participant_held(row: &Participant, other: usize) -> Finding {
    let message = format!(
        "This row and row {other} have the same name at one event. It is not clear whether they are one person who came and passed, so this row is not credited."
    );
    Finding::of(&RULE, &row.place, message).says(&*row.name).mend(
        "If they are one person, take the wrong row out; if they are two, `packstring make --participant` with this name credits both.",
    )
}
