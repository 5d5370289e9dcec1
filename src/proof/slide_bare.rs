//! A section's slide would show nothing but its heading.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::lesson::Block;
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "slide-bare",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A section has nothing for its slide but the heading.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let sections = print.understood.content.lessons.iter().flat_map(|lesson| &lesson.sections);
    sections
        .filter(|section| !section.blocks.iter().any(Block::stands_on_slide))
        .map(|section| {
            Finding::of(&RULE, &section.place, "The slide of this section shows nothing but its heading.")
                .says(print.source_words(&section.place))
                .mend("Give the section a list, a table, a picture, an “Ask:” or a signal box; its paragraphs are for the handbook only.")
        })
        .collect()
}
