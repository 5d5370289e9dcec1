//! A row of the roster names an event that the program does not have.
//!
//! Its cell may hold anything, so its words are not repeated.

use super::Rule;
use super::galley::Galley;
use crate::finding::{Finding, Level};
use crate::nearest::nearest;

pub const RULE: Rule = Rule {
    name: "event-unknown",
    level: Level::Error,
    summary: "A row of the roster names an event that program.toml does not have.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let program = galley.understood.program;
    let events = || program.settings.events.iter().map(|event| event.id.as_str());
    let unknown = program.roster.rows.iter().filter(|row| !events().any(|id| id == row.event));
    unknown
        .map(|row| {
            let finding = RULE
                .finding(&row.event_place, "This row is of an event that program.toml does not have.")
                .says(galley.source_words(&row.event_place));
            match nearest(&row.event, events()) {
                Some(known) => finding.mend(format!("Did you mean “{known}”?")),
                None => {
                    finding.mend("Write the event's id as program.toml gives it, or add the event there.")
                }
            }
        })
        .collect()
}
