//! A lesson is harder to read than the program allows.

use super::{Find, Rule, reading};
use crate::finding::{Finding, Level};
use crate::statements::PrintContext;

pub const RULE: Rule = Rule {
    name: "reading-level-high",
    level: Level::Warning,
    summary: "A lesson is harder to read than the program's limit.",
    find: Find::Print(find),
};

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
        let finding = RULE.finding(lesson.place(), message).says(print.source_words(lesson.place()));
        Some(finding.mend("Shorten its sentences, and use shorter words where there are any."))
    });
    too_hard.collect()
}
