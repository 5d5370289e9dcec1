//! An event's date is not in the season that the program is of.
//!
//! A season's folder that began as a copy of last year's has last year's days and people: nobody is credited for
//! such an event.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::settings::{Event, Settings};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "event-out-of-season",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "An event's date is not in the season of the program, so nobody is credited for it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let settings = &print.understood.content.settings;
    let events = settings.events.iter().filter(|event| !settings.in_season(event.date));
    events.map(|event| event_out_of_season(event, settings)).collect()
}

/// What is told of an event that is not in the season.
pub fn event_out_of_season(event: &Event, settings: &Settings) -> Finding {
    let message = format!(
        "The date of this event, {}, is outside the season {}, so nobody is credited for it.",
        event.date, settings.season
    );
    Finding::of(&RULE, &event.place, message).mend(
        "Correct the year, or the season under [program]; a season over two years is “2025–2026”. Take out the events and the roster of an earlier season.",
    )
}
