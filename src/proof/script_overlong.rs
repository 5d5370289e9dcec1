//! What the presenter is given to say takes longer than the lesson has.

use super::{Check, Find, reading};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use num_rational::Ratio;

pub static RULE: Rule = Rule {
    name: "script-overlong",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The presenter's text takes longer to say than the lesson's minutes.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let settings = &print.understood.content.settings;
    let rate = settings.reading.words_a_minute;
    let lessons = reading::lessons(print.understood);
    let overlong = settings.syllabus.iter().filter_map(|entry| {
        let lesson = lessons.iter().find(|lesson| lesson.lesson.id == entry.lesson)?;
        let takes = reading::minutes(lesson.script, rate);
        if takes <= Ratio::from_integer(u64::from(entry.minutes)) {
            return None;
        }
        let message = format!(
            "What is to be said in this lesson has {} words and takes about {} minutes at {rate} words a minute; the syllabus gives it {}.",
            lesson.script,
            takes.ceil().to_integer(),
            entry.minutes
        );
        let finding = Finding::of(&RULE, &entry.place, message).says(format!("{} minutes", entry.minutes));
        Some(finding.mend("Shorten its “Say:” and “Ask:” cues, or give the lesson more minutes."))
    });
    overlong.collect()
}
