//! A size of the roster is not one that the program gives out.

use super::roll::Roll;
use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::nearest::nearest;
use crate::people::sizes;

pub const RULE: Rule = Rule {
    name: "size-unknown",
    level: Level::Warning,
    summary: "A size of the roster is none of those that there are.",
    find: Find::People(find),
};

fn find(roll: &Roll) -> Vec<Finding> {
    let known = roll.program.settings.roster.sizes();
    let mut findings = Vec::new();
    for row in roll.rows() {
        let Some(size) = row.size.as_deref() else { continue };
        if sizes::meant(size, &known).is_some() {
            continue;
        }
        let list = known.join(", ");
        let mend = match nearest(size, known.iter().copied()) {
            Some(near) => format!("Write one of {list}; most likely {near}."),
            None => format!("Write one of {list}, or name all sizes in program.toml: [roster] sizes = […]."),
        };
        let place = roll.place(row, "size");
        findings
            .push(RULE.finding(&place, "This is none of the sizes that there are.").says(size).mend(mend));
    }
    findings
}
