//! An event's date lies years away from the season that the program is of.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "event-out-of-season",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "An event's date lies years away from the season of the program.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let settings = &print.understood.content.settings;
    let years = years(&settings.season);
    let (Some(first), Some(last)) = (years.iter().min(), years.iter().max()) else { return Vec::new() };
    let far = |year: i16| year < first - 1 || year > last + 1;
    let events = settings.events.iter().filter(|event| far(event.date.year()));
    events
        .map(|event| {
            let message = format!(
                "The date of this event, {}, lies outside of the season {}.",
                event.date, settings.season
            );
            Finding::of(&RULE, &event.place, message).mend("Correct the year, or the season under [program].")
        })
        .collect()
}

/// The years that a season's name holds: “2026”, “Spring 2026”, “2025–2026”.
fn years(season: &str) -> Vec<i16> {
    let digits = season.split(|c: char| !c.is_ascii_digit()).filter(|digits| digits.len() == 4);
    digits.filter_map(|digits| digits.parse().ok()).filter(|year| (1900..2200).contains(year)).collect()
}
