//! A size of the roster is not one that the program gives out.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::nearest::nearest;
use crate::program::settings::sizes;

pub static RULE: Rule = Rule {
    name: "size-unknown",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The roster has a size that you don't offer.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let known = people.program.content.settings.roster.sizes();
    let mut findings = Vec::new();
    for row in people.rows() {
        let Some(size) = row.size.as_deref() else { continue };
        if sizes::meant(size, &known).is_some() {
            continue;
        }
        let list = known.join(", ");
        let mend = match nearest(size, known.iter().copied()) {
            Some(near) => format!("Write one of {list}; most likely {near}."),
            None => format!("Write one of {list}, or name all sizes in program.toml: [roster] sizes = […]."),
        };
        let place = people.place(row, "size");
        findings.push(Finding::of(&RULE, &place, "This is not one of the sizes.").says(size).mend(mend));
    }
    findings
}
