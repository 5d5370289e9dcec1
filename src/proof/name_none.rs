//! What stands in the roster as a name is none: the total of a list, a dash, a number, an e-mail address.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Place, Rule, Settable};
use crate::people::plain_name;
use std::collections::BTreeSet;

pub static RULE: Rule = Rule {
    name: "name-none",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A name on the roster is not a name: a total, a dash, a number, “N/A”.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

/// Words that lists have where a name would stand, in small letters without punctuation. Common practice, no source.
const WORDS: [&str; 51] = [
    "total",
    "totals",
    "grand total",
    "subtotal",
    "sub total",
    "sum",
    "count",
    "average",
    "n/a",
    "none",
    "nobody",
    "no name",
    "unknown",
    "unnamed",
    "tbd",
    "tba",
    "tbc",
    "same",
    "same as above",
    "see above",
    "ditto",
    "test",
    "name",
    "participant",
    "participants",
    "attendee",
    "attendees",
    "rider",
    "riders",
    "people",
    "person",
    "persons",
    "anonymous",
    "walk-in",
    "walk in",
    "walk-ins",
    "guest",
    "guests",
    "visitor",
    "suma",
    "ninguno",
    "ninguna",
    "desconocido",
    "desconocida",
    "summe",
    "gesamt",
    "insgesamt",
    "unbekannt",
    "inconnu",
    "inconnue",
    "totale",
];

fn find(people: &PeopleContext) -> Vec<Finding> {
    let tell = |name: &str, place: Place| {
        let message = "This is not a name, so nobody is credited for this row.";
        let mend = "Write the person's name, or delete the row; totals belong under no roster.";
        Finding::of(&RULE, place, message).says(name).mend(mend)
    };
    let rows = people.rows().filter(|row| is_none(&row.name));
    let mut findings: Vec<Finding> = rows.map(|row| tell(&row.name, people.place(row, "name"))).collect();
    let mut seen = BTreeSet::new();
    let hours = people.program.people.hours.iter().filter(|service| is_none(&service.name));
    let once = hours.filter(|service| seen.insert(plain_name(&service.name)));
    findings.extend(once.map(|service| tell(&service.name, service.place.clone())));
    findings
}

fn is_none(name: &str) -> bool {
    let name = name.trim();
    if name.is_empty() {
        // What has no name is told where the roster is read.
        return false;
    }
    // "Count: 12", "Guest 1", "12 people".
    let plain = name.trim_matches(|c: char| !c.is_alphabetic());
    let is_address = name.contains('@') && !name.contains(' ');
    // A mark of lists: no name in Latin letters is one letter long.
    let is_mark = plain.len() == 1;
    plain.is_empty()
        || is_address
        || is_mark
        || WORDS.iter().any(|word| word.eq_ignore_ascii_case(plain))
        // What a spreadsheet writes where a formula fails.
        || name.starts_with('#') && name.ends_with(['!', '?'])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lists_have_in_the_place_of_a_name_is_none() {
        for name in [
            "Total",
            "TOTAL:",
            "N/A",
            "n/a",
            "-",
            "–",
            "12345",
            "...",
            "Grand total",
            "ann@lee.example",
            "?",
            "Count: 12",
            "Guest 1",
            "12 people",
            "x",
            "#REF!",
            "#NAME?",
        ] {
            assert!(is_none(name), "{name}");
        }
        for name in [
            "Ann Lee",
            "Na Li",
            "Li",
            "李",
            "अनन्या",
            "Guest, Ann",
            "Ann Total-Reyes",
            "X Æ",
            "O Lee",
            "Æ",
            "Rider Lee",
        ] {
            assert!(!is_none(name), "{name}");
        }
    }
}
