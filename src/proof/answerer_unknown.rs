//! Answers belong to nobody on the roster, or to more than one person.
//!
//! Nothing here repeats a name or an address: findings may leave the machine that holds the answers.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::scoring::Stranger;

pub static RULE: Rule = Rule {
    name: "answerer-unknown",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "Answers belong to nobody on the roster, so they are not scored.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    people.scores.strangers.iter().map(|stranger| finding(people, stranger)).collect()
}

fn finding(people: &PeopleContext, stranger: &Stranger) -> Finding {
    let program = people.program;
    let place = &stranger.row.place;
    if stranger.is_ambiguous {
        let message = "More than one person at this event has this name, so packstring cannot tell whose answers these are.";
        return Finding::of(&RULE, place, message)
            .mend("Write the person's e-mail address, as the roster has it.");
    }
    let finding = Finding::of(&RULE, place, "The roster has nobody with this name for this event.");
    finding.mend(match stranger.near {
        Some(person) => {
            let at = program.sources.row(&person.place);
            let event = if person.event == stranger.row.event { "" } else { ", who is there for another event" };
            format!(
                "Did you mean the person in row {at} of the roster{event}? Write the name and the e-mail address as the roster has them."
            )
        }
        None => "Add the person to the roster, or write the name as it stands there.".to_owned(),
    })
}
