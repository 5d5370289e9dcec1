//! An event's lessons take longer than the event.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "event-overlong",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "An event's lessons take more minutes than the event has.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let settings = &print.understood.content.settings;
    let mut findings = Vec::new();
    for event in &settings.events {
        let shown = settings.syllabus.iter().filter(|entry| {
            event.lessons.is_empty() || event.lessons.iter().any(|id| id.text == entry.lesson)
        });
        let (count, planned) =
            shown.fold((0_u32, 0_u32), |(count, sum), entry| (count + 1, sum.saturating_add(entry.minutes)));
        let minutes = event.minutes.saturating_mul(event.days().len().try_into().unwrap_or(u32::MAX));
        if planned > minutes {
            let message = format!(
                "The lessons of {} take {planned} minutes, but the event has {}.",
                event.name, minutes
            );
            findings.push(
                Finding::of(&RULE, &event.place, message)
                    .says(format!("{minutes} minutes for {count} lessons"))
                    .mend("Give the event a shorter syllabus under “lessons”, or more minutes."),
            );
        }
    }
    findings
}
