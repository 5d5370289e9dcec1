//! Certificates with a companion are wanted, and no column of the roster was taken as the companions.
//!
//! Whoever is credited without one needs a new certificate later, one by one.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::roster::{ColumnMeaning, Field};

pub static RULE: Rule = Rule {
    name: "companion-unread",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "Certificates should name a companion, but no column of the roster was read as the companions.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let words = &people.program.content.settings.certificate.companion;
    let is_wanted = words.title.is_some() || words.text.is_some() || words.design.is_some();
    let columns = &people.program.people.roster.columns;
    if !is_wanted || columns.iter().any(|column| column.field() == Some(Field::Companion)) {
        return Vec::new();
    }
    let passed_over: Vec<_> = columns
        .iter()
        .filter(|column| column.understood == ColumnMeaning::PassedOver && !column.heading.is_empty())
        .collect();
    let Some(first) = passed_over.first() else { return Vec::new() };
    let headings: Vec<&str> = passed_over.iter().map(|column| column.heading.as_str()).collect();
    let message = "packstring found no column of companions in the roster, so no certificate names one.";
    let mend = format!(
        "Say in program.toml which heading means them: [roster.headings] companion = \"{}\"; or take [certificate.companion] out.",
        first.heading.replace(['"', '\\'], "")
    );
    vec![Finding::of(&RULE, &first.place, message).says(headings.join(", ")).mend(mend)]
}
