//! What stands in the roster as a name is none: the total of a list, a dash, a number, an e-mail address.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};

pub static RULE: Rule = Rule {
    name: "name-none",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "What stands in the roster as a name is none: a total, a dash, a number, “N/A”.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

/// Words that lists have where a name would stand, in small letters without punctuation. Common practice, no source.
const WORDS: [&str; 44] = [
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
    "attendee",
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
    let rows = people.rows().filter(|row| is_none(&row.name));
    rows.map(|row| {
        let message = "What stands here as a name is none, so nobody is credited for this row.";
        let mend = "Write the person's name, or delete the row; totals belong under no roster.";
        Finding::of(&RULE, people.place(row, "name"), message).says(&*row.name).mend(mend)
    })
    .collect()
}

fn is_none(name: &str) -> bool {
    let name = name.trim();
    if name.is_empty() {
        // What has no name is told where the roster is read.
        return false;
    }
    let plain = name.trim_matches(|c: char| !c.is_alphanumeric());
    let is_address = name.contains('@') && !name.contains(' ');
    !name.chars().any(char::is_alphabetic)
        || is_address
        || WORDS.iter().any(|word| word.eq_ignore_ascii_case(plain))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lists_have_in_the_place_of_a_name_is_none() {
        for name in
            ["Total", "TOTAL:", "N/A", "n/a", "-", "–", "12345", "...", "Grand total", "ann@lee.example", "?"]
        {
            assert!(is_none(name), "{name}");
        }
        for name in ["Ann Lee", "Na Li", "Li", "李", "अनन्या", "Guest, Ann", "Ann Total-Reyes", "X Æ"]
        {
            assert!(!is_none(name), "{name}");
        }
    }
}
