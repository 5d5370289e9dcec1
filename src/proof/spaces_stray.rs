//! White space in a cell that does not show, or that shows where none belongs.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::roster::Field;
use crate::spelling::spaces;

pub static RULE: Rule = Rule {
    name: "spaces-stray",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A cell of the roster has hidden or doubled white space.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for cell in people.odd_cells.iter().filter(|cell| cell.garbled.is_none()) {
        // White space around the words is passed over in reading, and is no fault.
        let words = cell.text.trim();
        let tidied = spaces::tidy(words, cell.lines());
        let stray = spaces::stray(words, cell.lines());
        let Some(list) = listed(&stray) else { continue };
        let message = format!("This {} holds {list}.", cell.what());
        if cell.has_lines_of_several() && cell.field != Field::Email {
            // Told by `name-several` or `name-miswritten`, which hold the row.
            continue;
        }
        if cell.has_lines_of_several() {
            let mend = "Write the words on one line; two people need a row each.";
            findings.push(Finding::of(&RULE, &cell.place, message).says(words).mend(mend));
            continue;
        }
        findings.push(
            Finding::of(&RULE, &cell.place, message)
                .says(words)
                .instead(tidied)
                .mend("Type the words anew, or let `packstring proofread --roster --save` put it right."),
        );
    }
    findings
}

fn listed(stray: &[String]) -> Option<String> {
    match stray {
        [] => None,
        [one] => Some(one.clone()),
        [first @ .., last] => Some(format!("{} and {last}", first.join(", "))),
    }
}
