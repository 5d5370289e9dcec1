//! An event has no date yet, so that nobody can be told of it.
//!
//! A new season's folder has last year's events with their dates still to be set.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "event-undated",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "An event has no date yet, so it is in no piece, and nobody is credited for it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let settings = &print.understood.content.settings;
    let undated = settings.undated.iter().map(|event| {
        let message = format!(
            "The event “{}” has no date yet. It is left out of every piece, and nobody is credited for it.",
            event.name
        );
        let mend = "Write its date in place of date = \"\": date = 2027-05-15, or days = [2027-05-15, 2027-05-16]. Or take the event out.";
        Finding::of(&RULE, &event.place, message).mend(mend)
    });
    undated.collect()
}
