//! A lesson is harder to read than the program allows.

use super::{Check, Find, reading};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "reading-level-high",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A lesson is harder to read than the program's limit.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let settings = &print.understood.content.settings;
    let Some(limit) = settings.reading.grade else { return Vec::new() };
    let lessons = reading::lessons(print.understood);
    let too_hard = lessons.iter().filter_map(|lesson| {
        let grade = lesson.grade(&settings.language).filter(|grade| *grade > f64::from(limit))?;
        let counts = &lesson.counts;
        let message = format!(
            "This lesson reads at grade {grade:.1} (Flesch–Kincaid), above the program's limit of {limit}: {} words in {} sentences.",
            counts.words, counts.sentences
        );
        let finding = Finding::of(&RULE, lesson.place(), message).says(print.source_words(lesson.place()));
        Some(finding.mend("Shorten its sentences, and use shorter words where there are any."))
    });
    too_hard.collect()
}
