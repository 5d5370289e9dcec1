//! Proofreading once more for each event at which facts are otherwise.
//!
//! What is wrong everywhere was told already; here is told only what is wrong at the event, in prose
//! that it uses. Closed words say the common value; words that are left to the fact say the event's.

use super::{figure_drift, figure_too_fine, limit_turned, unit_unfit, wording_unfit};
use crate::finding::{Finding, Level, Rule};
use crate::program::Program;
use crate::program::settings::Event;

/// The rules of backed figures, whose words may be left to the fact.
static OF_WORDS: [&Rule; 4] =
    [&figure_drift::RULE, &figure_too_fine::RULE, &limit_turned::RULE, &unit_unfit::RULE];

/// Of the findings at an event, those that are its own, told as such.
pub fn own(found: Vec<Finding>, common: &[Finding], event: &Event, program: &Program) -> Vec<Finding> {
    let is_own = |finding: &Finding| {
        finding.level > Level::Note && !common.contains(finding) && is_used(finding, event, program)
    };
    found.into_iter().filter(is_own).map(|finding| told(finding, event)).collect()
}

/// Whether the event uses what a finding stands in: of lessons only those that it holds.
fn is_used(finding: &Finding, event: &Event, program: &Program) -> bool {
    let lesson = program.content.lessons.iter().find(|lesson| lesson.file == finding.place.file);
    lesson.is_none_or(|lesson| {
        event.lessons.is_empty() || event.lessons.iter().any(|held| held.text == lesson.id)
    })
}

fn told(mut finding: Finding, event: &Event) -> Finding {
    finding.message = format!("At “{}”: {}", event.name, finding.message);
    let mend = match finding.rule {
        rule if finding.level == Level::Error && OF_WORDS.contains(&rule) => {
            "Leave the words to the fact, with […] between the brackets of the link, so that each event \
             prints its own; or say it without the figure."
                .to_owned()
        }
        rule if *rule == wording_unfit::RULE => {
            format!("Give it a wording for that event too, under [at.{}.…].", event.id)
        }
        _ => return finding,
    };
    // What is right there would be wrong elsewhere.
    finding.instead = None;
    finding.mend = Some(mend);
    finding
}
