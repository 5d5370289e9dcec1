//! A slide shows more words than the program allows.

use super::{Check, Find, reading};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "slide-wordy",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A slide shows more words than the program's limit.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let Some(limit) = print.understood.content.settings.reading.slide_words else { return Vec::new() };
    let lessons = reading::lessons(print.understood);
    let slides = lessons.iter().flat_map(|lesson| &lesson.slides);
    slides
        .filter(|slide| slide.words > limit as usize)
        .map(|slide| {
            let place = &slide.section.place;
            let message = format!("This slide shows {} words; the program's limit is {limit}.", slide.words);
            Finding::of(&RULE, place, message).says(print.source_words(place)).mend(
                "Split the section in two, or move words into a paragraph, which is for the handbook only.",
            )
        })
        .collect()
}
